"""Which blocks of a judged folder failed, which wait for them, and what is wrong outside blocks."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.make import Made
    from sitegen.pages.references import Key
    from sitegen.problem import Problem


class Verdicts(Struct, frozen=True):
    """A folder's problems, sorted to where they are shown.

    Attributes:
        inside: the problems in each block that has any, both in order, warnings included.
        failed: the blocks with an error.
        waiting: the blocks that are not judged, each with what is to be mended before it can be:
            blocks, and lines above all blocks.
        outside: the problems in no block, by file, in order.
    """

    inside: dict[Key, tuple[Problem, ...]]
    failed: frozenset[Key]
    waiting: dict[Key, tuple[Key, ...]]
    outside: dict[str, tuple[Problem, ...]]


def verdicts(made: Made) -> Verdicts:
    """Sort the problems of a judged folder."""
    inside: dict[Key, list[Problem]] = {}
    outside: dict[str, list[Problem]] = {}
    for problem in made.problems:
        page = made.listed.get(problem.file)
        number = page.block_at(problem.line) if page else None
        if number is None:
            outside.setdefault(problem.file, []).append(problem)
        else:
            inside.setdefault((problem.file, number), []).append(problem)
    failed = {key for key, told in inside.items() if any(p.severity == "error" for p in told)}
    return Verdicts(
        {key: tuple(inside[key]) for key in made.blocks if key in inside},
        frozenset(failed),
        _waiting(made, failed),
        {file: tuple(told) for file, told in outside.items()},
    )


def errors_inside(judged: Verdicts) -> dict[Key, list[Problem]]:
    """The errors in each block that has any, warnings left out."""
    errors = {
        key: [p for p in problems if p.severity == "error"]
        for key, problems in judged.inside.items()
    }
    return {key: found for key, found in errors.items() if found}


def hanging(made: Made) -> dict[Key, tuple[Key, ...]]:
    """The blocks that hang on lines above all blocks, directly or through others, each with these.

    A block may have problems of its own besides.
    """
    found: dict[Key, tuple[Key, ...]] = {}
    for key, others in made.leaning.items():
        lines = [*made.blocks[key].waits_for]
        lines += [line for other in others for line in found.get(other, ())]
        if lines:
            found[key] = tuple(dict.fromkeys(lines))
    return found


def with_waiting(problems: list[Problem], hung_on: Iterable[Key]) -> list[Problem]:
    """Problems, those of lines above all blocks with how many blocks wait for each.

    Args:
        problems: the problems.
        hung_on: the lines that blocks hang on, once for each block.
    """
    counts = Counter(hung_on)
    return [
        replace(problem, waiting=counts[place]) if (place := above(problem)) in counts else problem
        for problem in problems
    ]


def above(problem: Problem) -> Key:
    """What blocks wait for that hang on a problem above all of them."""
    return problem.file, -problem.line


def _waiting(made: Made, failed: set[Key]) -> dict[Key, tuple[Key, ...]]:
    """The blocks that hang on what could not be read above them, or lean on others that failed.

    Each with what it waits for, be it directly or through others.
    """
    waiting: dict[Key, tuple[Key, ...]] = {}
    for key, others in made.leaning.items():
        amiss = list(made.blocks[key].waits_for)
        amiss += [
            other
            for leant_on in others
            for other in waiting.get(leant_on, (leant_on,))
            if leant_on in failed or leant_on in waiting
        ]
        if amiss and key not in failed:
            waiting[key] = tuple(dict.fromkeys(amiss))
    return waiting

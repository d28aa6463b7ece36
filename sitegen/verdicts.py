"""Which blocks of a judged folder failed, which wait for them, and what is wrong outside blocks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from sitegen.make import Made
    from sitegen.pages.references import Key
    from sitegen.problem import Problem


class Verdicts(Struct, frozen=True):
    """A folder's problems, sorted to where they are shown.

    Attributes:
        inside: the problems in each block that has any, both in order, warnings included.
        failed: the blocks with an error.
        waiting: the blocks that are not judged, each with those to be mended before it can be.
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


def _waiting(made: Made, failed: set[Key]) -> dict[Key, tuple[Key, ...]]:
    """The blocks that lean on failed ones, directly or through others, and on which they do."""
    waiting: dict[Key, tuple[Key, ...]] = {}
    for key, others in made.leaning.items():
        amiss = [
            other
            for leant_on in others
            for other in waiting.get(leant_on, (leant_on,))
            if leant_on in failed or leant_on in waiting
        ]
        if amiss and key not in failed:
            waiting[key] = tuple(dict.fromkeys(amiss))
    return waiting

"""Pages judged together: what is wrong with them, which blocks failed, and which wait for these."""

from __future__ import annotations

from collections import Counter
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from sitegen.pages.leaning import leaners_of, reached
from sitegen.pages.moved import by_former_address
from sitegen.pages.references import References
from sitegen.problem import any_error

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from sitegen.block.model import Block, Context
    from sitegen.block.replay import Replay
    from sitegen.pages.folder import Folder
    from sitegen.pages.listed import Listed
    from sitegen.pages.page import Page
    from sitegen.pages.prose import ReadSpan
    from sitegen.pages.references import BlockKey
    from sitegen.pages.settings import Settings
    from sitegen.problem import Problem
    from sitegen.said import Value


class Made(Struct, frozen=True, dict=True):
    """A content folder, or some pages of it, read and judged.

    Attributes:
        folder: what it holds.
        settings: its settings.
        pages: the pages that could be read, by file, in order.
        listed: the same pages, as others know them.
        contexts: what each page gives its blocks.
        blocks: the blocks.
        said: what each code span of a page is, in the order of the page's spans.
        references: where the blocks' references lead.
        leaning: for each block, in the order of judging, those that it waits for where they fail.
        replays: the blocks that could be replayed.
        problems: all that is wrong, in order.
        answers: what the prose was told of the blocks so far, by block and question.
    """

    folder: Folder
    settings: Settings
    pages: dict[str, Page] = field(default_factory=dict)
    listed: dict[str, Listed] = field(default_factory=dict)
    contexts: dict[str, Context] = field(default_factory=dict)
    blocks: dict[BlockKey, Block] = field(default_factory=dict)
    said: dict[str, tuple[ReadSpan, ...]] = field(default_factory=dict)
    references: References = field(default_factory=References)
    leaning: dict[BlockKey, list[BlockKey]] = field(default_factory=dict)
    replays: dict[BlockKey, Replay] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    answers: dict[tuple[BlockKey, tuple[str, ...]], Value] = field(default_factory=dict)

    @property
    def holds(self) -> bool:
        """Whether nothing is wrong; warnings are not wrong."""
        return not any_error(self.problems)

    @cached_property
    def by_former_address(self) -> dict[str, str]:
        """The pages that were renamed, by the addresses they had, in small letters."""
        return by_former_address(self.listed.values())

    @cached_property
    def verdicts(self) -> Verdicts:
        """The problems, sorted to where they are shown."""
        return _verdicts(self)

    @property
    def waiting(self) -> Mapping[BlockKey, tuple[BlockKey, ...]]:
        """The blocks that are not judged, failed ones among them, each with what it waits for."""
        return self.verdicts.waiting


class Verdicts(Struct, frozen=True):
    """A folder's problems, sorted to where they are shown.

    Attributes:
        inside: the problems in each block that has any, both in order, warnings included.
        failed: the blocks with an error.
        waiting: the blocks that are not judged, failed ones among them, each with what is to be
            mended first: blocks, which may wait for others themselves, and lines above all blocks.
        outside: the problems in no block, by file, in order.
    """

    inside: dict[BlockKey, tuple[Problem, ...]]
    failed: frozenset[BlockKey]
    waiting: dict[BlockKey, tuple[BlockKey, ...]]
    outside: dict[str, tuple[Problem, ...]]

    @property
    def errors(self) -> dict[BlockKey, list[Problem]]:
        """The errors in each block that has any, warnings left out."""
        return {
            key: [problem for problem in self.inside[key] if problem.severity == "error"]
            for key in self.inside
            if key in self.failed
        }


def _verdicts(made: Made) -> Verdicts:
    inside: dict[BlockKey, list[Problem]] = {}
    outside: dict[str, list[Problem]] = {}
    for problem in made.problems:
        if key := block_of(problem, made.listed):
            inside.setdefault(key, []).append(problem)
        else:
            outside.setdefault(problem.file, []).append(problem)
    failed = {key for key, told in inside.items() if any_error(told)}
    return Verdicts(
        {key: tuple(inside[key]) for key in made.blocks if key in inside},
        frozenset(failed),
        _waiting(made, failed),
        {file: tuple(told) for file, told in outside.items()},
    )


def block_of(problem: Problem, pages: Mapping[str, Listed]) -> BlockKey | None:
    """The block that a problem of one of these pages is in, if it is in one."""
    page = pages.get(problem.file)
    number = page.block_at(problem.line) if page else None
    return None if number is None else (problem.file, number)


def lines_hung_on(made: Made) -> dict[BlockKey, list[BlockKey]]:
    """For each block that hangs on lines above all blocks, directly or through others, these lines.

    A block may have problems of its own besides.
    """
    hung_on: dict[BlockKey, list[BlockKey]] = {}
    for key, block in made.blocks.items():
        for line in block.waits_for:
            hung_on.setdefault(line, []).append(key)
    if not hung_on:
        return {}
    leaners = leaners_of(made.leaning.items())
    found: dict[BlockKey, list[BlockKey]] = {}
    for line, directly in hung_on.items():
        seen: set[BlockKey] = set()
        for first in directly:
            for key in reached(first, lambda k: leaners.get(k, ()), seen):
                found.setdefault(key, []).append(line)
    return found


def with_waiting(problems: list[Problem], hung_on: Iterable[BlockKey]) -> list[Problem]:
    """The problems; one of a line above all blocks says how many blocks wait for it.

    Args:
        problems: the problems.
        hung_on: the lines that blocks hang on, once for each block.
    """
    counts = Counter(hung_on)
    return [
        replace(problem, waiting=counts[place])
        if (place := line_key(problem)) in counts
        else problem
        for problem in problems
    ]


def line_key(problem: Problem) -> BlockKey:
    """The key of a problem's line, as `waits_for` has it of the blocks that hang on it."""
    return problem.file, -problem.line


def _waiting(made: Made, failed: set[BlockKey]) -> dict[BlockKey, tuple[BlockKey, ...]]:
    """The blocks that hang on what could not be read above them, or lean on others that failed.

    Each with what it waits for, directly or through others that did not fail.
    """
    waiting: dict[BlockKey, tuple[BlockKey, ...]] = {
        key: block.waits_for for key, block in made.blocks.items() if block.waits_for
    }
    for key, others in made.leaning.items():
        amiss = list(made.blocks[key].waits_for)
        amiss += [
            other
            for leant_on in others
            for other in ((leant_on,) if leant_on in failed else waiting.get(leant_on, ()))
        ]
        if amiss:
            waiting[key] = tuple(dict.fromkeys(amiss))
    return waiting

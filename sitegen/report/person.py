"""Problems for a person: the place, the line with its wrong part underlined, the way out."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING, Final

from sitegen.report.tame import tame, tame_lines
from sitegen.wording import counted

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from sitegen.problem import Change, Compared, Problem, Repair
    from sitegen.report.findings import Findings

WIDEST: Final = 100
"""Columns of a source line that are shown; a longer one is cut around its wrong part."""


def text(findings: Findings) -> str:
    """All problems, and a line that sums up."""
    person = Person(findings.line_of, colour=findings.colour)
    return "\n\n".join([*person.problems(findings.problems), summary(findings)])


class Person:
    """Writes problems for a person to read.

    Attributes:
        line_of: a file's line, from 1, as it stands in the file.
        colour: use the terminal's colours.
    """

    def __init__(self, line_of: Callable[[str, int], str], *, colour: bool) -> None:
        self.line_of = line_of
        self.colour = colour

    def paint(self, text: str, code: str) -> str:
        """A text in one of the terminal's colours, if it has any."""
        return f"\033[{code}m{text}\033[0m" if self.colour else text

    def problems(self, problems: Iterable[Problem]) -> Iterator[str]:
        """Problems one after another; what repairs a block is said at its first."""
        told: set[tuple[Repair, ...]] = set()
        for problem in problems:
            repairs = problem.repairs
            yield self._problem(problem, () if repairs in told else repairs)
            told.add(repairs)

    def _problem(self, problem: Problem, repairs: Sequence[Repair]) -> str:
        """Place, rule and message; the source line with its wrong part underlined; the nets."""
        severity = self.paint(problem.severity, "31" if problem.severity == "error" else "33")
        block = f" [{tame(problem.block)}]" if problem.block else ""
        place = self.paint(self.place(problem), "1")
        message = tame_lines(problem.message)
        lines = [f"{place}: {severity}: {message} ({problem.rule}){block}"]
        return "\n".join(lines + self.source(problem) + self.details(problem, repairs))

    def place(self, problem: Problem) -> str:
        """File, line and column of a problem."""
        return f"{tame(problem.file)}:{problem.line}:{problem.column}"

    def details(self, problem: Problem, repairs: Sequence[Repair]) -> list[str]:
        """What stands under the source line: the nets, the repairs, how many blocks wait.

        Args:
            problem: the problem.
            repairs: those of its repairs that are to be told.
        """
        lines = self.nets(problem.compared) if problem.compared else []
        for repair in repairs:
            lead = "this makes the block hold"
            if repair is not repairs[0]:
                lead = "or this one, to the same effect" if repair.same else "or this one"
            lines += [f"      {lead} ({tame(repair.slip)}):", *self.changes(repair.changes)]
        if problem.waiting:
            others = "1 block is" if problem.waiting == 1 else f"{problem.waiting} blocks are"
            lines.append(f"      {others} not judged until this one is mended")
        return lines

    def source(self, problem: Problem) -> list[str]:
        """The line a problem is in, and a mark under what is wrong."""
        text = self.line_of(problem.file, problem.line)
        if not text.strip():
            return []
        start = problem.column - 1
        first = max(0, min(start - WIDEST // 2, len(text) - WIDEST))
        shown = tame(text[first : first + WIDEST])
        lead = "..." if first else ""
        number = f"{problem.line:>5} | "
        length = max(1, min(problem.length, first + WIDEST - start))
        before = " " * (len(lead) + _width(shown[: start - first]))
        under = "^" * max(1, _width(shown[start - first : start - first + length]))
        tail = "..." if first + WIDEST < len(text) else ""
        return [
            f"{number}{lead}{shown}{tail}",
            " " * (len(number) - 2) + "| " + before + self.paint(under, "31"),
        ]

    def nets(self, compared: Compared) -> list[str]:
        """The page's net and the engine's, side by side, differing stickers marked."""
        left = [tame(row) for row in compared.expected]
        right = [tame(row) for row in compared.found]
        cut = min((len(row) - len(row.lstrip()) for row in left if row.strip()), default=0)
        width = max(len("the page says"), *(_width(row[cut:]) for row in left))
        lines = [f"      {'the page says':<{width}}    the moves give"]
        for one, other, marks in zip(left, right, compared.marks, strict=True):
            pad = " " * (width - _width(one[cut:]))
            lines.append(f"      {one[cut:]}{pad}    {other[cut:]}")
            if marks:
                under = marked(marks)[cut:]
                space = " " * (width - len(under))
                lines.append(f"      {self.paint(under, '31')}{space}    {self.paint(under, '31')}")
        return [line.rstrip() for line in lines]

    def changes(self, changes: Iterable[Change]) -> list[str]:
        """Lines of moves, old and new, marked where they differ."""
        lines = []
        for change in changes:
            under = " " * _width(tame(change.new[: change.start]))
            under += "^" * max(1, _width(tame(change.new[change.start : change.end])))
            lines += [
                f"{change.line:>5} - {tame(change.old)}",
                f"      + {tame(change.new)}",
                f"        {self.paint(under, '32')}",
            ]
        return lines


def without_source(findings: Findings, problem: Problem) -> str:
    """A problem's message and details, for whoever shows its line in a way of their own."""
    details = Person(findings.line_of, colour=False).details(problem, problem.repairs)
    return "\n".join([tame_lines(problem.message), *details])


def summary(findings: Findings) -> str:
    """How much was looked at, and how much is wrong."""
    errors = sum(problem.severity == "error" for problem in findings.problems)
    warnings = len(findings.problems) - errors
    looked = f"{counted(findings.pages, 'page')}, {counted(findings.blocks, 'block')}"
    parts = [counted(errors, "error")] if errors else []
    parts += [counted(warnings, "warning")] if warnings else []
    return f"{looked}: {' and '.join(parts) if parts else 'everything holds'}"


def _width(text: str) -> int:
    """Columns that a text takes up on a terminal."""
    wide = sum(unicodedata.east_asian_width(c) in "WF" for c in text)
    return len(text) + wide - sum(unicodedata.combining(c) > 0 for c in text)


def marked(places: Iterable[int]) -> str:
    """What is written under a line to mark these places of it."""
    known = {*places}
    return "".join("^" if at in known else " " for at in range(max(known) + 1))

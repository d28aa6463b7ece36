"""Both versions of some lines that a merge left in a text, one below the other, between marks."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_MARK: Final = re.compile(r"^(?:([<|>])\1{6}(?: .*)?|={7})$", re.MULTILINE)
"""A line that version control writes where both versions changed the same lines: above the first
of them, above what both came from, between the two, below the second. Common practice, no source.
"""

_LAST: Final = re.compile(r">{7}(?: \S+(?: \(.*\))?)?")
"""The last mark with the name of a branch or of a change; a quote seven deep says more."""


class Unmerged(NamedTuple):
    """Two versions of the same lines, the first of them above.

    Attributes:
        first: the line of the first mark, from 1.
        length: of that mark.
        cut: the line of the mark below the first version; `first` where only one mark is left.
        last: the line of the last mark.
    """

    first: int
    length: int
    cut: int
    last: int

    @property
    def message(self) -> str:
        """What is wrong, and what to do."""
        down = f", down to line {self.last}" if self.last > self.first else ""
        return (
            f"a merge left two versions of the same lines here{down}: keep what is right of them, "
            "and take out the lines that begin with `<<<<<<<`, `=======` and `>>>>>>>`"
        )


def unmerged(text: str) -> Iterator[Unmerged]:
    """All that a merge left in a text, in order.

    Args:
        text: the text, its lines ended by line feeds.
    """
    if "<<<<<<<" not in text and ">>>>>>>" not in text:
        return  # as in nearly every text, and lines need not be looked at one by one
    line, place = 1, 0
    marks: list[tuple[int, str]] = []  # since the last one that ended something
    for found in _MARK.finditer(text):
        mark = found[0]
        line += text.count("\n", place, found.start())
        place = found.start()
        if mark[0] == "<":
            yield from _between(marks)
            marks = []
        marks.append((line, mark))
        if mark[0] == ">":
            yield from _between(marks)
            marks = []
    yield from _between(marks)


def _between(marks: Sequence[tuple[int, str]]) -> Iterator[Unmerged]:
    """What stands between marks; where the first is gone, no more is sure than the last two.

    Marks of which neither begins and none ends anything are none: a heading may be underlined so.
    """
    signs = [mark[0] for _, mark in marks]
    if signs[:1] != ["<"]:
        marks = marks[-2:]
        if signs[-2:] != ["=", ">"] or not _LAST.fullmatch(marks[-1][1]):
            return
    first, mark = marks[0]
    cut = marks[1][0] if len(marks) > 1 else first
    yield Unmerged(first, len(mark), cut, marks[-1][0])

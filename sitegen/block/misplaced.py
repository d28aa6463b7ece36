"""Lines that stand in the value of a key and belong to none such: a net, claims, prose."""

from __future__ import annotations

import re
from bisect import bisect_right
from itertools import groupby
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.problem import Wrong

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

FEWEST_WORDS: Final = 3
"""How many words in small letters make a line prose: our own guess."""

_COMMENT: Final = re.compile(r"//.*")
_HEADING: Final = re.compile(r"\s*#{1,6}\s")
_WORD: Final = re.compile(r"\b[a-z]{2,}\b")

FILLED: Final = re.compile(r"\S.*")
"""What stands on a line that is not blank, from its first sign on."""

FACE_ROW: Final = re.compile(r"[ULFRBD][ \t]*:")
"""What the first row of a face begins with."""

_SIDE_BY_SIDE: Final = re.compile(r"\S\S")

_NET: Final = (
    "these are rows of a net; a net stands below a key of its own at the left edge, `before:` or "
    "`after:`"
)
_TEXT: Final = (
    "from here on nothing is moves: a comment begins with `//`, and where the block was to end "
    "above, the marks are missing that it ends with, alone on a line"
)
_CLAIM: Final = "this is a claim; claims stand below `check:`"


class _Part(NamedTuple):
    """Lines that are not what they stand among: what is told, of which, and all their numbers."""

    message: str
    line: re.Match[str]
    numbers: range


class _Lines:
    """The lines of a value that are not blank, and in which of them something is wrong."""

    def __init__(self, text: str, faults: Sequence[Wrong]) -> None:
        self.text = text
        self.faults = faults
        self.all = [*FILLED.finditer(text)]
        ends = [line.end() for line in self.all]
        self.places = [bisect_right(ends, fault.start) for fault in faults]
        self.wrong = {*self.places}

    def told(self, parts: Sequence[_Part], rule: str) -> list[Wrong]:
        """The faults, in order, those in parts as one each."""
        in_parts = {number for part in parts for number in part.numbers}
        told = [one for one, at in zip(self.faults, self.places, strict=True) if at not in in_parts]
        told += [Wrong(rule, part.message, *part.line.span()) for part in parts]
        return sorted(told, key=lambda fault: fault.start)


def told_once(
    text: str,
    faults: Sequence[Wrong],
    rule: str,
    letters: str = "",
    is_claim: Callable[[str], bool] | None = None,
) -> list[Wrong]:
    """The faults of a value, in order; those in lines that plainly belong elsewhere, as one.

    Args:
        text: the value.
        faults: what is wrong with it.
        rule: of what is told of such lines; `notation` among moves, where prose may stand as well.
        letters: of the colours, where the rows of a net are looked for.
        is_claim: whether a line is a claim, where claims are looked for.
    """
    lines = _Lines(text, faults)
    parts = [*_nets(lines, letters)] if letters else []
    if rule == "notation":
        parts += _prose(lines)
    if is_claim:
        in_parts = {number for part in parts for number in part.numbers}
        parts += _claims(lines, lines.wrong - in_parts, is_claim)
    return lines.told(parts, rule)


def _nets(lines: _Lines, letters: str) -> Iterator[_Part]:
    """The nets among some lines."""

    def is_row(numbered: tuple[int, re.Match[str]]) -> bool:
        row = FACE_ROW.sub("", numbered[1][0])
        return {*row} <= {*letters, ".", " ", "\t"}

    for is_net, run in groupby(enumerate(lines.all), key=is_row):
        rows = [one for one in run if is_net]
        like = [one for one in rows if one[0] in lines.wrong or _SIDE_BY_SIDE.search(one[1][0])]
        if len(like) > 1 and any(number in lines.wrong for number, _ in rows):
            first, row = like[0]
            yield _Part(_NET, row, range(first, rows[-1][0] + 1))


def _claims(
    lines: _Lines, wrong: Iterable[int], is_claim: Callable[[str], bool]
) -> Iterator[_Part]:
    """The claims among some lines, those below one another together."""
    claims = [one for one in sorted(wrong) if is_claim(lines.all[one][0].rstrip())]
    for _, run in groupby(enumerate(claims), key=lambda one: one[1] - one[0]):
        numbers = [number for _, number in run]
        yield _Part(_CLAIM, lines.all[numbers[0]], range(numbers[0], numbers[-1] + 1))


def _prose(lines: _Lines) -> Iterator[_Part]:
    """Text below moves, apart from them, up to their end."""
    first = last = len(lines.all)
    for number, line in reversed([*enumerate(lines.all)]):
        if number not in lines.wrong and not _COMMENT.match(line[0]):
            break
        begins = lines.text.rfind("\n", 0, line.start()) + 1
        if is_blank_above(lines.text, begins) and is_prose(_COMMENT.sub("", line[0])):
            first = number
    if first < last:
        yield _Part(_TEXT, lines.all[first], range(first, last))


def is_blank_above(text: str, start: int) -> bool:
    """Whether there is a line above the one that begins at a place, and it is blank."""
    above = text.rfind("\n", 0, max(start - 1, 0)) + 1
    return start > 0 and not text[above:start].strip()


def is_prose(line: str) -> bool:
    """Whether a line is a heading, or says something in words."""
    return bool(_HEADING.match(line)) or len(_WORD.findall(line)) >= FEWEST_WORDS

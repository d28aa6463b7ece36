"""What stands among moves and is none: the rows of a net, and text below a block not closed."""

from __future__ import annotations

import re
from bisect import bisect_right
from itertools import groupby
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.problem import Wrong

if TYPE_CHECKING:
    from collections.abc import Container, Iterator, Sequence

FEWEST_WORDS: Final = 3
"""How many words in small letters make a line prose: our own guess."""

_FILLED: Final = re.compile(r"\S.*")
_COMMENT: Final = re.compile(r"//.*")
_HEADING: Final = re.compile(r"\s*#{1,6}\s")
_WORD: Final = re.compile(r"\b[a-z]{2,}\b")

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


class _Part(NamedTuple):
    """Lines that are no moves: what is told, of which line, and the numbers of all of them."""

    message: str
    line: re.Match[str]
    numbers: range


def told_once(text: str, faults: Sequence[Wrong], letters: str) -> list[Wrong]:
    """The faults of moves, in order; those in lines that are plainly none, as one.

    Args:
        text: the moves.
        faults: what is wrong with them, in order.
        letters: of the colours.
    """
    lines = [*_FILLED.finditer(text)]
    ends = [line.end() for line in lines]
    places = [bisect_right(ends, fault.start) for fault in faults]
    wrong = set(places)
    parts = [*_nets(lines, wrong, letters), *_prose(text, lines, wrong)]
    if not parts:
        return [*faults]
    in_parts = {number for part in parts for number in part.numbers}
    told = [fault for fault, at in zip(faults, places, strict=True) if at not in in_parts]
    told += [Wrong("notation", part.message, *part.line.span()) for part in parts]
    return sorted(told, key=lambda fault: fault.start)


def _nets(lines: Sequence[re.Match[str]], wrong: Container[int], letters: str) -> Iterator[_Part]:
    """The nets among some lines, of which those are given that something is wrong with."""

    def is_row(numbered: tuple[int, re.Match[str]]) -> bool:
        row = FACE_ROW.sub("", numbered[1][0])
        return {*row} <= {*letters, ".", " ", "\t"}

    for is_net, run in groupby(enumerate(lines), key=is_row):
        rows = [one for one in run if is_net]
        like = [one for one in rows if one[0] in wrong or _SIDE_BY_SIDE.search(one[1][0])]
        if len(like) > 1 and any(number in wrong for number, _ in rows):
            first, row = like[0]
            yield _Part(_NET, row, range(first, rows[-1][0] + 1))


def _prose(text: str, lines: Sequence[re.Match[str]], wrong: Container[int]) -> Iterator[_Part]:
    """Text below the moves, apart from them, up to their end."""
    first = len(lines)
    for number, line in reversed([*enumerate(lines)]):
        if number not in wrong and not _COMMENT.match(line[0]):
            break
        begins = text.rfind("\n", 0, line.start()) + 1
        if is_blank_above(text, begins) and is_prose(_COMMENT.sub("", line[0])):
            first = number
    if first < len(lines):
        yield _Part(_TEXT, lines[first], range(first, len(lines)))


def is_blank_above(text: str, start: int) -> bool:
    """Whether there is a line above the one that begins at a place, and it is blank."""
    above = text.rfind("\n", 0, max(start - 1, 0)) + 1
    return start > 0 and not text[above:start].strip()


def is_prose(line: str) -> bool:
    """Whether a line is a heading, or says something in words."""
    return bool(_HEADING.match(line)) or len(_WORD.findall(line)) >= FEWEST_WORDS

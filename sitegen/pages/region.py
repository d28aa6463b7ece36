"""Where the parts of a page stand in its raw lines.

The Markdown reader gives no columns, and fences in lists and quotes come without what stood before
their lines; so places are found again in the raw lines, and those of code spans and links only when
something is wrong there.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from functools import cached_property
from typing import TYPE_CHECKING, Final, NamedTuple
from urllib.parse import unquote

from msgspec import Struct

from sitegen.pages.comments import CLOSES, closes, opened, within
from sitegen.pages.markdown import CALLED
from sitegen.problem import Source

if TYPE_CHECKING:
    from collections.abc import Iterator

    from markdown_it.token import Token

_TICKS: Final = re.compile(r"(?<!\\)(\\*)(`+)")
_BEFORE: Final = re.compile(r"[ \t>]*")
_ASIDE: Final = re.compile(r"[\s>\\]+")
_LAST_SPACE: Final = re.compile(r"(?: |\n[ \t>]*)\Z")
_BAR: Final = re.compile(r"(?<!\\)\|")
_LINKED: Final = re.compile(r"(?:\]\([\s>]*<?|=[\"']?)([^\s<>()\"'=]+)")
_DEFINED: Final = re.compile(r"\]:\s*<?([^\s<>]+)")

NEAR: Final = 10_000
"""Characters of a paragraph in which an address that is no word of it is looked for."""


class Definitions(Struct, frozen=True, dict=True):
    """Where a text defines what links by their labels lead to."""

    text: str

    @cached_property
    def places(self) -> dict[str, int]:
        """For each address, where it stands first; found only when a link is complained of."""
        found: dict[str, int] = {}
        for one in _DEFINED.finditer(self.text):
            found.setdefault(one[1], one.start(1))
        return found


class _Unread(NamedTuple):
    """A part of a paragraph that is not read as prose.

    Attributes:
        begin: where a comment begins, or the text within a code span.
        end: where these end.
        is_code: whether it is a code span.
    """

    begin: int
    end: int
    is_code: bool


class Region(Struct, frozen=True, dict=True):
    """The lines of a paragraph, and the offsets it takes up in its source."""

    source: Source
    start: int
    end: int
    definitions: Definitions

    @cached_property
    def unread(self) -> tuple[_Unread, ...]:
        """The code spans and the comments."""
        return tuple(_unread(self.source.text, self.start, self.end))

    def is_read(self, place: int) -> bool:
        """Whether a place is in no code span and in no comment."""
        at = bisect_right(self.unread, place, key=lambda one: one.begin) - 1
        return at < 0 or place >= self.unread[at].end

    @cached_property
    def spans(self) -> dict[str, list[int]]:
        """Where code spans begin, by what they hold; found only when one is complained of.

        What looks like one in an address or in the title of a link is none, so they are not counted
        together.
        """
        text = self.source.text
        found: dict[str, list[int]] = {}
        for begin, end, is_code in self.unread:
            if not is_code:
                continue
            # one space at each end, or a line's end, belongs to the marks, if both are there
            marked = text[begin] in " \n" and bool(_LAST_SPACE.search(text, begin + 1, end))
            found.setdefault(bare(text[begin:end]), []).append(begin + marked)
        return found

    def rows(self, ordinal: int, span: str) -> tuple[tuple[int, int], ...]:
        """For each line of a code span, the offsets it begins at, in its text and in the source.

        In the text a line's end is a space, and what a list or a quote has before a line is not
        there.
        """
        text = self.source.text
        places = self.spans.get(bare(span)) or [self.start]
        inside, place = 0, places[min(ordinal, len(places) - 1)]
        if text[place - 1 : place] == "\n":
            place += max(0, _before(text, place) - _before(span, 0))
        rows = [(inside, place)]
        while 0 <= (end := text.find("\n", place, self.end)) < place + len(span) - inside:
            inside, place = inside + end + 1 - place, end + 1
            place += max(0, _before(text, place) - _before(span, inside))
            rows.append((inside, place))
        return tuple(rows)

    @cached_property
    def addresses(self) -> dict[str, list[int]]:
        """Where each address of a link stands; found only when one is complained of."""
        found: dict[str, list[int]] = {}
        for one in _LINKED.finditer(self.source.text, self.start, self.end):
            if self.is_read(one.start()):
                found.setdefault(one[1], []).append(one.start(1))
        return found

    def address(self, address: str, ordinal: int) -> int:
        """Where an address stands: in the paragraph, or where its label is defined.

        However many are asked for, the text is searched once; so one of unusual letters may not be
        found, and then it is the paragraph that is complained of.

        Args:
            address: the address as written.
            ordinal: how many links before this one lead there.
        """
        spellings = (address, unquote(address))
        places = next(filter(None, map(self.addresses.get, spellings)), [])
        if ordinal < len(places):
            return places[ordinal]
        # other links name it by a label
        for place in [*map(self.definitions.places.get, spellings), *places[-1:]]:
            if place is not None:
                return place
        end = min(self.end, self.start + NEAR)
        found = (self.source.text.find(one, self.start, end) for one in spellings)
        return next((place for place in found if place >= 0), self.start)

    def open_comments(self) -> list[int]:
        """Where comments begin that nothing ends."""
        return [*filter(self.is_read, opened(self.source.text, self.start, self.end))]

    def comments_in_comments(self) -> list[int]:
        """Where comments seem to begin in others, the first in each."""
        inner = (
            next(opened(self.source.text, *within(one.begin, one.end)), None)
            for one in self.unread
            if not one.is_code
        )
        return [place for place in inner if place is not None]

    @cached_property
    def calls(self) -> dict[str, list[int]]:
        """Where each footnote is called; found only when one is complained of."""
        found: dict[str, list[int]] = {}
        text = self.source.text
        for one in CALLED.finditer(text, self.start, self.end):
            place = one.start()
            if self.is_read(place) and text[place - 1 : place] != "\\":
                found.setdefault(one[0], []).append(place)
        return found

    def call(self, call: str, ordinal: int) -> int:
        """Where a footnote is called.

        Args:
            call: the call as written.
            ordinal: how many calls of it stand before this one.
        """
        places = self.calls.get(call) or [self.start]
        return places[min(ordinal, len(places) - 1)]


def bare(span: str) -> str:
    """A code span without blanks, `>` and backslashes, of which its raw lines may have more."""
    return _ASIDE.sub("", span)


def _before(text: str, start: int) -> int:
    """How many signs stand at a place that could be a quote's or a list's before a line."""
    found = _BEFORE.match(text, start)
    return len(found[0]) if found else 0


def _unread(text: str, start: int, end: int) -> Iterator[_Unread]:
    """What is not read as prose in a paragraph, in order (CommonMark 0.31, 6.1 and 6.6).

    A run of backticks opens a code span if another of its length follows; a backslash takes the
    first one away from a run that would open, and none from one that closes.
    """
    runs = [(one.start(2), one.end(), len(one[1]) % 2) for one in _TICKS.finditer(text, start, end)]
    by_length: dict[int, list[int]] = {}
    for number, (first, last, _) in enumerate(runs):
        by_length.setdefault(last - first, []).append(number)
    comments = [*opened(text, start, end), end]
    read, over, comment = start, 0, 0
    for number, (first, last, escaped) in enumerate((*runs, (end, end, 0))):
        while (begin := comments[comment]) < first:
            comment += 1
            if begin < read:
                continue
            if 0 <= over < begin + 2 + len(CLOSES):
                over = closes(text, begin, end)
            if over >= 0:
                yield _Unread(begin, over, is_code=False)
                read = over
        same = by_length.get(last - first - escaped, [])
        at = bisect_right(same, number)
        if first >= read and last > first + escaped and at < len(same):
            ends, read, _ = runs[same[at]]
            yield _Unread(last, ends, is_code=True)


def cells(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    """Where what stands between the bars of a table's row begins and ends, its margins included."""
    for bar in _BAR.finditer(text, start, end):
        yield start, bar.start()
        start = bar.end()
    yield start, end


def cell(text: str, row: Iterator[tuple[int, int]], content: str) -> tuple[int, int] | None:
    """The next cell of a row that holds this; a margin, or a cell left empty, is passed over."""
    return next(
        (
            (begin, end)
            for begin, end in row
            if text[begin:end].replace("\\|", "|").strip().endswith(content)
        ),
        None,
    )


def rows_of(token: Token) -> tuple[int, int]:
    """The row of its text that a token begins in, and the one after its last."""
    first, after = token.map or (0, 1)
    return first, after


def inside(token: Token, source: Source) -> Source:
    """The lines between a fence's marks, and where they stand in the file."""
    row, _ = rows_of(token)
    held, first = token.content.removesuffix("\n"), source.starts[row + 1]
    if held and source.text.startswith(held, first):
        return source.part(first, first + len(held))
    # in a list or a quote: what stands before each line is looked for
    rows = held.split("\n")
    lines, columns = [], []
    for number, text in enumerate(rows, row + 1):
        at = min(number, len(source.lines) - 1)
        raw = source.text[source.starts[at] : source.starts[at + 1] - 1]
        if raw.endswith(text):
            before = len(raw) - len(text)
        else:  # a tab of which a list or quote took a part
            before = len(raw.rstrip()) - len(text.rstrip())
        lines.append(source.lines[at])
        columns.append(source.columns[at] + before)
    return Source(source.file, "\n".join(rows), tuple(lines), tuple(columns))

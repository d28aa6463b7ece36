"""The site as templates see it: courses of lessons, lessons with figures. Values only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from sitegen.cube.scheme import Scheme


class Word(NamedTuple):
    """One written piece of moves, ready to be set.

    Attributes:
        text: a turn, a bracket, a comma, a name.
        glue: no space before it (a closing bracket, a count, a comma).
        spoken: for a screen reader: "R prime", in words; "" where the text itself will do.
    """

    text: str
    glue: bool
    spoken: str


@dataclass(frozen=True, slots=True)
class Phrase:
    """A line of moves and its caption (its comment), "" if it has none."""

    words: tuple[Word, ...]
    caption: str


@dataclass(frozen=True, slots=True)
class Shown:
    """A picture in a figure: its caption ("Before", "After", "After line 2") and its SVG markup."""

    caption: str
    svg: str


@dataclass(frozen=True, slots=True)
class Marked:
    """A ringed piece: its label ("" if none), where it is before the moves, where after."""

    label: str
    start: str
    end: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A moves block, ready to be set.

    Attributes:
        id: the anchor, unique on its page.
        number: 1 for the page's first figure.
        title: the author's, or "".
        n: layers each way.
        fold: "open"; "answer" (moves and after behind a button); "all".
        setup: the phrases of `from`, when that is moves and is to be printed.
        phrases: the moves.
        marked: the pieces pointed at.
        before: pictures of the position before the moves (none, or one).
        after: pictures during and after the moves.
        checked: the claims that were checked, as the author wrote them.
        turns: how long the moves are, as "15 STM"; "" if there are none.
        impossible: why no turns can reach the position, or "" if they can.
        source: the block's own text, when it is to be shown.
    """

    id: str
    number: int
    title: str
    n: int
    fold: str
    setup: tuple[Phrase, ...]
    phrases: tuple[Phrase, ...]
    marked: tuple[Marked, ...]
    before: tuple[Shown, ...]
    after: tuple[Shown, ...]
    checked: tuple[str, ...]
    turns: str
    impossible: str
    source: str


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of a page: level 2 or 3, its anchor and its plain text."""

    level: int
    anchor: str
    text: str


@dataclass(frozen=True, slots=True)
class Entry:
    """A page as others link to it; `address` is relative to the site's root, `a/b.html`."""

    address: str
    title: str
    summary: str


@dataclass(frozen=True, slots=True)
class Course:
    """Lessons in order. The site's pages in no course stand in one of no title."""

    title: str
    summary: str
    pages: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Site:
    """What every page needs of the whole: one value for the build, the same for every page."""

    title: str
    summary: str
    author: str
    url: str
    lang: str
    scheme: Scheme
    courses: tuple[Course, ...]


@dataclass(frozen=True, slots=True)
class Lesson:
    """One page, its Markdown already set as HTML with its figures in their places.

    Attributes:
        entry: its address, title, summary.
        lang: the page's language.
        date: ISO 8601, or "".
        draft: published by no build but a preview.
        body: HTML.
        has_title: the body begins with its own first heading, so none is to be added.
        headings: the contents.
        course: the title of its course, or "".
        previous: the lesson before it in its course.
        next: the lesson after it.
        needs: the pages to read first.
        figures: how many.
    """

    entry: Entry
    lang: str
    date: str
    draft: bool
    body: str
    has_title: bool
    headings: tuple[Heading, ...]
    course: str
    previous: Entry | None
    next: Entry | None
    needs: tuple[Entry, ...]
    figures: int

"""A Markdown file taken apart: blocks, code spans, links, headings, and the HTML around them."""

from __future__ import annotations

import posixpath
import re
from bisect import bisect_right
from functools import cached_property
from operator import itemgetter
from typing import TYPE_CHECKING, Final
from urllib.parse import quote, unquote

from msgspec import Struct
from msgspec.structs import replace

from sitegen.pages.names import published_as
from sitegen.problem import Problem, Wrong

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sitegen.pages.front import Front
    from sitegen.pages.region import Region
    from sitegen.pages.site import Heading, Term
    from sitegen.problem import Source

_ENDS: Final = re.compile(r"[?#]")
_OUTSIDE: Final = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:|//")

BLOCK_ID: Final = re.compile(r"[A-Za-z0-9-]+")

BLOCK_IDS: Final = re.compile(
    r"^[ \t>*+.)0-9-]*(?:`{3,}|~{3,})[ \t]*moves(?:[ \t]+(\S+)|[ \t]*$)", re.MULTILINE
)
"""The first lines of blocks, each with its id, in a text that was not taken apart."""

SLOT: Final = re.compile("\0(figure|span|box)([0-9]+)\0")
"""What stands in HTML, and in a heading, for a figure, a code span or a box, by its number."""


class BlockText(Struct, frozen=True):
    """A `moves` fence before it is read: its id ("" if none), opening line, and inside.

    And what is told where its lines go on although it has ended.
    """

    number: int
    id: str
    head: Source
    body: Source
    cut: tuple[Problem, ...] = ()

    @property
    def swallowed(self) -> list[str]:
        """The ids, "" for none, of blocks in it, which is not closed above them."""
        return BLOCK_IDS.findall(self.body.text)


class Span(Struct, frozen=True, dict=True):
    """A code span: its text, and which code span of that text in its region it is, from 0."""

    text: str
    region: Region
    ordinal: int

    @cached_property
    def rows(self) -> tuple[tuple[int, int], ...]:
        """For each line it takes, the offsets it begins at, in its text and in the source."""
        return self.region.rows(self.ordinal, self.text)

    def problem(self, wrong: Wrong) -> Problem:
        """A complaint about a part of the span's text, put in its place."""
        row = bisect_right(self.rows, wrong.start, key=itemgetter(0)) - 1
        inside, place = self.rows[row]
        return Problem.at(self.region.source, wrong.moved(place - inside))


class Link(Struct, frozen=True):
    """A link into the site, or whatever a page shows: the address as written, where it stands.

    The ordinal says which link of its region that leads there it is, from 0.
    """

    address: str
    region: Region
    ordinal: int

    def problem(self, message: str) -> Problem:
        """A complaint about the link, put in its place."""
        place = self.region.address(self.address, self.ordinal)
        wrong = Wrong("link", message, place, place + len(self.address))
        return Problem.at(self.region.source, wrong)


class Box(Struct, frozen=True):
    """A `note` or `caution` and what it holds."""

    kind: str
    body: Body


class Slot(Struct, frozen=True):
    """A place in the HTML for a figure or a code span, by its number."""

    kind: str
    number: int


Body = tuple["str | Slot | Box", ...]


class Page(Struct, frozen=True, dict=True):
    """A page taken apart.

    Attributes:
        file: its path relative to the content folder, with forward slashes.
        front: what stands between `---` at its top.
        title: from there, or its first heading.
        heading: that first heading, with slots for code spans; "" where the title is not from it.
        has_title: whether the body begins with the title, or with what heads the page in its place.
        blocks: its `moves` fences, in order.
        spans: its code spans, in order.
        links: its links into the site, and all that it shows.
        headings: its contents, with slots for code spans.
        terms: of the glossary, its terms; of any other page nothing.
        anchors: every `#...` that can be linked to on it.
        body: its HTML, with slots for what only the replay can tell; empty if it is only judged.
    """

    file: str
    front: Front
    title: str
    heading: str
    has_title: bool
    blocks: tuple[BlockText, ...]
    spans: tuple[Span, ...]
    links: tuple[Link, ...]
    headings: tuple[Heading, ...]
    terms: tuple[Term, ...]
    anchors: frozenset[str]
    body: Body

    @cached_property
    def numbers(self) -> dict[str, int]:
        """The number of the block that each id names, in order."""
        found: dict[str, int] = {}
        for block in self.blocks:
            if block.id:
                found.setdefault(block.id, block.number)
        return found

    @cached_property
    def swallowed(self) -> dict[str, int]:
        """For each id of a block within another one, the number of that, which is not closed."""
        return {name: block.number for block in self.blocks for name in block.swallowed if name}

    @cached_property
    def targets(self) -> frozenset[str]:
        """Every anchor that a link may name, those of its figures among them."""
        return self.anchors.union(self.figure_anchors)

    @cached_property
    def figure_anchors(self) -> tuple[str, ...]:
        """The anchor of each figure: its id, or one made from its number that nothing else has."""
        taken, made = set(self.anchors), []
        for block in self.blocks:
            anchor = block.id
            if not anchor:
                anchor = f"figure-{block.number + 1}"
                while anchor in taken:
                    anchor += "-"
                taken.add(anchor)
            made.append(anchor)
        return tuple(made)


def slot(kind: str, number: int) -> str:
    """What `SLOT` finds."""
    return f"\0{kind}{number}\0"


def is_outside(address: str) -> bool:
    """Whether a link leads out of the site: it names a scheme or a host."""
    return _OUTSIDE.match(address) is not None


def published(address: str) -> str:
    """A link as it is published: to `a/b.html` where it was written to `a/b.md`.

    One to the content folder, `.` or `..`, is to its first page: no server may be there to find it.
    """
    if is_outside(address):
        return address
    path = _ENDS.split(address, maxsplit=1)[0]
    if posixpath.basename(path.rstrip("/")) in (".", ".."):
        return f"{path.rstrip('/')}/index.html{address[len(path) :]}"
    if not unquote(path).endswith(".md"):
        return address
    to = path if path.endswith(".md") else quote(unquote(path))
    return published_as(to) + address[len(path) :]


def with_spans(page: Page, texts: Sequence[str]) -> Page:
    """A page whose title, and the headings of its contents, say what they say in its text.

    Args:
        page: the page.
        texts: what each of its code spans says.
    """

    def filled(text: str) -> str:
        return SLOT.sub(lambda slot: texts[int(slot[2])], text)

    headings = tuple([replace(one, text=filled(one.text)) for one in page.headings])
    return replace(page, title=filled(page.heading) or page.title, headings=headings)

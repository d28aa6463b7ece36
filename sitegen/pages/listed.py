"""A page as the rest of its site knows it: its titles, its place, what it names, its blocks."""

from __future__ import annotations

from bisect import bisect_right
from operator import attrgetter
from typing import TYPE_CHECKING, NamedTuple

from sitegen.pages.moved import former_address
from sitegen.pages.names import published_as
from sitegen.pages.site import Entry, Term

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.pages.page import Page


class Outline(NamedTuple):
    """A block as lists and reports know it.

    Attributes:
        number: which block of the page it is, from 0.
        id: its id, or "".
        n: layers each way.
        has_title: whether the author gave it one.
        line: the line of its opening fence, from 1.
        last: the last line inside it.
    """

    number: int
    id: str
    n: int
    has_title: bool
    line: int
    last: int


class PlacedName(NamedTuple):
    """A name in the front matter, and where it stands."""

    name: str
    line: int
    column: int


class Listed(NamedTuple):
    """A page as others know it; a site has thousands, so it holds nothing that few ask for.

    Attributes:
        file: its path relative to the content folder.
        title: the front matter's or the first heading's.
        sequences: the names of those it defines.
        needs: the pages to read first, as written.
        formerly: the names it had before, as written.
        terms: of the glossary; of any other page nothing.
        blocks: its blocks, in the order of their lines; those of footnotes are numbered last.

    The other fields are those of its front matter.
    """

    file: str
    title: str
    summary: str
    lang: str
    date: str
    draft: bool
    cube: int | None
    sequences: tuple[str, ...]
    needs: tuple[PlacedName, ...]
    formerly: tuple[PlacedName, ...]
    terms: tuple[Term, ...]
    blocks: tuple[Outline, ...]

    @property
    def address(self) -> str:
        """Where it is published, relative to the site's root."""
        return published_as(self.file)

    @property
    def entry(self) -> Entry:
        """The page as others link to it."""
        return Entry(self.address, self.title, self.summary, self.lang)

    @property
    def as_glossary(self) -> object:
        """Of the glossary, a value that changes with what other pages take from it."""
        return self.terms, self.lang, self.draft

    def block_at(self, line: int) -> int | None:
        """The number of the block that a line of the page's file is in, if it is in one."""
        above = bisect_right(self.blocks, line, key=attrgetter("line"))
        block = self.blocks[above - 1] if above else None
        return block.number if block and line <= block.last else None

    @property
    def former_addresses(self) -> tuple[str, ...]:
        """Where it was published before, relative to the site's root."""
        return tuple(former_address(self.file, one.name) for one in self.formerly)


def listed(page: Page, blocks: Iterable[Outline]) -> Listed:
    """A page as others know it.

    Args:
        page: the page.
        blocks: its blocks, in any order.
    """
    front = page.front
    return Listed(
        file=page.file,
        title=page.title,
        summary=front.summary,
        lang=front.lang,
        date=front.date,
        draft=front.draft,
        cube=front.cube,
        sequences=tuple(front.sequences.texts),
        needs=front.needs,
        formerly=front.formerly,
        terms=page.terms,
        blocks=tuple(sorted(blocks, key=attrgetter("line"))),
    )

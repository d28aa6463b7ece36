"""What is kept of a page: what others see of it, and whom it looks at."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple
from urllib.parse import unquote

from sitegen.block.model import Reference
from sitegen.kept.seen import Stat
from sitegen.notation.spell import Sequences
from sitegen.pages.around import Outline
from sitegen.pages.front import Front
from sitegen.pages.page import BlockText, Page, is_outside
from sitegen.pages.references import page_named
from sitegen.pages.site import Term
from sitegen.problem import Source

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sitegen.make import Made

Named = tuple[str, int, int]
"""A name in the front matter, its line and column."""


class Known(NamedTuple):
    """A page in which nothing was wrong.

    Attributes:
        stat: what the file system said of its file.
        text: the SHA-256 of its text.
        told: whether there was a warning; then it is read anew, so that it is told again.
        has_title: the front matter's or the first heading's.
        sequences: their names.
        terms: of the glossary; of any other page nothing.
        anchors: as in `Page`, in order.
        outlines: its blocks.
        looks: the names that its links and its `needs` lead to: `a/b.md`, `a/b.md#anchor`.
        leans: the other pages that its blocks refer to.
        asks: the other pages of which its prose asks facts.
        extract: the name of its `Extract` in the store; "" for a draft, which has none.

    The other fields are those of the page and of its front matter.
    """

    stat: Stat
    text: str
    told: bool
    title: str
    summary: str
    cube: int | None
    sequences: tuple[str, ...]
    needs: tuple[Named, ...]
    formerly: tuple[Named, ...]
    date: str
    lang: str
    draft: bool
    terms: tuple[Term, ...]
    anchors: tuple[str, ...]
    outlines: tuple[Outline, ...]
    looks: tuple[str, ...]
    leans: tuple[str, ...]
    asks: tuple[str, ...]
    extract: str

    @property
    def face(self) -> tuple[str, str, bool]:
        """What those see that link to it, its anchors left out."""
        return self.title, self.summary, self.draft

    def page(self, file: str) -> Page:
        """The page as far as others need it: it says nothing itself, so nothing of it is wrong."""
        nothing = Source(file, "", (), ())
        return Page(
            file=file,
            front=Front(
                title=self.title,
                summary=self.summary,
                cube=self.cube,
                sequences=Sequences(dict.fromkeys(self.sequences, "")),
                needs=self.needs,
                formerly=self.formerly,
                date=self.date,
                lang=self.lang,
                draft=self.draft,
            ),
            title=self.title,
            has_title=False,
            blocks=tuple(
                [BlockText(i, one.id, nothing, nothing) for i, one in enumerate(self.outlines)]
            ),
            spans=(),
            links=(),
            headings=(),
            terms=self.terms,
            anchors=frozenset(self.anchors),
            body=(),
        )


def known(made: Made, file: str, stat: Stat) -> Known:
    """What is to be kept of a page that was read.

    Args:
        made: the folder; its blocks need not be judged yet.
        file: the page.
        stat: what the file system said of it before it was read.
    """
    page = made.pages[file]
    front = page.front
    return Known(
        stat=stat,
        text=made.digests[file],
        told=any(problem.file == file for problem in made.problems),
        title=page.title,
        summary=front.summary,
        cube=front.cube,
        sequences=tuple(front.sequences.texts),
        needs=front.needs,
        formerly=front.formerly,
        date=front.date,
        lang=front.lang,
        draft=front.draft,
        terms=page.terms,
        anchors=tuple(sorted(page.anchors)),
        outlines=made.outlines[file],
        looks=tuple(sorted(set(_looks(page)))),
        leans=tuple(sorted(set(_leans(made, file)) - {file})),
        asks=tuple(sorted(set(_asks(made, file)) - {file})),
        extract="",
    )


def _looks(page: Page) -> Iterator[str]:
    for name, _, _ in page.front.needs:
        yield page_named(page.file, name)
    for link in page.links:
        if is_outside(link.address):
            continue
        path, _, anchor = link.address.partition("#")
        path = path.partition("?")[0]
        target = page_named(page.file, path) if path else page.file
        yield target
        if target.endswith(".html"):
            yield target.removesuffix(".html") + ".md"
        if anchor:
            yield f"{target}#{unquote(anchor)}"


def _leans(made: Made, file: str) -> Iterator[str]:
    for number, _ in enumerate(made.outlines[file]):
        block = made.blocks[file, number]
        for given in (block.start, block.goal):
            if given and isinstance(given.origin, Reference) and given.origin.page:
                yield page_named(file, given.origin.page)


def _asks(made: Made, file: str) -> Iterator[str]:
    for said in made.said[file]:
        if said.asked and said.asked.page:
            yield page_named(file, said.asked.page)


def from_json(row: Any) -> Known:  # noqa: ANN401 - whatever JSON can hold
    """A page as it was kept; a hand-written reader, for there are thousands.

    Raises:
        TypeError, ValueError: it was not kept by this program.
    """
    one = Known(*row)
    return one._replace(
        stat=Stat(*one.stat),
        needs=tuple([(name, line, column) for name, line, column in one.needs]),
        formerly=tuple([(name, line, column) for name, line, column in one.formerly]),
        terms=tuple([Term(*term) for term in one.terms]),
        outlines=tuple([Outline(*outline) for outline in one.outlines]),
    )

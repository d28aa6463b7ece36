"""What the pages about the whole site take from one page: its figures, sequences, headings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.block.show import Still
from sitegen.draw.styles import STYLES
from sitegen.notation.tree import nodes_of
from sitegen.pages.moved import former_address
from sitegen.pages.named_moves import carried_out, named_sequences
from sitegen.pages.prose import as_words
from sitegen.pages.site import Details, Extract, FigureKind, Plate
from sitegen.said import Plain

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sitegen.block.model import Context
    from sitegen.block.replay import Replay
    from sitegen.pages.figure import Standpoint
    from sitegen.pages.page import Page
    from sitegen.pages.prose import ReadSpan
    from sitegen.pages.site import Entry, Figure
    from sitegen.said import Say


def extract(
    page: Page, entry: Entry, plates: Sequence[Plate], context: Context, say: Say
) -> Extract:
    """What the pages about the whole site take from a page, but for its details.

    Args:
        page: the page.
        entry: it as others link to it.
        plates: its figures.
        context: what its sequences are read with.
        say: says the theme's texts in the site's language.
    """
    front = page.front
    return Extract(
        entry=entry,
        date=front.date,
        tags=front.tags,
        figures=tuple([FigureKind(one.n, bool(one.title)) for one in plates]),
        sequences=named_sequences(context, say),
        formerly=tuple(former_address(page.file, one.name) for one in front.formerly),
    )


def details(page: Page, plates: Sequence[Plate], said: Iterable[ReadSpan]) -> Details:
    """What the pages about the whole site take from a page besides.

    Args:
        page: the page.
        plates: its figures.
        said: what its code spans are.
    """
    spoken_of = (
        " ".join(word.text for word in one.words)
        for one in said
        if one.kind == "moves" and len(one.words) > 1
    )
    return Details(
        headings=page.headings,
        plates=tuple(plates),
        moves=tuple(dict.fromkeys(spoken_of)),
        terms=page.terms,
    )


def _picture(done: Replay, figure: Figure, at: Standpoint) -> str:
    """The picture that a figure shows first; a block that shows none is drawn for lists."""
    block = done.block
    shown = (*figure.before, *(() if _keeps_back(figure) else figure.after))
    if shown:
        return shown[0].svg
    drawn = Still(done, letters=at.letters).first(Plain("picture.only"))
    return STYLES[block.show.style].draw(drawn, block.scheme, at.say)


def _keeps_back(figure: Figure) -> bool:
    """Whether a figure has its moves behind a button."""
    return figure.fold != "open"


def plate(done: Replay, figure: Figure, at: Standpoint) -> Plate:
    """A figure as lists of figures show it: what is kept behind its button is kept back there too.

    Args:
        done: the block.
        figure: the same, ready to be set.
        at: where it stands on its page.
    """
    block = done.block
    steps, phrases, moves = block.steps, block.phrases, figure.moves
    if _keeps_back(figure):
        steps, phrases, moves = (), (), None
    words = as_words(nodes_of(phrases))
    return Plate(
        anchor=figure.id,
        number=figure.number,
        title=figure.title,
        n=figure.n,
        words=words,
        named=moves.named if moves else (),
        turns=moves.turns if moves else "",
        carried_out=carried_out(steps, words, block.n),
        svg=_picture(done, figure, at),
    )

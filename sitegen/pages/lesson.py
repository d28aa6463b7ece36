"""Judged pages set: figures drawn, prose filled in, lessons put in their places."""

from __future__ import annotations

import re
from html import escape
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.block.model import Told
from sitegen.block.show import followed, views
from sitegen.cube.possible import REASONS
from sitegen.draw.styles import STYLES
from sitegen.notation.count import count_turns
from sitegen.pages.course import entry
from sitegen.pages.page import Box
from sitegen.pages.prose import as_words
from sitegen.pages.site import Figure, Lesson, Marked, Phrase, Shown

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from sitegen.block.model import Block
    from sitegen.block.replay import Replay
    from sitegen.pages.course import Standing
    from sitegen.pages.formats.html import Html
    from sitegen.pages.page import Body, Page
    from sitegen.pages.prose import Said
    from sitegen.pages.site import Entry


_FENCE: Final = re.compile(r"(`{3,}|~{3,}).*")


def figure(done: Replay, anchor: str, number: int, *, letters: bool) -> Figure:
    """A replayed block, ready to be set.

    Args:
        done: the block.
        anchor: its anchor on the page.
        number: 1 for the page's first figure.
        letters: print the colours' letters on the stickers.
    """
    block = done.block
    moves, start = block.moves, block.start
    setup = start.origin if start and isinstance(start.origin, Told) and block.show.setup else None
    draw = STYLES[block.show.style].draw
    before: list[Shown] = []
    after: list[Shown] = []
    for view in views(done, letters):
        first = "before" if block.steps else "only"
        moment = {0: first, None: "after"}.get(view.line, "line")
        svg = draw(view.picture, block.scheme, standalone=False)
        shown = Shown(moment, svg, view.line or 0)
        (before if view.line == 0 else after).append(shown)
    turns = ""
    if block.steps:
        turned = [step.turn for step in block.steps]
        turns = f"{count_turns(turned, block.n, block.metric)} {block.metric}"
    return Figure(
        id=anchor,
        number=number,
        title=block.title,
        n=block.n,
        fold=block.fold,
        setup=_phrases(setup),
        phrases=_phrases(moves),
        marked=tuple(Marked(mark.label, *followed(done, mark)) for mark in block.marks),
        before=tuple(before),
        after=tuple(after),
        checked=tuple(claim.text for claim in block.claims),
        turns=turns,
        impossible=REASONS[block.impossible] if block.impossible else "",
        source=as_written(block) if block.show.source else "",
    )


def as_written(block: Block) -> str:
    """A block's own text between its fence's marks, without the list or quote it stands in."""
    opened = _FENCE.search(block.head.text)
    first, mark = (opened[0], opened[1]) if opened else ("", "")
    return f"{first}\n{block.source.text}\n{mark}"


def _phrases(told: Told | None) -> tuple[Phrase, ...]:
    if told is None:
        return ()
    return tuple(Phrase(as_words(phrase.nodes), phrase.caption) for phrase in told.phrases)


def lesson(
    page: Page,
    standing: Standing,
    needs: tuple[Entry, ...],
    body: str,
    lang: str,
) -> Lesson:
    """A page with its body set."""
    return Lesson(
        entry=entry(page),
        lang=page.front.lang or lang,
        date=page.front.date,
        draft=page.front.draft,
        body=body,
        has_title=page.has_title,
        headings=page.headings,
        course=standing.course,
        previous=standing.previous,
        next=standing.next,
        needs=needs,
        figures=len(page.blocks),
    )


class Filling(NamedTuple):
    """What fills the slots of a page's body.

    Attributes:
        figures: the HTML of a block, by its number.
        said: what each code span is.
        answer: what a fact comes to.
        lang: the page's language, "" for the site's.
    """

    figures: Callable[[int], str]
    said: Sequence[Said]
    answer: Callable[[Said], str]
    lang: str


def set_body(body: Body, html: Html, filling: Filling) -> str:
    """The HTML of a page, its slots filled in."""
    pieces = []
    for piece in body:
        if isinstance(piece, str):
            pieces.append(piece)
        elif isinstance(piece, Box):
            inside = set_body(piece.body, html, filling)
            pieces.append(html.box(piece.kind, inside, filling.lang))
        elif piece.kind == "f":
            pieces.append(filling.figures(piece.number))
        else:
            pieces.append(_span(filling.said[piece.number], html, filling.answer))
    return "".join(pieces)


def _span(said: Said, html: Html, answer: Callable[[Said], str]) -> str:
    if said.kind == "moves":
        return html.moves(said.words)
    if said.kind == "fact":
        return escape(answer(said))
    if said.kind == "place":
        return f'<code class="place">{escape(said.text)}</code>'
    return f"<code>{escape(said.text)}</code>"


def anchors(page: Page) -> list[str]:
    """The anchor of each figure: its id, or one made from its number that nothing else has."""
    taken, made = set(page.anchors), []
    for block in page.blocks:
        anchor = block.id
        if not anchor:
            anchor = f"figure-{block.number + 1}"
            while anchor in taken:
                anchor += "-"
            taken.add(anchor)
        made.append(anchor)
    return made

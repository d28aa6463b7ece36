"""Judged pages set: prose filled in, figures in their slots, lessons put in their places."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, NamedTuple

from sitegen.block.facts import FACTS
from sitegen.notation.read import read_moves
from sitegen.pages.course import entry
from sitegen.pages.page import Box
from sitegen.pages.prose import as_words
from sitegen.pages.site import Lesson

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from sitegen.pages.course import Standing
    from sitegen.pages.formats.html import Html
    from sitegen.pages.page import Body, Page
    from sitegen.pages.prose import Said
    from sitegen.pages.site import Entry, Word


def lesson(
    page: Page,
    standing: Standing,
    needs: tuple[Entry, ...],
    body: str,
    lang: str,
) -> Lesson:
    """A page with its body set."""
    title, mark, rest = body.partition("</h1>\n") if page.has_title else ("", "", body)
    return Lesson(
        entry=entry(page),
        lang=page.front.lang or lang,
        date=page.front.date,
        draft=page.front.draft,
        title=title + mark.rstrip(),
        body=rest,
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
        linked: a piece of the page's own HTML, with the glossary's terms linked.
    """

    figures: Callable[[int], str]
    said: Sequence[Said]
    answer: Callable[[Said], str]
    lang: str
    linked: Callable[[str], str]


def set_body(body: Body, html: Html, filling: Filling) -> str:
    """The HTML of a page, its slots filled in."""
    pieces = []
    for piece in body:
        if isinstance(piece, str):
            pieces.append(filling.linked(piece))
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
        text = answer(said)
        fact = FACTS.get(said.asked.words[0]) if said.asked else None
        is_moves = fact is not None and fact.is_moves and text != said.text
        return html.moves(_written(text)) if is_moves else escape(text)
    if said.kind == "place":
        return f'<code class="place">{escape(said.text)}</code>'
    return f"<code>{escape(said.text)}</code>"


def _written(text: str) -> tuple[Word, ...]:
    return as_words(node for phrase in read_moves(text, []).phrases for node in phrase.nodes)

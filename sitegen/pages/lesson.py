"""Judged pages set: prose filled in, figures in their slots."""

from __future__ import annotations

import re
from html import escape
from typing import TYPE_CHECKING, Final

from sitegen.block.facts import FACTS
from sitegen.notation.read import read_moves
from sitegen.notation.tree import nodes_of
from sitegen.pages.page import Box
from sitegen.pages.prose import as_words
from sitegen.pages.site import Lesson

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from sitegen.pages.formats.parts import Parts
    from sitegen.pages.page import Body, Page
    from sitegen.pages.prose import ReadSpan
    from sitegen.pages.site import Entry

_UNBROKEN: Final = re.compile(r"(?P<word>(?=.*-.)\S{1,20})|(?P<long>\S{21,})")
"""Code without blanks whose class says what a table does with it: a short name is not cut at its
hyphens, and an address may be cut anywhere, or its column would be too wide for a phone."""


def lesson(page: Page, entry: Entry, body: str, lang: str) -> Lesson:
    """A page with its body set, its place in the site still open.

    Args:
        page: the page.
        entry: it as others link to it.
        body: its HTML.
        lang: the site's language.
    """
    title, mark, rest = body.partition("</h1>\n") if page.has_title else ("", "", body)
    return Lesson(
        entry=entry,
        lang=page.front.lang or lang,
        date=page.front.date,
        draft=page.front.draft,
        title=title + mark.rstrip(),
        body=rest,
        headings=tuple(one for one in page.headings if one.level),
        figures=len(page.blocks),
    )


def set_body(
    body: Body,
    filled: Mapping[str, Sequence[str]],
    parts: Parts,
    lang: str,
    linked: Callable[[str], str],
) -> str:
    """The HTML of a page, its slots filled in.

    Args:
        body: the page's.
        filled: for each kind of slot, what stands in those of that kind, by number.
        parts: sets boxes.
        lang: the page's language, "" for the site's.
        linked: gives a piece of the page's own HTML with the glossary's terms linked.
    """
    pieces = []
    for piece in body:
        if isinstance(piece, str):
            pieces.append(linked(piece))
        elif isinstance(piece, Box):
            inside = set_body(piece.body, filled, parts, lang, linked)
            pieces.append(parts.box(piece.kind, inside, lang))
        else:
            pieces.append(filled[piece.kind][piece.number])
    return "".join(pieces)


def set_span(said: ReadSpan, text: str, parts: Parts, lang: str) -> str:
    """The HTML of a code span.

    Args:
        said: what it is.
        text: what it says: of a fact, what that comes to.
        parts: sets moves.
        lang: the page's language, "" for the site's.
    """
    if said.kind == "moves":
        return parts.moves(said.words, parts.words(lang))
    if said.kind == "fact":
        fact = FACTS.get(said.asked.words[0]) if said.asked else None
        if fact is not None and fact.is_moves and text != said.text:
            written = as_words(nodes_of(read_moves(text, []).phrases))
            return parts.moves(written, parts.words(lang))
        return escape(text)
    if said.kind == "place":
        return f'<code class="place">{escape(text)}</code>'
    found = _UNBROKEN.fullmatch(text)
    kind = f' class="{found.lastgroup}"' if found else ""
    return f"<code{kind}>{escape(text)}</code>"

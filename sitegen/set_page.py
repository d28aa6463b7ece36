"""A judged page set: its figures drawn, its prose filled in; its place in the site still open."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from sitegen.make import fact, find_block
from sitegen.pages.around import GLOSSARY
from sitegen.pages.extract import details, extract, plate
from sitegen.pages.figure import Standpoint, figure
from sitegen.pages.glossary import Linker, Terms
from sitegen.pages.lesson import Filling, lesson, set_body
from sitegen.pages.page import with_spans
from sitegen.pages.review import failure, troubles
from sitegen.pages.way import Way, held_before_and_after, way_to
from sitegen.problem import Wrong

if TYPE_CHECKING:
    from collections.abc import Callable

    from sitegen.make import Made
    from sitegen.pages.formats.parts import Parts
    from sitegen.pages.listed import Listed
    from sitegen.pages.page import Page
    from sitegen.pages.prose import ReadSpan
    from sitegen.pages.site import Details, Extract, Lesson, Plate
    from sitegen.told import Say
    from sitegen.verdicts import Verdicts


class SetPage(NamedTuple):
    """A page set.

    Attributes:
        lesson: the page, without its place in the site.
        extract: what the pages about the whole site take from it.
        details: what they take besides, page by page.
    """

    lesson: Lesson
    extract: Extract
    details: Details


def glossary_terms(glossary: Listed | None, lang: str) -> Terms:
    """The glossary's terms; none without a glossary.

    Args:
        glossary: its page, if the site has one that is published.
        lang: the site's language.
    """
    if glossary is None or glossary.draft:
        return Terms((), lang)
    return Terms(glossary.terms, glossary.lang or lang)


def set_page(
    made: Made, file: str, parts: Parts, terms: Terms, judged: Verdicts | None = None
) -> SetPage:
    """Set a page.

    Args:
        made: the page, and all it leans on; nothing is wrong with it, unless `judged` is there.
        file: the page.
        parts: sets it.
        terms: the glossary's.
        judged: what is wrong, to be shown in its place in a copy for review.

    Raises:
        ThemeError: an own template does not work.
    """
    page, lang = made.pages[file], made.settings.lang
    body, plates = _set_blocks_and_prose(made, page, parts, terms, judged)
    page = with_headings_filled(made, file, parts.words(page.front.lang).say)
    return SetPage(
        lesson(page, body, lang),
        extract(page, lang, plates, made.contexts[file], parts.words("").say),
        details(page, plates, made.said[file]),
    )


def _set_blocks_and_prose(
    made: Made, page: Page, parts: Parts, terms: Terms, judged: Verdicts | None
) -> tuple[str, list[Plate]]:
    """A page's HTML, figures drawn and prose filled in; and its figures as lists show them."""
    lang = page.front.lang
    say = parts.words(lang).say
    stands = _standpoints(made, page, say)
    plates: list[Plate] = []
    is_told = False  # what small marks on stickers mean

    def figures(number: int) -> str:
        key, at = (page.file, number), stands[number]
        failed = failure(key, made, judged, at) if judged else None
        if failed:
            return parts.failure(failed, lang)
        done = made.replays[key]
        set_out = figure(done, at)
        plates.append(plate(done, set_out, at))
        nonlocal is_told
        if not is_told and set_out.has_marks:
            set_out, is_told = replace(set_out, is_key=True), True
        return parts.figure(set_out, lang)

    def answer(said: ReadSpan) -> str:
        return _answer(made, page.file, said, say)

    linked = _linker(page, terms, lang or made.settings.lang)
    body = set_body(page.body, parts, Filling(figures, made.said[page.file], answer, lang, linked))
    outside = judged.outside.get(page.file, ()) if judged else ()
    if outside:
        body = parts.troubles(troubles(outside), lang) + body
    return body, plates


def _linker(page: Page, terms: Terms, lang: str) -> Callable[[str], str]:
    """A function that links the glossary's terms in HTML; with no terms it changes nothing."""
    if page.file == GLOSSARY or not terms.speak(lang):
        return str
    root = "../" * page.address.count("/")
    return Linker(terms, f"{root}{GLOSSARY.removesuffix('.md')}.html").linked


def _standpoints(made: Made, page: Page, say: Say) -> list[Standpoint]:
    """Where each figure of a page stands, and how its reader holds the cube by then."""
    stands, last, letters = [], None, made.settings.letters
    for number, anchor in enumerate(page.figure_anchors):
        key = page.file, number
        done = made.replays.get(key)
        way = way_to(key, made.blocks, made.references) if done else Way()
        stands.append(Standpoint(anchor, number + 1, way, last, made.contexts, letters, say))
        held = held_before_and_after(done, way) if done else None
        last = held[1] if held else last
    return stands


def with_headings_filled(made: Made, file: str, say: Say) -> Page:
    """A page with the code spans in its title and headings filled in.

    Args:
        made: the page, and all it leans on, judged.
        file: the page.
        say: says the theme's texts in the page's language.
    """

    def says(number: int) -> str:
        said = made.said[file][number]
        return _answer(made, file, said, say) if said.kind == "fact" else said.text

    return with_spans(made.pages[file], says)


def _answer(made: Made, file: str, said: ReadSpan, say: Say) -> str:
    """What a fact comes to; as it is written where it has no answer."""
    key = said.asked and find_block(made, file, said.asked)
    if not key or not said.asked or key not in made.replays:
        return said.text
    try:
        return say(fact(made, key, said.asked))
    except Wrong:  # told among the page's problems
        return said.text

"""A judged page set: its figures drawn, its prose filled in; its place in the site still open."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from sitegen.answers import answer
from sitegen.pages.around import GLOSSARY
from sitegen.pages.extract import details, extract, plate
from sitegen.pages.figure import Standpoint, figure
from sitegen.pages.glossary import Linker, Terms
from sitegen.pages.lesson import lesson, set_body, set_span
from sitegen.pages.page import with_spans
from sitegen.pages.way import Way, held_before_and_after, way_to
from sitegen.review import failure, troubles

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from sitegen.made import Made
    from sitegen.pages.formats.parts import Parts
    from sitegen.pages.listed import Listed
    from sitegen.pages.page import Page
    from sitegen.pages.site import Details, Extract, Lesson, Plate
    from sitegen.said import Say


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
    made: Made, file: str, parts: Parts, terms: Terms, *, for_review: bool = False
) -> SetPage:
    """Set a page.

    Args:
        made: the page, and all it leans on; nothing is wrong with it, unless it is for review.
        file: the page.
        parts: sets it.
        terms: the glossary's.
        for_review: show what is wrong where it stands.

    Raises:
        ThemeError: an own template does not work.
    """
    page, site_lang = made.pages[file], made.settings.lang
    lang = page.front.lang
    say = parts.words(lang).say
    texts = _texts_of_spans(made, file, say)
    figures, plates = _set_figures(made, page, parts, say, for_review=for_review)
    spans = [
        set_span(span, text, parts, lang) for span, text in zip(made.said[file], texts, strict=True)
    ]
    linked = _linker(made.listed[file], terms, lang or site_lang)
    body = set_body(page.body, {"figure": figures, "span": spans}, parts, lang, linked)
    outside = made.verdicts.outside.get(file) if for_review else None
    if outside:
        body = parts.troubles(troubles(outside), lang) + body
    page = with_spans(page, texts)
    entry = made.listed[file]._replace(title=page.title).entry
    return SetPage(
        lesson(page, entry, body, site_lang),
        extract(page, entry, plates, made.contexts[file], parts.words("").say),
        details(page, plates, made.said[file]),
    )


def _set_figures(
    made: Made, page: Page, parts: Parts, say: Say, *, for_review: bool
) -> tuple[list[str], list[Plate]]:
    """The HTML of each block of a page; and those that are carried out as lists show them."""
    figures: list[str] = []
    plates: list[Plate] = []
    is_told = False  # what small marks on stickers mean
    for number, at in enumerate(_standpoints(made, page, say)):
        key = page.file, number
        failed = failure(key, made, at) if for_review else None
        if failed:
            figures.append(parts.failure(failed, page.front.lang))
            continue
        done = made.replays[key]
        set_out = figure(done, at)
        plates.append(plate(done, set_out, at))
        if not is_told and set_out.has_marks:
            set_out, is_told = replace(set_out, is_key=True), True
        figures.append(parts.figure(set_out, page.front.lang))
    return figures, plates


def _linker(page: Listed, terms: Terms, lang: str) -> Callable[[str], str]:
    """A function that links the glossary's terms in HTML; with no terms it changes nothing."""
    if page.file == GLOSSARY or not terms.speak(lang):
        return str
    root = "../" * page.address.count("/")
    return Linker(terms, f"{root}{GLOSSARY.removesuffix('.md')}.html").linked


def _standpoints(made: Made, page: Page, say: Say) -> Iterator[Standpoint]:
    """Where each figure of a page stands, and how its reader holds the cube by then."""
    last = None
    for number, anchor in enumerate(page.figure_anchors):
        key = page.file, number
        done = made.replays.get(key)
        way = way_to(key, made.blocks, made.references) if done else Way()
        letters = made.settings.letters
        held = held_before_and_after(done, way) if done else None
        yield Standpoint(anchor, number + 1, way, held, last, made.contexts, letters, say)
        last = held[1] if held else last


def _texts_of_spans(made: Made, file: str, say: Say) -> list[str]:
    """What each code span of a page says; a fact without an answer is left as it is written."""
    texts = []
    for said in made.said[file]:
        found = answer(made, file, said.asked) if said.asked else None
        texts.append(said.text if found is None else say(found))
    return texts


def titled(made: Made, parts: Parts) -> dict[str, Listed]:
    """The pages as others know them, what their titles ask of blocks filled in."""
    found = {}
    for file, page in made.listed.items():
        texts = _texts_of_spans(made, file, parts.words(page.lang).say)
        found[file] = page._replace(title=with_spans(made.pages[file], texts).title)
    return found

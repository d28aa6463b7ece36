"""A judged folder written as a site: every format's files, and the files that are copied."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.make import fact, find_block
from sitegen.pages.around import GLOSSARY, beside, sizes
from sitegen.pages.course import courses, entry
from sitegen.pages.extract import extract, named_sequences, plate
from sitegen.pages.figure import Standpoint, figure
from sitegen.pages.folder import folded
from sitegen.pages.formats.html import Html
from sitegen.pages.formats.table import FORMATS
from sitegen.pages.glossary import Linker, Terms
from sitegen.pages.lesson import Filling, lesson, set_body
from sitegen.pages.references import page_named
from sitegen.pages.review import failure, review, troubles
from sitegen.pages.setup import Way, holds, way_to
from sitegen.pages.site import Site
from sitegen.problem import Wrong
from sitegen.verdicts import verdicts

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from pathlib import Path

    from sitegen.make import Made
    from sitegen.pages.page import Page
    from sitegen.pages.prose import Said
    from sitegen.pages.site import Plate
    from sitegen.verdicts import Verdicts


def site_files(
    made: Made,
    own_theme: Path | None,
    progress: Callable[[int, int], None],
    *,
    with_failures: bool = False,
) -> Iterator[tuple[str, bytes | Path]]:
    """All files of the site, each with its address; pages are set as they are asked for.

    Args:
        made: the folder, in which nothing is wrong, unless this is a copy for review.
        own_theme: the folder of the site's own theme, if it has one.
        progress: told how many pages are set, and of how many.
        with_failures: make a copy for review, with what is wrong shown in its place.

    Raises:
        ThemeError: an own template does not work.
    """
    settings = made.settings
    pages = {file: page for file, page in made.pages.items() if not page.front.draft}
    listed, standing = courses(settings, pages)
    judged = verdicts(made) if with_failures else None
    site = Site(
        title=settings.title,
        summary=settings.summary,
        author=settings.author,
        url=settings.url,
        lang=settings.lang,
        scheme=settings.scheme,
        courses=listed,
        beside=beside(settings, pages, made.blocks),
        sizes=sizes(settings, pages, made.blocks),
        sequences=named_sequences(settings.context()),
        has_feed=bool(settings.url) and any(page.front.date for page in pages.values()),
        review=review(made, judged, pages) if judged else None,
    )
    html = Html(site, own_theme)
    terms = _terms(pages, settings.lang)
    extracts = []
    written = set(map(folded, made.folder.others))
    for number, (file, page) in enumerate(pages.items(), 1):
        needed = [page_named(file, name) for name, _, _ in page.front.needs]
        needs = tuple(entry(pages[name]) for name in needed if name in pages)
        body, plates = _body(made, page, html, terms, judged)
        done = lesson(page, standing[file], needs, body, settings.lang)
        written.add(folded(page.address))
        yield page.address, html.page(done).encode()
        context, said = made.contexts[file], made.said[file]
        extracts.append(extract(page, settings.lang, plates, said, context))
        progress(number, len(pages))
    for form in FORMATS.values():
        for address, data in form(html, site, extracts):
            if (
                folded(address) not in written
            ):  # a file of the author's takes the place of one of ours
                yield address, data
    for path in made.folder.others:
        yield path, made.folder.root / path


def _terms(pages: Mapping[str, Page], lang: str) -> Terms:
    """The glossary's terms; none without a glossary."""
    page = pages.get(GLOSSARY)
    return Terms(page.terms, page.front.lang or lang) if page else Terms((), lang)


def _body(
    made: Made, page: Page, html: Html, terms: Terms, judged: Verdicts | None
) -> tuple[str, list[Plate]]:
    """What stands on a page, its figures drawn and its prose filled in; and its figures."""
    lang, letters = page.front.lang, made.settings.letters
    stands = _standpoints(made, page)
    plates = []

    def figures(number: int) -> str:
        key, at = (page.file, number), stands[number]
        failed = failure(key, made, judged, at) if judged else None
        if failed:
            return html.failure(failed, lang)
        done = made.replays[key]
        set_out = figure(done, at)
        plates.append(plate(done, set_out, letters=letters))
        return html.figure(set_out, lang)

    def answer(said: Said) -> str:
        return _answer(made, page, said)

    linked = _linked(page, terms, lang or made.settings.lang)
    body = set_body(page.body, html, Filling(figures, made.said[page.file], answer, lang, linked))
    outside = judged.outside.get(page.file, ()) if judged else ()
    if outside:
        body = html.troubles(troubles(outside, None, letters=letters), lang) + body
    return body, plates


def _linked(page: Page, terms: Terms, lang: str) -> Callable[[str], str]:
    """What links the glossary's terms on a page, where it has any to link."""
    if page.file == GLOSSARY or not terms.speak(lang):
        return str
    root = "../" * page.address.count("/")
    return Linker(terms, f"{root}{GLOSSARY.removesuffix('.md')}.html").linked


def _standpoints(made: Made, page: Page) -> list[Standpoint]:
    """Where each figure of a page stands; how the cube is held is told on from figure to figure."""
    stands, last, letters = [], None, made.settings.letters
    for number, anchor in enumerate(page.figure_anchors):
        key = page.file, number
        done = made.replays.get(key)
        way = way_to(key, made.blocks, made.references) if done else Way()
        stands.append(Standpoint(anchor, number + 1, way, last, made.contexts, letters))
        held = holds(done, way) if done else None
        last = held[1] if held else last
    return stands


def _answer(made: Made, page: Page, said: Said) -> str:
    """What a fact comes to; as it is written where it has no answer."""
    key = said.asked and find_block(made, page.file, said.asked)
    if not key or not said.asked or key not in made.replays:
        return said.text
    try:
        return fact(made.replays[key], said.asked)
    except Wrong:  # told among the page's problems
        return said.text

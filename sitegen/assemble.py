"""A judged folder written as a site: every format's files, and the files that are copied."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.make import fact, find_block
from sitegen.pages.course import courses, entry
from sitegen.pages.figure import Standpoint, figure
from sitegen.pages.formats.html import Html
from sitegen.pages.formats.table import FORMATS
from sitegen.pages.lesson import Filling, anchors, lesson, set_body
from sitegen.pages.references import page_named
from sitegen.pages.review import failure, review, troubles
from sitegen.pages.setup import Way, holds, way_to
from sitegen.pages.site import Site
from sitegen.problem import Wrong
from sitegen.verdicts import verdicts

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from sitegen.make import Made
    from sitegen.pages.page import Page
    from sitegen.pages.prose import Said
    from sitegen.pages.site import Lesson
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
        settings.title,
        settings.summary,
        settings.author,
        settings.url,
        settings.lang,
        settings.scheme,
        listed,
        review(made, judged, pages) if judged else None,
    )
    html = Html(site, own_theme)
    copied = set(made.folder.others)

    def lessons() -> Iterator[Lesson]:
        for number, (file, page) in enumerate(pages.items(), 1):
            needed = [page_named(file, name) for name, _, _ in page.front.needs]
            needs = tuple(entry(pages[name]) for name in needed if name in pages)
            body = _body(made, page, html, judged)
            yield lesson(page, standing[file], needs, body, settings.lang)
            progress(number, len(pages))

    for form in FORMATS.values():
        for address, data in form(html, site, lessons):
            if address not in copied:  # a file of the author's takes the place of one of ours
                yield address, data
    for path in made.folder.others:
        yield path, made.folder.root / path


def _body(made: Made, page: Page, html: Html, judged: Verdicts | None) -> str:
    """What stands on a page, its figures drawn and its prose filled in."""
    lang, letters = page.front.lang, made.settings.letters
    stands = _standpoints(made, page)

    def figures(number: int) -> str:
        key, at = (page.file, number), stands[number]
        failed = failure(key, made, judged, at) if judged else None
        if failed:
            return html.failure(failed, lang)
        return html.figure(figure(made.replays[key], at), lang)

    def answer(said: Said) -> str:
        return _answer(made, page, said)

    body = set_body(page.body, html, Filling(figures, made.said[page.file], answer, lang))
    outside = judged.outside.get(page.file, ()) if judged else ()
    if outside:
        body = html.troubles(troubles(outside, None, letters=letters), lang) + body
    return body


def _standpoints(made: Made, page: Page) -> list[Standpoint]:
    """Where each figure of a page stands; how the cube is held is told on from figure to figure."""
    stands, last, letters = [], None, made.settings.letters
    for number, anchor in enumerate(anchors(page)):
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

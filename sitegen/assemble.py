"""A judged folder written as a site: every format's files, and the files that are copied."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.make import fact, find_block
from sitegen.pages.course import courses, entry
from sitegen.pages.formats.html import Html
from sitegen.pages.formats.table import FORMATS
from sitegen.pages.lesson import anchors, figure, lesson, set_body
from sitegen.pages.references import page_named
from sitegen.pages.site import Site

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from sitegen.make import Made
    from sitegen.pages.course import Standing
    from sitegen.pages.page import Page
    from sitegen.pages.prose import Said
    from sitegen.pages.site import Lesson


def site_files(
    made: Made, own_theme: Path | None, progress: Callable[[int, int], None]
) -> Iterator[tuple[str, bytes | Path]]:
    """All files of the site, each with its address; pages are set as they are asked for.

    Args:
        made: the folder, in which nothing is wrong.
        own_theme: the folder of the site's own theme, if it has one.
        progress: told how many pages are set, and of how many.

    Raises:
        ThemeError: an own template does not work.
    """
    settings = made.settings
    pages = {file: page for file, page in made.pages.items() if not page.front.draft}
    listed, standing = courses(settings, pages)
    site = Site(
        settings.title,
        settings.summary,
        settings.author,
        settings.url,
        settings.lang,
        settings.scheme,
        listed,
    )
    html = Html(site, own_theme)
    copied = set(made.folder.others)

    def lessons() -> Iterator[Lesson]:
        for number, (file, page) in enumerate(pages.items(), 1):
            yield _set(made, page, standing[file], html, pages)
            progress(number, len(pages))

    for form in FORMATS.values():
        for address, data in form(html, site, lessons):
            if address not in copied:  # a file of the author's takes the place of one of ours
                yield address, data
    for path in made.folder.others:
        yield path, made.folder.root / path


def _set(made: Made, page: Page, standing: Standing, html: Html, pages: dict[str, Page]) -> Lesson:
    """One page, its figures drawn and its prose filled in."""
    named = anchors(page)

    def figures(number: int) -> str:
        done = made.replays[page.file, number]
        return html.figure(figure(done, named[number], number + 1, letters=made.settings.letters))

    def answer(said: Said) -> str:
        key = said.asked and find_block(made, page.file, said.asked)
        return fact(made.replays[key], said.asked) if key and said.asked else said.text

    body = set_body(page.body, html, figures, made.said[page.file], answer)
    needed = [page_named(page.file, name) for name, _, _ in page.front.needs]
    needs = tuple(entry(pages[file]) for file in needed if file in pages)
    return lesson(page, standing, needs, body, made.settings.lang)

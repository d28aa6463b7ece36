"""A judged folder written as a site: every format's files, and the files that are copied."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

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
from sitegen.pages.publish import UNCHANGED
from sitegen.pages.references import page_named
from sitegen.pages.review import failure, review, troubles
from sitegen.pages.setup import Way, holds, way_to
from sitegen.pages.site import Site
from sitegen.parallel import shared
from sitegen.problem import Wrong
from sitegen.verdicts import verdicts

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from collections.abc import Set as AbstractSet
    from pathlib import Path

    from sitegen.make import Made
    from sitegen.pages.page import Page
    from sitegen.pages.prose import Said
    from sitegen.pages.publish import Content
    from sitegen.pages.site import Course, Extract, Plate
    from sitegen.verdicts import Verdicts


class StartOver(Exception):  # noqa: N818 - what is to be done
    """What an earlier build left cannot be built upon; nothing was published."""


class Reuse:
    """What an earlier build left: here, nothing. A build that is built upon another knows more.

    Attributes:
        workers: how many processes may set pages.
    """

    workers = 1

    def begin(self, frame: str) -> None:
        """Be told what stands on every page: a value that differs where that does.

        Raises:
            StartOver: it is not what stands on the pages that are there.
        """

    def is_unchanged(self, _file: str) -> bool:
        """Whether a page is published as it is."""
        return False

    def name(self, _file: str) -> str:
        """The name under which an unchanged page's extract was kept."""
        raise StartOver

    def keep(self, _extract: Extract) -> str:
        """Keep what the pages about the whole site take from a page, under the name given back."""
        return ""

    def find(self, _name: str) -> Extract:
        """What was kept under a name.

        Raises:
            StartOver: it is lost.
        """
        raise StartOver

    def around(self, _value: str) -> Sequence[str]:
        """The addresses of the files about the whole site, if they can stay; else none.

        Args:
            _value: one that differs where anything does that they are made from.
        """
        return ()

    def end(self, names: Mapping[str, str], addresses: Sequence[str]) -> None:
        """Be told the name of every page's extract, and the addresses about the whole site."""


NOTHING: Final = Reuse()


def site_files(
    made: Made,
    own_theme: Path | None,
    progress: Callable[[int, int], None],
    *,
    with_failures: bool = False,
    reuse: Reuse = NOTHING,
) -> Iterator[tuple[str, Content]]:
    """All files of the site, each with its address; pages are set as they are asked for.

    Args:
        made: the folder, in which nothing is wrong, unless this is a copy for review.
        own_theme: the folder of the site's own theme, if it has one.
        progress: told how many pages are set, and of how many.
        with_failures: make a copy for review, with what is wrong shown in its place.
        reuse: what an earlier build left; nothing for a copy for review.

    Raises:
        StartOver: what an earlier build left cannot be built upon.
        ThemeError: an own template does not work.
    """
    pages = {file: page for file, page in made.pages.items() if not page.front.draft}
    judged = verdicts(made) if with_failures else None
    listed, standing = courses(made.settings, pages)
    site = _site(made, pages, listed, judged)
    frame = _frame(site, pages)
    reuse.begin(frame)
    html = Html(site, own_theme)
    terms = _terms(pages, made.settings.lang)

    def set_one(file: str) -> tuple[bytes, Extract, str]:
        page = pages[file]
        needed = [page_named(file, name) for name, _, _ in page.front.needs]
        needs = tuple(entry(pages[name]) for name in needed if name in pages)
        body, plates = _body(made, page, html, terms, judged)
        done = lesson(page, standing[file], needs, body, made.settings.lang)
        taken = extract(page, made.settings.lang, plates, made.said[file], made.contexts[file])
        return html.page(done).encode(), taken, reuse.keep(taken)

    stale = [file for file in pages if not reuse.is_unchanged(file)]
    results = shared(set_one, stale, reuse.workers)
    names: dict[str, str] = {}
    extracts: dict[str, Extract] = {}
    for file, page in pages.items():
        if reuse.is_unchanged(file):
            names[file] = reuse.name(file)
            yield page.address, UNCHANGED
        else:
            text, extracts[file], names[file] = next(results)
            yield page.address, text
            progress(len(extracts), len(stale))

    addresses = list(reuse.around(repr((frame, tuple(names.items()), made.folder.others))))
    yield from ((address, UNCHANGED) for address in addresses)
    if not addresses:
        written = {
            *map(folded, made.folder.others),
            *(folded(page.address) for page in pages.values()),
        }
        found = [extracts.get(file) or reuse.find(name) for file, name in names.items()]
        for address, data in _around(html, site, found, written):
            addresses.append(address)
            yield address, data
    reuse.end(names, addresses)
    for path in made.folder.others:
        yield path, made.folder.root / path


def _around(
    html: Html, site: Site, extracts: Sequence[Extract], written: AbstractSet[str]
) -> Iterator[tuple[str, bytes]]:
    """The files about the whole site; an author's file takes the place of one of ours."""
    for form in FORMATS.values():
        for address, data in form(html, site, extracts):
            if folded(address) not in written:
                yield address, data


def _frame(site: Site, pages: Mapping[str, Page]) -> str:
    """What stands on every page, or tells what does: a value that differs where that does."""
    page = pages.get(GLOSSARY)
    return repr((replace(site, courses=()), page and (page.terms, page.front.lang)))


def _site(
    made: Made,
    pages: Mapping[str, Page],
    listed: tuple[Course, ...],
    judged: Verdicts | None,
) -> Site:
    """What every page needs of the whole."""
    settings = made.settings
    return Site(
        title=settings.title,
        summary=settings.summary,
        author=settings.author,
        url=settings.url,
        lang=settings.lang,
        scheme=settings.scheme,
        courses=listed,
        beside=beside(settings, pages, made.outlines),
        sizes=sizes(settings, pages, made.outlines),
        sequences=named_sequences(settings.context()),
        has_feed=bool(settings.url) and any(page.front.date for page in pages.values()),
        review=review(made, judged, pages) if judged else None,
    )


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

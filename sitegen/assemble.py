"""Set pages put together as a site: every format's files, and the files that are copied."""

from __future__ import annotations

import io
from contextlib import suppress
from functools import cached_property
from itertools import islice
from typing import TYPE_CHECKING, Final, Protocol
from urllib.parse import quote, urlsplit, urlunsplit

from msgspec import Struct
from msgspec.structs import replace

from sitegen.pages.around import beside, has_feed, sizes, taken_over
from sitegen.pages.course import Standing, courses
from sitegen.pages.formats.nav import places, shown_in_margin
from sitegen.pages.named_moves import named_sequences
from sitegen.pages.names import folded
from sitegen.pages.page_names import page_named
from sitegen.pages.site import Extracts, Site
from sitegen.pages.stage import UNCHANGED
from sitegen.parallel import shared

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from sitegen.pages.folder import Folder
    from sitegen.pages.formats.html import Html
    from sitegen.pages.listed import Listed
    from sitegen.pages.settings import Settings
    from sitegen.pages.site import Course, Details, Entry, Extract, Lesson
    from sitegen.pages.stage import FileSource
    from sitegen.said import Say

    SetPages = Callable[[str], "AnySetPage"]


class Layout(Struct, frozen=True, dict=True):
    """A site, and where each of its pages stands.

    Attributes:
        site: the site.
        pages: the pages that it has, by file, in order.
        standing: where each of them stands.
    """

    site: Site
    pages: Mapping[str, Listed]
    standing: Mapping[str, Standing]

    def place(self, lesson: Lesson, file: str) -> Lesson:
        """A lesson with its course, its neighbours there, and the pages it needs.

        Args:
            lesson: the page, set.
            file: its file.
        """
        at = self.standing[file]
        needs = _needed(self.pages, file)
        return replace(lesson, course=at.course, previous=at.previous, next=at.next, needs=needs)

    @cached_property
    def margins(self) -> Margins:
        """What stands around the pages' texts."""
        return Margins(self.site.courses, self.pages)


class Margins:
    """What the default theme shows around each page's text, as values to be compared."""

    def __init__(self, listed: Sequence[Course], pages: Mapping[str, Listed]) -> None:
        """Work nothing out yet.

        Args:
            listed: the site's courses.
            pages: its pages.
        """
        self._listed = listed
        self._pages = pages
        self._places = places(listed)

    def __contains__(self, file: str) -> bool:
        """Whether it is a page of the site."""
        return file in self._pages

    def of(self, file: str) -> object:
        """A value that is equal where what stands around a page's text is the same."""
        around = shown_in_margin(self._listed, *self._places[self._pages[file].address])
        return around, _needed(self._pages, file)


def _needed(pages: Mapping[str, Listed], file: str) -> tuple[Entry, ...]:
    """The pages to read before another one, those that the site has."""
    names = [page_named(file, one.name) for one in pages[file].needs]
    return tuple(pages[name].entry for name in names if name in pages)


class AnySetPage(Protocol):
    """A `SetPage`, or a page whose parts are read when they are asked for."""

    @property
    def lesson(self) -> Lesson:
        """The page, without its place in the site."""

    @property
    def extract(self) -> Extract:
        """What the pages about the whole site take from it."""

    @property
    def details(self) -> Details:
        """What they take besides."""


class Reuse:
    """What an earlier build left for this one: nothing here; subclasses know of more."""

    def is_unchanged(self, _file: str) -> bool:
        """Whether a page is published as it is."""
        return False

    def unchanged_about_site(self) -> Sequence[str]:
        """The addresses of the files about the whole site where these can stay; else none."""
        return ()

    def note_about_site(self, addresses: Sequence[str]) -> None:
        """Be told the addresses of the files about the whole site."""


NO_REUSE: Final = Reuse()


def layout(
    settings: Settings, pages: Mapping[str, Listed], others: Sequence[str], say: Say
) -> Layout:
    """Put the pages of a site in their places.

    Args:
        settings: its settings.
        pages: the pages of its content.
        others: the paths of all other files of its content.
        say: says the theme's texts in its language.
    """
    published = {file: page for file, page in pages.items() if not page.draft}
    listed, standing = courses(settings, published)
    site = Site(
        title=settings.title,
        summary=settings.summary,
        author=settings.author,
        url=_as_uri(settings.url),
        lang=settings.lang,
        scheme=settings.scheme,
        courses=listed,
        beside=beside(settings, published.values()),
        sizes=sizes(settings, published.values()),
        sequences=named_sequences(settings.context(), say),
        has_feed=has_feed(settings, published.values()),
        own=taken_over(published.values(), others),
    )
    return Layout(site, published, standing)


def _as_uri(address: str) -> str:
    """An address in the letters that a URI has (RFC 3986), as maps of sites ask for."""
    parts = urlsplit(address)
    with suppress(UnicodeError):  # no name that a server can have; left as it is
        parts = parts._replace(netloc=parts.netloc.encode("idna").decode("ascii"))
    return urlunsplit(parts._replace(path=quote(parts.path, safe="/%:@!$&'()*+,;=~")))


def site_files(  # noqa: PLR0913 - what a site is made of
    laid_out: Layout,
    html: Html,
    set_pages: SetPages,
    folder: Folder,
    *,
    progress: Callable[[int, int], None],
    reuse: Reuse = NO_REUSE,
    workers: int = 1,
) -> Iterator[tuple[str, FileSource]]:
    """All files of the site, each with its address; they are made as they are asked for.

    Args:
        laid_out: its pages.
        html: its theme.
        set_pages: the pages, set.
        folder: the content folder, whose other files are copied.
        progress: told how many pages are done, and of how many.
        reuse: what an earlier build left.
        workers: how many processes may make files.

    Raises:
        ThemeError: an own template does not work.
    """

    def frame(file: str) -> bytes:
        return html.page(laid_out.place(set_pages(file).lesson, file)).encode()

    pages = laid_out.pages
    stale = [file for file in pages if not reuse.is_unchanged(file)]
    framed = shared(frame, stale, workers)
    done = 0
    for file, page in pages.items():
        if reuse.is_unchanged(file):
            yield page.address, UNCHANGED
        else:
            yield page.address, next(framed)
            done += 1
            progress(done, len(stale))
    addresses = list(reuse.unchanged_about_site())
    yield from ((address, UNCHANGED) for address in addresses)
    if not addresses:
        for address, data in files_about_site(html, laid_out, folder, set_pages, workers=workers):
            addresses.append(address)
            yield address, data
    reuse.note_about_site(addresses)
    for path in folder.others:
        yield path, folder.root / path


def files_about_site(
    html: Html, laid_out: Layout, folder: Folder, set_pages: SetPages, *, workers: int = 1
) -> Iterator[tuple[str, bytes]]:
    """The files about the whole site; an author's file takes the place of one of ours.

    Args:
        html: the theme.
        laid_out: the site's pages.
        folder: the content folder.
        set_pages: the pages, set.
        workers: how many processes may make them.

    Raises:
        ThemeError: an own template does not work.
    """
    # loaded late: most builds set a page again, and leave these files as they are
    from sitegen.pages.formats.table import FORMATS  # noqa: PLC0415

    written = {
        *map(folded, folder.others),
        *(folded(page.address) for page in laid_out.pages.values()),
    }
    files = {page.address: file for file, page in laid_out.pages.items()}
    extracts = Extracts(
        (set_pages(file).extract for file in files.values()),
        lambda at: set_pages(files[at]).details,
    )
    found = [
        (address, content)
        for form in FORMATS
        for address, content in form(html, laid_out.site, extracts)
        if folded(address) not in written
    ]

    chunks = [chunk for _, content in found if not isinstance(content, bytes) for chunk in content]
    made = shared(lambda number: chunks[number](), range(len(chunks)), workers)
    for address, content in found:
        if isinstance(content, bytes):
            yield address, content
        else:
            whole = io.BytesIO()  # a large file is never held twice
            whole.writelines(islice(made, len(content)))
            yield address, whole.getvalue()

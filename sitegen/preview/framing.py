"""What is shown of a folder put together as a site; most of it only when somebody asks for it."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from sitegen.assemble import files_about_site, layout
from sitegen.kept.packed import Unpacked
from sitegen.kept.snapshot import digest
from sitegen.pages.around import GLOSSARY
from sitegen.pages.formats.html import Html
from sitegen.pages.formats.parts import theme_opener
from sitegen.pages.names import published_as
from sitegen.preview.edition import Copied, Later, Rest
from sitegen.review import review
from sitegen.set_page import glossary_terms, set_page

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from sitegen.assemble import AnySetPage, Layout, SetPages
    from sitegen.cube.scheme import Scheme
    from sitegen.kept.making import Making, State
    from sitegen.kept.rows import PageRow
    from sitegen.kept.snapshot import Snapshot
    from sitegen.kept.store import MemoryStore
    from sitegen.kept.work import PageFindings
    from sitegen.pages.folder import Folder
    from sitegen.pages.site import Site
    from sitegen.preview.edition import Served
    from sitegen.preview.shown import ShownPages
    from sitegen.set_page import SetPage

EMPTY_PAGE: Final = b""
"""What stands at the address of a page that cannot be shown; the server has a page for it."""


class Framing:
    """Puts sites together with one state of a theme."""

    def __init__(self, own: Path | None, theme: Snapshot | None, store: MemoryStore) -> None:
        """Put nothing together yet.

        Args:
            own: the folder of the site's own theme, or None to do without.
            theme: what stands in it.
            store: has the set pages.
        """
        self.theme = theme
        self._own = own
        self._store = store
        # the site's own templates may be wrong, which is to be told at once
        self._is_eager = theme is not None and theme.has_templates
        self._setting = threading.Lock()
        self._opened: dict[tuple[Scheme, str, bool], Html] = {}
        self._parts = theme_opener(own)
        self._around: object = None
        self._margins: dict[str, str] = {}
        self._done: dict[str, bytes] = {}
        self._set_with: object = None
        self._reviewed: dict[str, tuple[PageFindings, SetPage]] = {}
        self._last_rest = Rest("", dict)

    def files(
        self, shown: ShownPages, state: State, making: Making
    ) -> tuple[dict[str, Served], Rest]:
        """Every file of the site.

        Args:
            shown: what is shown.
            state: the folder, judged.
            making: judged it.

        Raises:
            ThemeError: an own template does not work.
        """
        say = self._parts(shown.settings.lang).words("").say
        listed = {file: row.listed for file, row in shown.rows.items()}
        laid_out = layout(shown.settings, listed, state.folder.others, say)
        html = self._open(laid_out.site)
        reviewed = self._review(shown, state, making)
        set_pages = _SetPages(shown.rows, self._store.copy(), reviewed)
        key = digest(repr((replace(laid_out.site, courses=()), self.theme)))
        self._note_margins(laid_out, key)
        files: dict[str, Served] = dict(html.assets.files())
        done = {}
        for file, page in laid_out.pages.items():
            if file in reviewed:
                continue
            source = f"{shown.rows[file].stored_as} {self._margins[file]}"
            later = Later(source, self._framed(laid_out, laid_out.site, html, set_pages, file))
            if self._is_eager:
                done[source] = self._done.get(source) or later.make()
            files[page.address] = done.get(source, later)
        self._done = done
        if reviewed:  # a page of the author's stands in place of a list of ours
            files = self._with_failures(state, laid_out, reviewed) | files
        files |= {published_as(file): EMPTY_PAGE for file in shown.unread}
        root = state.folder.root
        files |= {path: _copied(root / path) for path in state.folder.others}
        return files, self._rest(laid_out, html, set_pages, state.folder, key)

    def _open(self, site: Site) -> Html:
        """The theme opened for a site's colours and language.

        For a copy for review it has one more stylesheet.
        """
        key = site.scheme, site.lang, site.review is not None
        with self._setting:
            if key not in self._opened:
                alike = {one: html for one, html in self._opened.items() if one[:2] == key[:2]}
                self._opened = alike | {key: Html(site, self._own)}
            return self._opened[key]

    def _framed(
        self, laid_out: Layout, site: Site, html: Html, set_pages: SetPages, file: str
    ) -> Callable[[], bytes]:
        def make() -> bytes:
            with self._setting:
                html.set_site(site)
                lesson = laid_out.place(set_pages(file).lesson, file)
                # the preview says of each draft that it is one
                return html.page(replace(lesson, draft=False)).encode()

        return make

    def _note_margins(self, laid_out: Layout, key: str) -> None:
        """Note for each page a value that changes with anything that stands around its text."""
        courses = laid_out.site.courses
        around_now = key, courses, {f: page.needs for f, page in laid_out.pages.items()}
        if around_now == self._around:
            return
        self._around = around_now
        self._margins = {
            file: digest(repr((key, courses if self._is_eager else (), laid_out.margins.of(file))))
            for file in laid_out.pages
        }

    def _review(self, shown: ShownPages, state: State, making: Making) -> dict[str, SetPage]:
        """The pages that never held, set with what is wrong shown in its place.

        One on which nothing else was found than before is not set again: there may be hundreds.
        """
        row, lang = shown.rows.get(GLOSSARY), shown.settings.lang
        glossary = row and row.listed
        terms = glossary_terms(glossary, lang)
        set_with = glossary and glossary.as_glossary
        known = self._reviewed if self._set_with == set_with else {}
        self._set_with, self._reviewed = set_with, {}
        for file in sorted(shown.never_held):
            found = state.found[file]
            before, page = known.get(file, (None, None))
            if page is None or before is not found:
                made, parts = making.judge_again(file), self._parts(lang)
                page = set_page(made, file, parts, terms, for_review=True)
            self._reviewed[file] = found, page
        return {file: page for file, (_, page) in self._reviewed.items()}

    def _with_failures(
        self, state: State, laid_out: Layout, reviewed: Mapping[str, SetPage]
    ) -> dict[str, Served]:
        """The pages that never held, framed for review, and the files that only such a copy has."""
        found = review(state.problems, state.waiting, laid_out.pages)
        site = replace(laid_out.site, review=found)
        html = self._open(site)
        files: dict[str, Served] = dict(html.assets.files())
        with self._setting:
            html.set_site(site)
            files["failures.html"] = html.page_beside("failures.html", "failures.html")
        around_all = digest(repr(found))
        for file, page in reviewed.items():
            source = f"{digest(repr(page.lesson))} {self._margins[file]} {around_all}"
            later = Later(source, self._framed(laid_out, site, html, reviewed.__getitem__, file))
            content = later.make() if self._is_eager else later
            files[laid_out.pages[file].address] = content
        return files

    def _rest(
        self, laid_out: Layout, html: Html, set_pages: _SetPages, folder: Folder, key: str
    ) -> Rest:
        names = [(file, set_pages.name(file)) for file in laid_out.pages]
        source = digest(repr((key, laid_out.site.courses, names, folder.others)))

        def make() -> dict[str, bytes]:
            with self._setting:
                html.set_site(laid_out.site)
                return dict(files_about_site(html, laid_out, folder, set_pages))

        if self._last_rest.source != source:
            rest = Rest(source, make)
            if self._is_eager:
                _ = rest.files  # so that what is wrong with a template is told
            self._last_rest = rest
        return self._last_rest


class _SetPages:
    """The set pages as they are shown."""

    def __init__(
        self, rows: Mapping[str, PageRow], store: MemoryStore, reviewed: Mapping[str, SetPage]
    ) -> None:
        self._rows = rows
        self._store = store
        self._reviewed = reviewed

    def name(self, file: str) -> object:
        """A value that differs where what the whole site takes from a page does."""
        if file in self._reviewed:
            return self._reviewed[file].extract, self._reviewed[file].details
        return self._rows[file].taken

    def __call__(self, file: str) -> AnySetPage:
        return self._reviewed.get(file) or Unpacked(self._store.page(self._rows[file].stored_as))


def _copied(path: Path) -> Copied:
    try:
        found = path.stat()
    except OSError:  # gone since it was listed; whoever asks for it is told
        return Copied(path, (0, 0))
    return Copied(path, (found.st_mtime_ns, found.st_size))

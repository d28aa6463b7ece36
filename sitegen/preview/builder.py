"""The site rebuilt whenever something changed, with the last good state of every page kept."""

from __future__ import annotations

import os
import threading
from contextlib import suppress
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Final

from sitegen.assemble import site_files
from sitegen.lines import lines_of
from sitegen.make import make
from sitegen.offers import as_judged, empty_nets, nets
from sitegen.pages.folder import stays_inside
from sitegen.pages.formats.theme import ThemeError
from sitegen.pages.publish import Unchanged
from sitegen.pages.rewrite import NotAsRead, rewritten, write_over
from sitegen.preview.edition import Copied, Edition, next_edition
from sitegen.preview.panel import Panels
from sitegen.preview.shown import Memory, shown
from sitegen.problem import Problem
from sitegen.report.findings import seen_from

if TYPE_CHECKING:
    from sitegen.make import Made
    from sitegen.pages.rewrite import Edit
    from sitegen.preview.panel import Panel
    from sitegen.preview.shown import Shown

    Files = dict[str, bytes | Copied]

EMPTY_PAGE: Final = b""
"""What stands at the address of a page that cannot be shown; the server has a page for it."""


class Stopped(Exception):  # noqa: N818 - what happened
    """The preview ends; the build it was busy with is given up."""


@dataclass(frozen=True, slots=True)
class Built:
    """What a build came to.

    Attributes:
        edition: the site, to be served from now on.
        made: the folder, judged; what is wrong with the theme is among its problems.
        redrawn: the pages that nets were written into, each with the line of the first.
    """

    edition: Edition
    made: Made
    redrawn: tuple[tuple[str, int], ...]


@dataclass
class Builder:
    """Builds a site again and again.

    Attributes:
        root: the content folder.
        redraw: write the engine's nets into pages that are saved with empty ones.
        edition: the last one built.
        stopping: set when the preview ends.
        writing: held while a page is written.
    """

    root: Path
    redraw: bool
    edition: Edition = field(default_factory=Edition)
    stopping: threading.Event = field(default_factory=threading.Event)
    writing: threading.Lock = field(default_factory=threading.Lock)
    _memory: Memory = field(default_factory=Memory)
    _files: Files = field(default_factory=dict)

    @property
    def themes(self) -> Path:
        """The folder of the site's own theme; it need not exist."""
        return self.root.parent / "themes"

    def build(self, changed: frozenset[Path]) -> Built:
        """Build what there is now.

        Args:
            changed: the paths that may differ from the last time, links followed; none says that
                anything may.

        Raises:
            OSError: the folder cannot be listed, or changed under the reader's hands.
            Stopped: the preview ends.
        """
        made = self._judge(changed)
        redrawn: list[tuple[str, int]] = []
        # a block that waited may be redrawn once the one it leans on holds
        while self.redraw and (written := self._redraw(made, changed)):
            redrawn += written
            made = self._judge(changed)
        seen = shown(made, self._memory)
        try:
            self._files = self._set_all(seen, self.themes)
        except ThemeError as error:
            where = Path(os.path.relpath(error.path, self.root)).as_posix()
            made.problems.append(Problem(where, error.line, 1, 1, "settings", error.message))
            if not self._files:
                self._files = self._set_all(seen, None)
        panels = Panels(made, seen, lines_of(self.root), self._seen)
        self.edition = next_edition(self.edition, self._files, self._laid_over(made, panels))
        return Built(self.edition, made, tuple(redrawn))

    # The two doors to the rest of the program: what an incremental build answers too.

    def _judge(self, _changed: frozenset[Path]) -> Made:
        return make(self.root, self._go_on)

    def _set(self, made: Made, themes: Path | None, *, with_failures: bool = False) -> Files:
        files = site_files(made, themes, self._go_on, with_failures=with_failures)
        # every file is made anew here: none is taken over from a published site
        return {
            address: _kept(content)
            for address, content in files
            if not isinstance(content, Unchanged)
        }

    def _go_on(self, _done: int, _total: int) -> None:
        if self.stopping.is_set():
            raise Stopped

    def _set_all(self, seen: Shown, themes: Path | None) -> Files:
        """Every file of the site as it is shown."""
        files = self._set(seen.site, themes)
        if seen.review:
            review = self._set(seen.review, themes, with_failures=True)
            own = {_address(file) for file in seen.never_held}
            files |= {
                address: content
                for address, content in review.items()
                if address in own or address not in files
            }
        return files | {_address(file): EMPTY_PAGE for file in seen.unread}

    def _laid_over(self, made: Made, panels: Panels) -> dict[str, Panel]:
        """The panel of each page; a file of the author's that is copied has none."""
        pages = {_address(file): file for file in made.folder.pages}
        other = panels.other()
        return {
            address: panels.page(pages[address]) if address in pages else other
            for address, content in self._files.items()
            if isinstance(content, bytes) and address.endswith(".html")
        }

    def _redraw(self, made: Made, changed: frozenset[Path]) -> list[tuple[str, int]]:
        """Write nets into pages that were saved with empty ones, where nothing else fails.

        Each block's change fills an empty net, so this comes to an end.
        """
        real = self.root.resolve()
        empty = empty_nets(made)
        offers = [
            offer
            for offer in nets(made)
            if offer.edits == empty.get(offer.key) and real / offer.key[0] in changed
        ]
        written = []
        for file, those in groupby(offers, key=lambda offer: offer.key[0]):
            edits = [edit for offer in those for edit in offer.edits]
            # a page that has changed since is left alone: its next state is on its way
            with suppress(NotAsRead, OSError):
                self._write(made, file, edits)
                written.append((file, edits[0].line))
        return written

    def _write(self, made: Made, file: str, edits: list[Edit]) -> None:
        """Change lines of a page.

        Raises:
            NotAsRead: it is not the page that was judged, or leads out of the content folder.
            OSError: it cannot be written.
            Stopped: the preview ends.
        """
        path = self.root / file
        before = as_judged(made, file)
        if not stays_inside(path, self.root.resolve()):
            raise NotAsRead
        with self.writing:
            self._go_on(0, 0)
            write_over(path, before, rewritten(before, edits))

    def _seen(self, file: str) -> str:
        """A file of the content folder, as it is called from the current folder."""
        root = Path(os.path.abspath(self.root)).as_posix()  # noqa: PTH100 - as it was given
        return seen_from(Path.cwd().as_posix(), root, file)


def _address(file: str) -> str:
    return file.removesuffix(".md") + ".html"


def _kept(content: bytes | Path) -> bytes | Copied:
    if isinstance(content, bytes):
        return content
    try:
        found = content.stat()
    except OSError:  # gone since it was listed; whoever asks for it is told
        return Copied(content, (0, 0))
    return Copied(content, (found.st_mtime_ns, found.st_size))

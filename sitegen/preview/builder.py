"""The site rebuilt whenever something changed, with the last good state of every page kept."""

from __future__ import annotations

import threading
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from sitegen.kept.making import Making
from sitegen.kept.snapshot import TICK, take_snapshot
from sitegen.kept.store import MemoryStore
from sitegen.kept.work import Setter
from sitegen.lines import lines_of
from sitegen.offers import as_judged, empty_nets, nets
from sitegen.pages.files import own_theme, stays_inside
from sitegen.pages.formats.parts import PARTS, theme_opener
from sitegen.pages.formats.theme import ThemeError, error_of
from sitegen.pages.names import published_as
from sitegen.pages.rewrite import NotAsRead, rewritten, write_over
from sitegen.preview.edition import Copied, Edition, Rest, next_edition
from sitegen.preview.framing import EMPTY_PAGE, Framing
from sitegen.preview.panel import Panels
from sitegen.preview.shown import LastHeld, pages_to_show
from sitegen.report.findings import seen_from

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from sitegen.kept.making import State
    from sitegen.kept.snapshot import Snapshot
    from sitegen.made import Made
    from sitegen.pages.formats.parts import Parts
    from sitegen.pages.rewrite import Edit
    from sitegen.preview.edition import Served
    from sitegen.preview.panel import Panel, ToldBefore
    from sitegen.preview.shown import ShownPages

REMEMBERED: Final = 200
"""Pages that are remembered as they were read: those about to be saved again, and their like."""


class Stopped(Exception):  # noqa: N818 - what happened
    """The preview ends; the build it was busy with is given up."""


class Built(Struct, frozen=True):
    """What a build came to.

    Attributes:
        edition: the site, to be served from now on.
        state: the folder, judged; what is wrong with the theme is among its problems.
        redrawn: the pages that nets were written into, each with the line of the first.
    """

    edition: Edition
    state: State
    redrawn: tuple[tuple[str, int], ...]


class Builder:
    """Builds a site again and again.

    Attributes:
        root: the content folder.
        themes: the folder of the site's own theme; it need not exist.
        edition: the last one built.
        stopping: set when the preview ends.
        writing: held while a page is written.
    """

    def __init__(self, root: Path, *, redraw: bool) -> None:
        """Build nothing yet.

        Args:
            root: the content folder, whole.
            redraw: write the engine's nets into pages that are saved with empty ones.
        """
        self.root = root
        self.themes = own_theme(root)
        self.edition = Edition()
        self.stopping = threading.Event()
        self.writing = threading.Lock()
        self._redraws = redraw
        self._last_held = LastHeld()
        self._store = MemoryStore()
        self._making = Making(
            root, None, workers=1, progress=self._stop_if_asked, remembers=REMEMBERED
        )
        self._theme: Snapshot | None = None
        self._framing: Framing | None = None
        self._files: dict[str, Served] = {}
        self._rest = Rest("", dict)
        self._told: Mapping[str, ToldBefore] = {}

    def build(self, changed: frozenset[Path]) -> Built:
        """Build what there is now.

        Args:
            changed: the paths that may differ from the last time, links followed; none says that
                anything may.

        Raises:
            OSError: the folder cannot be listed, or changed under the reader's hands.
            Stopped: the preview ends.
        """
        theme: Snapshot | None = take_snapshot(self.themes, hidden=True, tick=0)
        state = self._update(theme)
        redrawn: list[tuple[str, int]] = []
        # a block that waited may be redrawn once the one it leans on holds
        while self._redraws and (written := self._redraw(state, changed)):
            redrawn += written
            state = self._update(theme)
        wrong = state.theme_error
        if wrong and not self._last_held.pages:
            # nothing can be shown as it last held, so it is shown with the default theme
            theme, state = None, self._update(None)
        shown = pages_to_show(state, self._last_held)
        try:
            self._frame(shown, state, theme)
        except ThemeError as error:
            wrong = error
            if not self._files:
                state = self._update(None)
                shown = pages_to_show(state, self._last_held)
                self._frame(shown, state, None)
            unshown = {published_as(file): EMPTY_PAGE for file in state.folder.pages}
            self._files = unshown | self._files
        if wrong:
            state.problems.extend(wrong.problems(self.root))
        self._issue(state, shown)
        return Built(self.edition, state, tuple(redrawn))

    def _issue(self, state: State, shown: ShownPages) -> None:
        """Make the next edition, and forget the set pages that nobody will ask for."""
        panels = Panels(
            state,
            shown,
            self._making.judge_again,
            line_of=lines_of(self.root),
            path_from_here=self._path_from_here,
            known=self._told,
        )
        self.edition = next_edition(
            self.edition,
            self._files,
            self._laid_over(state, panels),
            self._rest,
            panels.page(),
        )
        self._told = panels.known
        used = [*self._making.before.rows.values(), *self._last_held.pages.values()]
        self._store.clear({row.stored_as for row in used})

    def _update(self, theme: Snapshot | None) -> State:
        """Make what changed.

        Args:
            theme: what stands in the folder of the site's own theme; None to do without.
        """
        making = self._making
        if making.setter is None or self._theme != theme:
            keep, hold = self._store.give_back, self._store.put
            parts = theme_opener(self.themes if theme else None)
            value = _set_with(theme, parts) if theme else ""
            making.setter = Setter(value, parts, keep, hold, drafts=True)
            self._theme = theme
        return making.update(take_snapshot(self.root, hidden=False, tick=TICK))

    def _frame(self, shown: ShownPages, state: State, theme: Snapshot | None) -> None:
        """Put together what is shown; where a template does not work, all stays as it was.

        Raises:
            ThemeError: an own template does not work.
        """
        framing = self._framing
        if framing is None or framing.theme != theme:
            framing = Framing(self.themes if theme else None, theme, self._store)
        self._files, self._rest = framing.files(shown, state, self._making)
        self._framing = framing

    def _stop_if_asked(self, _done: int, _total: int) -> None:
        if self.stopping.is_set():
            raise Stopped

    def _laid_over(self, state: State, panels: Panels) -> dict[str, Panel]:
        """The panel of each page; a file of the author's that is copied has none.

        Beside the author's pages there is the list of failures, and, while the theme is broken, a
        page that is gone since.
        """
        pages = {published_as(file): file for file in state.folder.pages}
        return {
            address: panels.page(pages.get(address, ""))
            for address, content in self._files.items()
            if address.endswith(".html") and not isinstance(content, Copied)
        }

    def _redraw(self, state: State, changed: frozenset[Path]) -> list[tuple[str, int]]:
        """Write nets into pages that were saved with empty ones, where nothing else fails.

        Each block's change fills an empty net, so this comes to an end.
        """
        real = self.root.resolve()
        broken = {problem.file for problem in state.problems}
        written = []
        for file in state.rows:
            if file in broken and real / file in changed:
                made = self._making.judge_again(file)
                # a page that has changed since is left alone: its next state is on its way
                with suppress(NotAsRead, OSError):
                    if edits := _edits_filling_nets(made, file):
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
            self._stop_if_asked(0, 0)
            write_over(path, before, rewritten(before, edits))

    def _path_from_here(self, file: str) -> str:
        """A file of the content folder, as it is called from the current folder."""
        return seen_from(Path.cwd().as_posix(), self.root.as_posix(), file)


def _set_with(theme: Snapshot, parts: Callable[[str], Parts]) -> str:
    """A value that changes with what the texts of pages are set with; often a theme's words alone.

    Stylesheets change what stands around the text of a page, and that is framed when it is asked
    for. Where something is wrong with the theme every page is to tell it, so any change counts.
    """
    # whichever language is asked for, all of a theme is read
    if not PARTS.isdisjoint(theme.files) or error_of(partial(parts, "en")):
        return theme.digest
    words = {path: stat for path, stat in theme.files.items() if path.lower().endswith(".toml")}
    return theme._replace(files=words).digest


def _edits_filling_nets(made: Made, file: str) -> list[Edit]:
    """What fills the empty nets of a page's blocks that are else as they should be."""
    empty = empty_nets(made)
    offers = [offer for offer in nets(made) if offer.key[0] == file]
    return [edit for o in offers if o.edits == empty.get(o.key) for edit in o.edits]

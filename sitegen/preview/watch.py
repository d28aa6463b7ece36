"""What changed: the content folder and the theme, watched. The only door to watchfiles."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from watchfiles import awatch

from sitegen.pages.files import is_hidden

if TYPE_CHECKING:
    from collections.abc import AsyncGenerator, AsyncIterator, Sequence

    from watchfiles import Change

    Identities = list[tuple[Path, tuple[int, int] | None]]
    """Folders, each with what it is to the system (device and inode), None where there is none."""

STEP: Final = 10
"""Milliseconds: a change is told once none has followed it for this long."""

LONGEST: Final = 200
"""Milliseconds: changes that go on and on are told after this long all the same."""

TICK: Final = 1000
"""Milliseconds between two looks at whether the folders themselves are still the same."""

BURST: Final = 0.25
"""Seconds: changes that follow others within this long are part of a burst."""

PAUSE: Final = 0.05
"""Seconds that a burst is given to go on before what has changed is told."""


class CannotWatch(Exception):  # noqa: N818 - what happened
    """The system watches nothing more; the message is its own."""


class Watch:
    """Watches some folders; the paths that change come out of `changes`."""

    def __init__(self, folders: Sequence[Path]) -> None:
        """Watch nothing yet.

        Args:
            folders: links followed; they need not exist.
        """
        self._folders = folders
        self._waiting: asyncio.Future[frozenset[Path]] | None = None

    @property
    def overtaken(self) -> bool:
        """Whether more has changed since `changes` last told of anything."""
        return bool(self._waiting and self._waiting.done() and self._waiting.result())

    async def changes(self) -> AsyncIterator[frozenset[Path]]:
        """Paths that changed, were made or removed, as it happens.

        A single save is told at once; in a burst a little is waited for. An empty set says that
        anything may have changed: it comes first of all, and when a folder was made, removed or
        replaced. Names that begin with a dot are left out.

        Raises:
            CannotWatch: a folder cannot be watched.
        """
        while True:
            standing = _identities(self._folders)
            there = [folder for folder, known in standing if known]
            # a folder may be gone again before it is watched; then the next round sees it
            with suppress(FileNotFoundError):
                async for found in self._changes_while_same(there, standing):
                    yield found
            await asyncio.sleep(0 if there else TICK / 1000)

    async def _changes_while_same(
        self, there: Sequence[Path], standing: Identities
    ) -> AsyncIterator[frozenset[Path]]:
        """Paths that change, until one of the folders itself is made, removed or replaced."""
        stop = asyncio.Event()
        watching = _changed_paths(there, stop)
        waiting = self._waiting = asyncio.ensure_future(anext(watching))
        try:
            # one step of the loop sets the watch up: what changes from here on is seen
            await asyncio.sleep(0)
            yield frozenset()
            clock = asyncio.get_running_loop().time
            last = clock() - BURST
            while _identities(self._folders) == standing:
                found = await waiting
                waiting = self._waiting = asyncio.ensure_future(anext(watching))
                if found and clock() - last < BURST:
                    await asyncio.sleep(PAUSE)
                    if self.overtaken:
                        found |= waiting.result()
                        waiting = self._waiting = asyncio.ensure_future(anext(watching))
                if found:
                    last = clock()
                    yield found
        finally:
            self._waiting = None
            stop.set()
            with suppress(StopAsyncIteration, asyncio.CancelledError, FileNotFoundError):
                await waiting


def _identities(folders: Sequence[Path]) -> Identities:
    return [(folder, _identity(folder)) for folder in folders]


def _identity(folder: Path) -> tuple[int, int] | None:
    try:
        found = folder.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


async def _changed_paths(
    there: Sequence[Path], stop: asyncio.Event
) -> AsyncGenerator[frozenset[Path], None]:
    """The paths that watchfiles tells of; an empty set at every tick."""

    def is_seen(_change: Change, path: str) -> bool:
        found = Path(path)
        return any(
            not is_hidden(found.relative_to(folder).parts)
            for folder in there
            if found.is_relative_to(folder)
        )

    found = awatch(
        *there,
        watch_filter=is_seen,
        debounce=LONGEST,
        step=STEP,
        stop_event=stop,
        rust_timeout=TICK,
        yield_on_timeout=True,
    )
    try:
        async for changes in found:
            yield frozenset(Path(path) for _, path in changes)
    except FileNotFoundError:
        raise
    except (OSError, RuntimeError) as error:
        raise CannotWatch(str(error)) from error

"""A preview from start to end: watch, build, serve, stop."""

from __future__ import annotations

import asyncio
import signal
from contextlib import suppress
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from sitegen.preview.builder import Stopped
from sitegen.preview.server import Pages, server
from sitegen.preview.thread import in_thread
from sitegen.preview.watch import Watch

if TYPE_CHECKING:
    import socket
    from collections.abc import Callable
    from pathlib import Path

    from sitegen.preview.builder import Builder, Built

TRIES: Final = 5
"""How often a folder that changes while it is read is read again before the next change."""

BETWEEN: Final = 0.05
"""Seconds between these tries."""

PATIENCE: Final = 0.06
"""Seconds that a page which does not hold is given to be written to its end."""


async def preview(
    builder: Builder,
    opened: socket.socket,
    tell: Callable[[Built], None],
    complain: Callable[[str], None],
) -> None:
    """Serve a site, and build it anew whenever it changes, until a signal ends it.

    Args:
        builder: builds it.
        opened: where it is served.
        tell: told what each build came to.
        complain: told why there was none.

    Raises:
        CannotWatch: the system does not tell of changes.
    """
    pages = Pages(builder.root, opened.getsockname()[1])
    served = server(pages)
    ended = asyncio.Event()
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        loop.add_signal_handler(number, ended.set)

    serving = asyncio.create_task(served.serve(sockets=[opened]))
    building = asyncio.create_task(_build_on(builder, pages, tell, complain))
    waiting = asyncio.create_task(ended.wait())
    await asyncio.wait((serving, building, waiting), return_when=asyncio.FIRST_COMPLETED)
    builder.stopping.set()
    served.should_exit = True
    pages.end()
    for task in (building, waiting):
        task.cancel()
    await serving
    with suppress(asyncio.CancelledError, Stopped):
        await building  # raises what ended it, if something did
    # a page that is being written is written to its end
    await asyncio.to_thread(builder.writing.acquire, timeout=2)


async def _build_on(
    builder: Builder,
    pages: Pages,
    tell: Callable[[Built], None],
    complain: Callable[[str], None],
) -> None:
    """Build whenever something changes, and publish what is not overtaken by the next change."""
    watch = Watch([builder.root.resolve(), builder.themes.resolve()])
    redrawn: tuple[tuple[str, int], ...] = ()
    async for changed in watch.changes():
        built = await _built(builder, changed, complain)
        if built is None:
            continue
        redrawn += built.redrawn
        if not built.state.holds:
            # a page may have been read half written; then the other half is on its way
            await asyncio.sleep(PATIENCE)
            if watch.overtaken:
                continue
        pages.publish(built.edition)
        tell(replace(built, redrawn=redrawn))
        redrawn = ()


async def _built(
    builder: Builder, changed: frozenset[Path], complain: Callable[[str], None]
) -> Built | None:
    """Build once; again where the folder changed meanwhile; None where it cannot be read."""
    for left in reversed(range(TRIES)):
        try:
            return await in_thread(lambda: builder.build(changed))
        except OSError as error:
            if not left:
                complain(f"{error.filename or builder.root}: {error.strerror or error}")
        await asyncio.sleep(BETWEEN)
    return None

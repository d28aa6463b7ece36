"""Long work in daemon threads: those of asyncio would keep the program from ending."""

from __future__ import annotations

import asyncio
import threading
from contextlib import suppress
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")


async def in_thread(work: Callable[[], T]) -> T:
    """Do something in a thread, and give back what comes of it; what it raises is raised here."""
    loop = asyncio.get_running_loop()
    done: asyncio.Future[T] = loop.create_future()

    def settle(result: T | None, error: BaseException | None) -> None:
        if done.cancelled():
            return
        if error:
            done.set_exception(error)
        else:
            done.set_result(result)  # type: ignore[arg-type]

    def run() -> None:
        result, error = None, None
        try:
            result = work()
        except BaseException as raised:  # noqa: BLE001 - it is raised again where it is awaited
            error = raised
        with suppress(RuntimeError):  # the loop has ended
            loop.call_soon_threadsafe(settle, result, error)

    threading.Thread(target=run, daemon=True).start()
    return await done

"""Work shared out among processes, its results in the order of the work."""

from __future__ import annotations

import errno
import gc
import os
import signal
import sys
from collections import deque
from itertools import islice
from typing import TYPE_CHECKING, Any, Final, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

T = TypeVar("T")
R = TypeVar("R")

FEWEST: Final = 50
"""Pieces of work that are worth starting processes for."""

_AT_ONCE: Final = 8
"""Pieces handed over at a time."""

_FIRST: Final = 4
"""Pieces done before any process is started: what they load and compile, all processes inherit, and
this one has it to keep."""

_AHEAD: Final = 2
"""Parcels of pieces, for each process, that may be done before they are asked for: what waits to be
fetched takes memory."""

_SET_DEATH_SIGNAL: Final = 1
"""PR_SET_PDEATHSIG of Linux's prctl(2)."""

_work: list[Callable[[Any], Any]] = []
"""What the processes do: they are forked off, and so inherit it with all it refers to."""


def cores() -> int:
    """How many processors this process may use."""
    if sys.platform == "linux":
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def shared(work: Callable[[T], R], items: Sequence[T], workers: int) -> Iterator[R]:
    """The results of `work`, in order; what it raises is raised here.

    Args:
        work: done in processes forked off this one, where what it changes is lost; the first
            items in this one, where it is not.
        items: one for each piece of work.
        workers: at most how many; fewer than two, or few items, and it is done in this one.

    Raises:
        ChildProcessError: one of them was killed.
    """
    # elsewhere a process is not forked, and would have to be told all there is
    if workers < 2 or len(items) < FEWEST or sys.platform != "linux":
        yield from map(work, items)
        return
    # loaded only where they are used: the start of every build is counted
    from concurrent.futures.process import (  # noqa: PLC0415
        BrokenProcessPool,
        ProcessPoolExecutor,
    )
    from multiprocessing import get_context  # noqa: PLC0415

    yield from map(work, items[:_FIRST])
    parcels = [items[at : at + _AT_ONCE] for at in range(_FIRST, len(items), _AT_ONCE)]
    workers = min(workers, len(parcels))  # all of them are started, work or none
    _work.append(work)
    gc.freeze()  # or looking for circles would copy every page of memory that is shared
    try:
        context = get_context("fork")
        with ProcessPoolExecutor(workers, context, _begin, (os.getpid(),)) as pool:
            left = iter(parcels)
            ahead = deque(pool.submit(_do, one) for one in islice(left, _AHEAD * workers))
            while ahead:
                results = ahead.popleft().result()
                ahead.extend(pool.submit(_do, one) for one in islice(left, 1))
                if ahead:
                    yield from results
    except BrokenProcessPool as error:
        reason = "a process at work on it was killed, as the system does where memory is short"
        raise ChildProcessError(errno.ECHILD, reason) from error
    finally:
        gc.unfreeze()
        _work.pop()
    # not before: who takes the last result goes on without the others, and asks for no end
    yield from results


def _begin(begun_by: int) -> None:
    """Leave it to the process that began the work to say that it was interrupted, and die with it.

    What it holds open is held open here too: a lock of one that was killed would never be free.
    """
    import ctypes  # noqa: PLC0415 - as above

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    ctypes.CDLL(None).prctl(_SET_DEATH_SIGNAL, signal.SIGKILL)
    if os.getppid() != begun_by:  # it died before that was asked for
        os._exit(1)


def _do(items: Sequence[Any]) -> list[Any]:
    return [_work[-1](item) for item in items]

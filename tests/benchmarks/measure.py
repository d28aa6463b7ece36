"""Time taken in turns: every figure the best of several rounds, so that load meets all alike."""

from __future__ import annotations

import os
import subprocess
import time
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

ROOT: Final = Path(__file__).parents[2]


class Row(NamedTuple):
    """A line of the table: what was measured, what came out, and what is to be reached."""

    what: str
    measured: str
    target: str


class Run(NamedTuple):
    """What a process cost: wall and processor seconds, and its most memory in megabytes."""

    wall: float
    processor: float
    memory: float


def best_of(rounds: int, works: Mapping[str, Callable[[], object]]) -> dict[str, float]:
    """The shortest time of each piece of work, in seconds, all of them done once a round."""
    best = dict.fromkeys(works, float("inf"))
    for _ in range(rounds):
        for name, work in works.items():
            start = time.perf_counter()
            work()
            best[name] = min(best[name], time.perf_counter() - start)
    return best


def best_runs(rounds: int, commands: Mapping[str, Sequence[str]]) -> dict[str, Run]:
    """The least that each command cost, all of them run once a round, in the project's folder."""
    best: dict[str, Run] = {}
    for _ in range(rounds):
        for name, command in commands.items():
            run = run_once(command)
            known = best.get(name, run)
            best[name] = Run(*(min(one, other) for one, other in zip(run, known, strict=True)))
    return best


def run_once(command: Sequence[str]) -> Run:
    """Run a command and see what it cost.

    Raises:
        RuntimeError: it failed, so that its time means nothing.
    """
    # an installed program is compiled once, as the packages under it are, not at every start
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    process = subprocess.Popen(command, cwd=ROOT, env=kept, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    wall = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)  # or it would be waited for again
    if process.returncode:
        raise RuntimeError(f"{' '.join(command)} ended with {process.returncode}")
    # ru_maxrss is in kilobytes on Linux: getrusage(2)
    return Run(wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)

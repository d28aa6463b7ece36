"""A big site built again: nothing changed, and one sentence; over the start of Python alone."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Final

from benchmarks.bigsite import write_site
from benchmarks.measure import Row, Run, run_once

PAGE: Final = "course-1/lesson-2.md"


def measure(rounds: int, pages: int) -> list[Row]:
    """Seconds of a process, and its most memory, of a site built before."""
    with tempfile.TemporaryDirectory() as name:
        content, out = Path(name) / "content", Path(name) / "out"
        write_site(content, pages)
        build = [sys.executable, "-m", "sitegen", "build", str(content), "--out", str(out)]
        run_once(build)
        best: dict[str, Run] = {}
        for number in range(rounds):
            for what, command in (("start", [sys.executable, "-c", ""]), ("same", build)):
                _keep(best, what, run_once(command))
            with (content / PAGE).open("a", encoding="utf-8") as page:
                page.write(f"\nSentence number {number}.\n")
            _keep(best, "edit", run_once(build))
            run_once(build)  # by now the clock tells that nothing changes any more
    return [
        _row(f"`build` of {pages} pages, nothing changed", best["same"], best["start"], "60"),
        _row(f"`build` of {pages} pages, one sentence edited", best["edit"], best["start"], "160"),
    ]


def _keep(best: dict[str, Run], what: str, run: Run) -> None:
    known = best.get(what, run)
    best[what] = Run(*(min(one, other) for one, other in zip(run, known, strict=True)))


def _row(what: str, run: Run, start: Run, target: str) -> Row:
    over = (run.processor - start.processor) * 1000
    return Row(
        f"{what}, over the start of Python alone",
        f"{over:.0f} ms of a processor, {(run.wall - start.wall) * 1000:.0f} ms in all; "
        f"{run.memory:.0f} MB",
        f"{target} ms at 1,000 pages",
    )

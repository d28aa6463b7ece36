"""Where the time of a cold build goes: a share for each stage, seen by looking in every so often.

A profiler that is told of every call makes small functions look dear. Here a timer of the processor
interrupts, and the innermost function on the stack that belongs to a stage is charged.
"""

from __future__ import annotations

import contextlib
import io
import signal
import tempfile
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchmarks.bigsite import write_site
from benchmarks.measure import ROOT, Row
from sitegen.commands.main import main

if TYPE_CHECKING:
    from types import FrameType

EVERY: Final = 0.001
"""Seconds of a processor from look to look."""

STAGES: Final = {
    ("pages/reading.py", "read_page"): "reading Markdown",
    ("leaf.py", "_read_blocks"): "reading blocks",
    ("make.py", "judge"): "replaying and judging",
    ("draw/styles.py", "draw"): "drawing nets",
    ("pages/figure.py", "figure"): "the rest of figures",
    ("pages/formats/parts.py", "figure"): "setting figures with the theme",
    ("set_page.py", "set_page"): "the rest of setting pages",
    ("kept/packed.py", "pack"): "packing pages",
    ("kept/store.py", "keep_page"): "packing pages",
    ("assemble.py", "frame"): "framing pages with the theme",
    ("assemble.py", "files_about_site"): "the files about the whole site",
    ("pages/publish.py", "publish"): "writing and flushing files",
}
"""By file, from `sitegen/` on, and function: the stage that what is done under it belongs to."""

REST: Final = "loading the program, and all else"


def measure(pages: int) -> list[Row]:
    """The share of each stage, the largest first."""
    seen: Counter[str] = Counter()

    def look(_number: int, frame: FrameType | None) -> None:
        seen[_stage(frame)] += 1

    with tempfile.TemporaryDirectory() as name:
        content = Path(name) / "content"
        write_site(content, pages)
        arguments = ["build", str(content), "--out", str(Path(name) / "out"), "--workers", "1"]
        before = signal.signal(signal.SIGPROF, look)
        signal.setitimer(signal.ITIMER_PROF, EVERY, EVERY)
        with contextlib.redirect_stdout(io.StringIO()):
            main(arguments)
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
    total = seen.total()
    return [
        Row(f"of a cold build of {pages} pages: {stage}", f"{100 * count / total:.0f} %", "")
        for stage, count in seen.most_common()
    ]


def _stage(frame: FrameType | None) -> str:
    while frame is not None:
        path = frame.f_code.co_filename.removeprefix(f"{ROOT}/sitegen/")
        stage = STAGES.get((path, frame.f_code.co_name))
        if stage:
            return stage
        frame = frame.f_back
    return REST

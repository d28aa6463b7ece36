"""A big site built and checked, beside the floor of `floor.py`; and the memory it takes.

The ratios are of processor seconds, user and system together: on a machine that others use they
move less than wall time; what two processes are for is told in wall time as well. Every build is
cold: it finds nothing that an earlier one left.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path
from typing import Final

from benchmarks.bigsite import BLOCKS, N, write_site
from benchmarks.measure import Row, best_runs, run_once

SMALL: Final = 100
"""Pages of the smaller site whose memory is measured."""

_CLEAR: Final = "import shutil, sys; [shutil.rmtree(path, True) for path in sys.argv[1:]]"


def measure(rounds: int, pages: int) -> list[Row]:
    """Seconds and ratios of `build` and `check`, and the most memory of two builds."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        content, small = folder / "big" / "content", folder / "small" / "content"
        write_site(content, pages)
        write_site(small, SMALL)
        program, out, floor = [sys.executable, "-m", "sitegen"], folder / "out", folder / "floor"
        build = [*program, "build", str(content), "--out", str(out)]
        kept = content.parent / ".sitegen"
        clear = [sys.executable, "-c", _CLEAR, *map(str, (out, floor, kept))]
        commands = {
            "floor": [sys.executable, str(Path(__file__).with_name("floor.py"))],
            "build": [*build, "--workers", "1"],
            "clear": clear,
            "build shared": [*build, "--workers", "2"],
            "check": [*program, "check", str(content)],
            "clear again": clear,
        }
        commands["floor"] += [str(content), str(floor)]
        best = best_runs(rounds, commands)
        little = run_once([*program, "build", str(small), "--out", str(folder / "little")])
        shutil.rmtree(folder / "little")
    least = best["floor"]

    def processor(name: str) -> str:
        taken, floor = best[name].processor, least.processor
        a_page = 1000 * taken / pages
        return f"{taken / floor:.2f} times ({taken:.2f} s to {floor:.2f} s), {a_page:.2f} ms a page"

    def wall(name: str) -> str:
        taken, floor = best[name].wall, least.wall
        return f"{taken / floor:.2f} times ({taken:.2f} s to {floor:.2f} s)"

    site = f"{pages} pages of {BLOCKS} blocks on a {N}x{N}"
    memory = {name: f"{best[name].memory:.0f} MB" for name in ("build", "build shared", "check")}
    return [
        Row(f"`build` of {site}, one process, against the floor", processor("build"), "2.0"),
        Row("the same with two, by the clock", wall("build shared"), "1.1"),
        Row("`check` of the same", processor("check"), "1.2"),
        Row(
            "`check` with as many processes as there are processors, by the clock",
            wall("check"),
            "",
        ),
        Row(f"most memory, `build` of {SMALL} pages", f"{little.memory:.0f} MB", ""),
        Row(
            f"most memory, `build` of {pages} pages", memory["build"], "60 at 1,000, 140 at 10,000"
        ),
        Row(
            "the same with two processes, the one that others work for", memory["build shared"], ""
        ),
        Row("most memory, `check` of them", memory["check"], ""),
    ]

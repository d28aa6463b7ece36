"""A big site built and checked, beside the floor of `floor.py`; and the memory it takes.

The ratios are of processor seconds, user and system together: on a machine that others use they
move less than wall time. Every build is cold: it writes into a folder that is not there.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path
from typing import Final

from bigsite import BLOCKS, N, write_site
from measure import Row, best_runs, run_once

SMALL: Final = 100
"""Pages of the smaller site whose memory is measured."""

_CLEAR: Final = "import shutil, sys; [shutil.rmtree(path) for path in sys.argv[1:]]"


def measure(rounds: int, pages: int) -> list[Row]:
    """Seconds and ratios of `build` and `check`, and the most memory of two builds."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        content, small = folder / "big" / "content", folder / "small" / "content"
        write_site(content, pages)
        write_site(small, SMALL)
        program, out, floor = [sys.executable, "-m", "sitegen"], folder / "out", folder / "floor"
        commands = {
            "floor": [sys.executable, str(Path(__file__).with_name("floor.py"))],
            # one process: each further one loads the program anew, which is not to be counted
            "build": [*program, "build", str(content), "--out", str(out), "--workers", "1"],
            "check": [*program, "check", str(content)],
            "clear": [sys.executable, "-c", _CLEAR, str(out), str(floor)],
        }
        commands["floor"] += [str(content), str(floor)]
        best = best_runs(rounds, commands)
        little = run_once([*program, "build", str(small), "--out", str(folder / "little")])
        shutil.rmtree(folder / "little")
    least = best["floor"].processor

    def told(name: str) -> str:
        taken = best[name].processor
        return f"{taken / least:.2f} times ({taken:.2f} s to {least:.2f} s)"

    site = f"{pages} pages of {BLOCKS} blocks on a {N}x{N}"
    return [
        Row(f"`build` of {site}, one process, against the floor", told("build"), "2.5, later 2.0"),
        Row("`check` of the same", told("check"), "1.2"),
        Row(f"most memory, `build` of {SMALL} pages", f"{little.memory:.0f} MB", ""),
        Row(f"most memory, `build` of {pages} pages", f"{best['build'].memory:.0f} MB", ""),
    ]

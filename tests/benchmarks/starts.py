"""Cold starts: whole processes, beside Python's own start."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Final

from benchmarks.measure import Row, best_runs

MOVES: Final = "Rw U2 3Lw' F2"


def measure(rounds: int) -> list[Row]:
    """Milliseconds of wall time of `net`, `--help` and `net --out`."""
    with tempfile.TemporaryDirectory() as folder:
        program = [sys.executable, "-m", "sitegen"]
        net = [*program, "net", MOVES, "--cube", "7"]
        commands = {
            "python": [sys.executable, "-c", "pass"],
            "net": net,
            "help": [*program, "--help"],
            "svg": [*net, "--out", str(Path(folder, "net.svg"))],
        }
        best = best_runs(5 * rounds, commands)
    own = best["python"].wall

    def told(name: str) -> str:
        wall = best[name].wall
        return f"{wall * 1e3:.0f} ms, {(wall - own) * 1e3:.0f} over Python's own start"

    return [
        Row("`sitegen net` from a cold start", told("net"), "80 ms"),
        Row("`sitegen --help`", told("help"), "80 ms"),
        Row("`sitegen net --out x.svg`", told("svg"), "140 ms"),
    ]

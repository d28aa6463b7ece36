"""Speed and size, as ratios in one run, printed as a Markdown table.

    PYTHONPATH=.:tests python -m benchmarks.run

Names after it choose what is measured. The path has this tree measured, whatever is installed. It
is run by hand and is never a test: a machine that others use gives no time to rely on, and so every
figure is the best of several rounds, in which all that is compared takes its turn.
"""

from __future__ import annotations

import argparse
import os
import platform
from functools import partial
from typing import TYPE_CHECKING, Final

from benchmarks import again, builds, engine, pictures, stages, starts

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchmarks.measure import Row

NAMES: Final = ("engine", "pictures", "starts", "builds", "again", "stages")


def main() -> None:
    """Measure, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join(NAMES)}")
    parser.add_argument("--pages", type=int, default=1000, help="of the big site")
    parser.add_argument("--rounds", type=int, default=3, help="of which the best counts")
    options = parser.parse_args()
    if unknown := set(options.names) - set(NAMES):
        parser.error(f"no benchmark is called {', '.join(sorted(unknown))}")
    benchmarks: dict[str, Callable[[int], list[Row]]] = {
        "engine": engine.measure,
        "pictures": pictures.measure,
        "starts": starts.measure,
        "builds": partial(builds.measure, pages=options.pages),
        "again": partial(again.measure, pages=options.pages),
        "stages": lambda _rounds: stages.measure(options.pages),
    }
    rows: list[Row] = []
    for name in options.names or NAMES:
        rows += benchmarks[name](options.rounds)
    print(f"Python {platform.python_version()}, {os.cpu_count()} processors, load {_load()}.\n")
    print("| what | measured | to reach |\n|---|---|---|")
    for row in rows:
        print(f"| {row.what} | {row.measured} | {row.target} |")


def _load() -> str:
    return ", ".join(f"{load:.2f}" for load in os.getloadavg())


if __name__ == "__main__":
    main()

"""Speed, as ratios in one run: `python tests/benchmarks/run.py [--pages N]` prints a table.

Every figure is a whole process, so that start-up counts, and the best of several, taken in turns so
that what else the machine does meets all alike. The floor is markdown-it-py and one small jinja2
template over the same text: see `floor.py`.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Final

HERE: Final = Path(__file__).parent
sys.path.insert(0, str(HERE))

from bigsite import write_site  # noqa: E402 - the folder is no package


def seconds(command: list[str]) -> float:
    """How long a command runs."""
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def main() -> None:
    """Measure, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pages", type=int, default=300)
    parser.add_argument("--rounds", type=int, default=3)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        content = Path(folder, "content")
        write_site(content, options.pages)
        python, out = sys.executable, Path(folder, "out")
        commands = {
            "floor": [python, str(HERE / "floor.py"), str(content), str(Path(folder, "floor"))],
            "build": [python, "-m", "sitegen", "build", str(content), "--out", str(out)],
            "check": [python, "-m", "sitegen", "check", str(content)],
        }
        best = dict.fromkeys(commands, float("inf"))
        for _ in range(options.rounds):
            for name, command in commands.items():
                best[name] = min(best[name], seconds(command))
        print(f"| {options.pages} pages | seconds | ratio to the floor |\n|---|---|---|")
        for name, time_taken in best.items():
            print(f"| {name} | {time_taken:.2f} | {time_taken / best['floor']:.2f} |")


if __name__ == "__main__":
    main()

"""Fuzz one target, guided by the lines it covers.

    PYTHONPATH=.:tests python -m fuzz.run page

It goes on until it is stopped, or for so many `--runs`. Inputs that break a promise, or take more
than `--patience` seconds, are written into the folder `--kept`; to run one again, name its file
after the target.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import tomllib
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["sitegen"]):
    from fuzz.targets import LONGEST, TARGETS

CASES = Path(__file__).parents[1] / "pages"
TABLES = sorted((CASES.parent / "tables").glob("notation-*.toml"))


def seeds(target: str) -> list[bytes]:
    """What to begin with: the example pages, or what stands in their blocks and in the tables."""
    pages = [path.read_bytes() for path in sorted(CASES.rglob("*.md"))]
    if target == "page":
        return [page[:LONGEST] for page in pages]
    blocks = [part.split(b"\n", 1)[-1] for page in pages for part in page.split(b"```moves")[1:]]
    bodies = [block.split(b"```", 1)[0] for block in blocks]
    if target == "block":
        return [b"\1" + body for body in bodies]
    values = [value for body in bodies for value in body.split(b":", 1)[-1:] if value.strip()]
    if target == "notation":
        rows = [row for path in TABLES for row in tomllib.loads(path.read_text("utf-8"))["row"]]
        values += [str(row["moves"]).encode() for row in rows if "moves" in row]
    return [b"\1" + value for value in values]


def main() -> None:
    """Read the command line and fuzz."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("target", choices=TARGETS)
    parser.add_argument("input", nargs="*", help="inputs to run once each, instead of fuzzing")
    parser.add_argument("--runs", type=int, default=-1, help="how many inputs to try")
    parser.add_argument("--patience", type=int, default=1, help="seconds that an input may take")
    parser.add_argument("--kept", default=tempfile.gettempdir(), help="where breaking inputs go")
    options = parser.parse_args()
    target = TARGETS[options.target]
    if options.input:
        for name in options.input:
            target(Path(name).read_bytes())
        return
    with tempfile.TemporaryDirectory() as corpus:
        for number, seed in enumerate(seeds(options.target)):
            (Path(corpus) / str(number)).write_bytes(seed)
        limits = [
            f"-runs={options.runs}",
            f"-max_len={LONGEST}",
            f"-timeout={options.patience}",
            f"-report_slow_units={options.patience}",
        ]
        kept = f"-artifact_prefix={options.kept}/{options.target}-"
        child = os.fork()
        if not child:  # the fuzzer ends the process that it runs in: nothing is cleared up there
            atheris.Setup([sys.argv[0], corpus, *limits, kept, "-print_final_stats=1"], target)
            atheris.Fuzz()
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    sys.exit(status)


if __name__ == "__main__":
    main()

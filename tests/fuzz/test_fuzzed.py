"""Some inputs made up for each reader; what broke one before is run again each time."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from pathlib import Path

import pytest

from fuzz.targets import TARGETS

HERE = Path(__file__).parent
TESTS = HERE.parent

RUNS = {"notation": 5_000, "net": 20_000, "block": 2_500, "page": 120}
"""How many inputs each reader is given: some five seconds of a processor's work."""

PATIENCE = "60"
"""Seconds an input may take here, where other tests run at the same time; by hand it is one."""

BROKE = sorted((HERE / "broke").glob("*"))
"""Inputs that once broke a promise, named `TARGET-*`."""


@pytest.mark.parametrize("target", TARGETS)
def test_nothing_that_is_made_up_breaks_a_reader(target: str, tmp_path: Path) -> None:
    if importlib.util.find_spec("atheris") is None:
        pytest.skip("atheris is missing; it is made for Linux alone")
    command = [sys.executable, "-m", "fuzz.run", target]
    command += ["--runs", str(RUNS[target]), "--patience", PATIENCE]
    done = subprocess.run(
        [*command, "--kept", str(tmp_path)],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(map(str, (TESTS.parent, TESTS)))},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert [path.name for path in tmp_path.iterdir()] == []
    assert int(done.stderr.split("number_of_executed_units:")[1].split()[0]) >= RUNS[target]


@pytest.mark.parametrize("path", BROKE, ids=lambda path: path.name)
def test_what_once_broke_a_reader_does_not(path: Path) -> None:
    TARGETS[path.name.split("-")[0]](path.read_bytes())

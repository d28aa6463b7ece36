"""A build that another one keeps waiting says so, and is never kept waiting by a dead one."""

from __future__ import annotations

import fcntl
import os
import signal
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[2]
ENVIRONMENT: Final = {**os.environ, "PYTHONPATH": str(ROOT)}

LOCK: Final = ".out.sitegen-lock"

KILLED: Final = """
import fcntl, os, sys, time
from sitegen.parallel import FEWEST, shared
fcntl.flock(os.open(sys.argv[1], os.O_CREAT | os.O_RDWR), fcntl.LOCK_EX)
def work(number):
    os.write(1, b"at work\\n")
    time.sleep(3600)
list(shared(work, range(FEWEST), 2))
"""
"""A build as it locks, and as it makes pages in other processes."""


def test_it_is_said_once_on_the_terminal(tmp_path: Path) -> None:
    content = tmp_path / "content"
    content.mkdir()
    (content / "page.md").write_text("# A page\n", "utf-8")
    command = [sys.executable, "-m", "sitegen", "build", "content", "--format", "json"]
    with (tmp_path / LOCK).open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        build = subprocess.Popen(
            command,
            cwd=tmp_path,
            env=ENVIRONMENT,
            text=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        assert build.stderr is not None
        said = build.stderr.readline()
        assert "another build of this site is at work" in said
        assert build.poll() is None, "it waits"
        assert not (tmp_path / "out").exists()
    report, more = build.communicate()
    assert (build.returncode, more) == (0, "")
    assert report.startswith("{")
    assert (tmp_path / "out" / "page.html").is_file()
    assert not (tmp_path / LOCK).exists()
    alone = subprocess.run(command, cwd=tmp_path, env=ENVIRONMENT, capture_output=True, check=True)
    assert alone.stderr == b"", "nobody was waited for"


def test_a_killed_build_leaves_its_lock(tmp_path: Path) -> None:
    """Its other processes inherited the lock: they end with it, though nobody tells them to."""
    process = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(tmp_path / LOCK)],
        env=ENVIRONMENT,
        stdout=subprocess.PIPE,
        start_new_session=True,
    )
    try:
        assert process.stdout is not None
        assert process.stdout.readline() == b"at work\n"
        process.kill()
        process.communicate(timeout=60)  # until nobody holds its end open
        with (tmp_path / LOCK).open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    finally:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)

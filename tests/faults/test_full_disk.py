"""A disk that is full at any moment of a build: a clear error, and the old site stands."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any, Final

import pytest

ROOT: Final = Path(__file__).parents[2]

SMALL: Final = 4_000_000
"""Bytes of the disk: the site twice, what is kept of it, and more."""

MOUNT: Final = 'mount -t tmpfs -o size="$1" none "$2" && shift && exec "$PYTHON" "$SCRIPT" "$@"'


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    """What came of builds with less and less room.

    The disk is the kernel's own (tmpfs(5)), mounted where nobody else sees it; where that is not
    allowed, as in some containers, what is written is counted and refused by the test.
    """
    folder = tmp_path_factory.mktemp("room")
    script = str(Path(__file__).with_name("little_room.py"))
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(map(str, (ROOT, ROOT / "tests"))),
        "PYTHON": sys.executable,
        "SCRIPT": script,
    }
    private = ["/usr/bin/unshare", "--user", "--map-root-user", "--mount", "/bin/sh", "-c", MOUNT]
    done = subprocess.run(
        [*private, "sh", str(SMALL), str(folder), "disk"],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    if not done.stdout:
        done = subprocess.run(
            [sys.executable, script, str(folder), "ration"],
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


def test_a_first_build_without_room_leaves_nothing(seen: list[dict[str, Any]]) -> None:
    assert seen[0] == {"first": 2, "nothing": True}


@pytest.mark.parametrize("cold", [True, False], ids=["cold", "going on"])
def test_a_build_that_finds_the_disk_full(cold: bool, seen: list[dict[str, Any]]) -> None:
    *failed, enough = [one for one in seen[1:] if one["cold"] == cold]
    assert len(failed) > 2, "the disk was never full"
    for one in failed:
        assert one["status"] == 2, one
        assert "could not be written" in one["said"]
        assert "No space left on device" in one["said"]
        assert "Traceback" not in one["said"]
        assert one["old"], "the old site is not what it was"
        assert one["left"] == [], "what was begun takes the room that is missing"
        assert one["again"] == 0
        assert one["new"], "with room again, the change is published"
    assert (enough["status"], enough["said"], enough["left"]) == (0, "", [])
    assert enough["whole"], "one that had room wrote what one with more room writes"

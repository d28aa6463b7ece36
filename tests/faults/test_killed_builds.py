"""Builds killed at random moments: what is published is always one whole site, old or new."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Final

import pytest

from folders import tree

KILLS: Final = 25
"""For each way of building: cold, and on from what the last build kept."""

ROOT: Final = Path(__file__).parents[2]

PAGE: Final = """# Page {page} of {version}

The word of this version is {version}.

```moves one
cube: 5
moves: R U R' U'
check: order 6
```

```moves two
cube: 5
from: #one
moves: {moves}
check: not solved
```
"""


def write(content: Path, version: str) -> None:
    """A site of eight pages; another version differs on every page."""
    content.mkdir(exist_ok=True)
    for page in range(8):
        moves = "F" if version == "old" else "B2"
        text = PAGE.format(page=page, version=version, moves=moves)
        (content / f"page-{page}.md").write_text(text, "utf-8")
    (content / f"{version}.txt").write_text(version, "utf-8")
    for other in {"old", "new"} - {version}:
        (content / f"{other}.txt").unlink(missing_ok=True)


def command(content: Path, out: Path) -> list[str]:
    return [sys.executable, "-m", "sitegen", "build", str(content), "--out", str(out)]


def build(content: Path, out: Path) -> None:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    subprocess.run(command(content, out), check=True, capture_output=True, env=environment)


@pytest.mark.parametrize("kept", [True, False], ids=["going on", "cold"])
def test_what_is_published_is_one_whole_site(kept: bool, tmp_path: Path) -> None:
    content, out = tmp_path / "content", tmp_path / "out"
    whole = {}
    for version in ("old", "new"):
        write(content, version)
        build(content, tmp_path / version)
        whole[version] = tree(tmp_path / version)
    assert whole["old"] != whole["new"]
    if not kept:
        shutil.rmtree(tmp_path / ".sitegen")
    begun = time.monotonic()
    build(content, out)
    lasts = time.monotonic() - begun
    chance = random.Random(20261125)
    killed, seen = 0, set()
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    for number in range(KILLS):
        write(content, "old" if number % 2 else "new")
        if not kept:
            shutil.rmtree(tmp_path / ".sitegen", ignore_errors=True)
        process = subprocess.Popen(
            command(content, out),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=environment,
            start_new_session=True,
        )
        is_left_alone = number % 7 == 6  # an even number once, then an odd one: each site is seen
        if not is_left_alone:
            time.sleep(chance.uniform(0, 1.1) * lasts)
            os.killpg(process.pid, signal.SIGKILL)
        is_killed = process.wait() == -signal.SIGKILL
        killed += is_killed
        if not is_left_alone:
            # the machine may be slower now, or faster, than it was: of six builds one is to end
            lasts *= 1.02 if is_killed else 0.9
        found = tree(out)
        shown = next((name for name, site in whole.items() if site == found), None)
        assert shown, f"after kill {number} the folder is neither site: {sorted(found)}"
        seen.add(shown)
    assert killed > KILLS // 10, "too few builds were killed before their end"
    assert seen == {"old", "new"}
    write(content, "new")
    build(content, out)
    assert tree(out) == whole["new"]
    left = [path.name for path in tmp_path.iterdir() if path.name.startswith(".out")]
    assert left == [], "what a killed build left beside the site is cleared up"

"""The program as a person runs it: a process of its own, in a folder of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]

PAGE = """# Four turns

```moves four-turns
moves: R U R' U'
after:
  F: GGY
     GGW
     GGG
check: order 6
```
"""


@dataclass(frozen=True)
class Program:
    """Runs `sitegen` in `folder`."""

    folder: Path

    def __call__(
        self, *arguments: str | Path, cwd: Path | None = None, **variables: str
    ) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "sitegen", *map(str, arguments)],
            cwd=cwd or self.folder,
            env={**clean_environment(), **variables},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            encoding="utf-8",
            check=False,
        )


def in_shell(script: str, folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Have a shell in a folder run `sitegen` with arguments: in the script it is `"$@"`."""
    return subprocess.run(
        ["/bin/bash", "-c", script, "bash", sys.executable, "-m", "sitegen", *arguments],
        cwd=folder,
        env=clean_environment(),
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def clean_environment() -> dict[str, str]:
    """The caller's environment without what tells programs how to write and speak."""
    said = ("LANG", "LC_", "TZ", "NO_COLOR", "FORCE_COLOR", "TERM", "PYTHONHASHSEED")
    kept = {key: value for key, value in os.environ.items() if not key.startswith(said)}
    return {**kept, "PYTHONPATH": str(ROOT)}


def break_page(content: Path) -> None:
    """Let one page of `content` not hold any more."""
    (content / "page.md").write_text(PAGE.replace("GGW", "GWG"), "utf-8")

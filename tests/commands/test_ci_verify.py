"""What CI runs on is what the lock says: a changed, missing or added file does not go unseen."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

    Verify = Callable[[dict[str, str]], tuple[int, str]]

VERIFY: Final = Path(__file__).parents[2] / ".ci" / "verify_installed.py"

PYTHON: Final = """#!{python}
import os, shutil, sys
if sys.argv[1] == "-c":
    print(os.environ["LISTED"])
elif sys.argv[1:4] == ["-m", "pip", "download"]:
    assert "--require-hashes" in sys.argv
    shutil.copy(os.environ["ARCHIVE"], sys.argv[sys.argv.index("--dest") + 1])
else:
    sys.exit("asked for something else")
"""
"""Stands for the Python of an environment, and for the index that pip downloads from."""


@pytest.fixture
def verify(tmp_path: Path) -> Verify:
    """One locked package, downloaded and installed; what is found wrong with it."""
    archive = tmp_path / "plain-1.0-py3-none-any.whl"
    with zipfile.ZipFile(archive, "w") as wheel:
        wheel.writestr("plain/__init__.py", "word = 1\n")
    (tmp_path / "library" / "plain").mkdir(parents=True)
    (tmp_path / "library" / "plain" / "__init__.py").write_text("word = 1\n")
    digest = hashlib.sha256(archive.read_bytes()).hexdigest()
    (tmp_path / "lock.txt").write_text(f"plain==1.0 \\\n    --hash=sha256:{digest}\n")
    python = tmp_path / "python"
    python.write_text(PYTHON.format(python=sys.executable))
    python.chmod(0o755)

    def run(installed: dict[str, str]) -> tuple[int, str]:
        listed = json.dumps([installed, str(tmp_path / "library")])
        done = subprocess.run(
            [sys.executable, VERIFY, tmp_path / "lock.txt", python],
            env={**os.environ, "LISTED": listed, "ARCHIVE": str(archive)},
            capture_output=True,
            text=True,
            check=False,
        )
        return done.returncode, done.stderr

    return run


def test_what_is_locked_is_what_is_installed(verify: Verify, tmp_path: Path) -> None:
    module = tmp_path / "library" / "plain" / "__init__.py"
    assert verify({"plain": "1.0", "sitegen": "1.0", "pip": "9"}) == (0, "")
    status, told = verify({"plain": "1.0", "Other_Thing": "2.0"})
    assert (status, told) == (1, "other-thing 2.0 is not in the lock\n")
    module.write_text("word = 2\n")
    status, told = verify({"plain": "1.0"})
    assert status == 1
    assert "plain/__init__.py is not what the archive holds" in told
    module.unlink()
    status, told = verify({"plain": "1.0"})
    assert status == 1
    assert "plain/__init__.py is missing" in told

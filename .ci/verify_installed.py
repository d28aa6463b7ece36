"""Hold what is installed against the lock: every package, at its version, file by file.

`verify_installed.py LOCK PYTHON` downloads the locked packages anew, pip comparing each archive
with its hash in the lock, and compares every file in them with the one that PYTHON's environment
has. It ends with 1, and says what differs, where anything does.
"""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

OURS = {"sitegen", "pip", "setuptools"}
"""Not in the lock: the project itself, and what every environment is made with."""

LIST = """
import importlib.metadata, json, sysconfig
found = {d.metadata["Name"]: d.version for d in importlib.metadata.distributions()}
print(json.dumps([found, sysconfig.get_path("purelib")]))
"""


def main(lock: Path, python: str) -> int:
    """Compare; the number of complaints is 0 or the exit status is 1."""
    listed = subprocess.run([python, "-c", LIST], capture_output=True, text=True, check=True)
    installed, library = json.loads(listed.stdout)
    found = {_plain(name): version for name, version in installed.items()}
    wanted = {_plain(name) for name in re.findall(r"^([\w.-]+)==", lock.read_text(), re.MULTILINE)}
    wrong = [f"{name} {found[name]} is not in the lock" for name in found.keys() - wanted - OURS]
    with tempfile.TemporaryDirectory() as folder:
        download = ["download", "--quiet", "--require-hashes", "--no-deps", "--dest", folder]
        subprocess.run([python, "-m", "pip", *download, "-r", str(lock)], check=True)
        archives = sorted(Path(folder).iterdir())
        wrong += [line for archive in archives for line in _compared(archive, Path(library))]
    for line in sorted(wrong):
        print(line, file=sys.stderr)
    if not wrong:
        print(f"{len(archives)} packages are installed as the lock has them")
    return 1 if wrong else 0


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def _compared(archive: Path, library: Path) -> list[str]:
    """What of an archive is not installed as it is in it."""
    if archive.suffix != ".whl":
        return [f"{archive.name} is no wheel, and cannot be compared with what was built from it"]
    wrong = []
    with zipfile.ZipFile(archive) as wheel:
        for name in wheel.namelist():
            if name.endswith(("/", ".dist-info/RECORD")) or ".data/" in name:
                continue  # scripts are given their interpreter's path when they are installed
            place = library / name
            if not place.is_file():
                wrong.append(f"{archive.name}: {name} is missing")
            elif _hash(place.read_bytes()) != _hash(wheel.read(name)):
                wrong.append(f"{archive.name}: {name} is not what the archive holds")
    return wrong


def _hash(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2]))

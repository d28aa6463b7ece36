"""What a folder holds: written there, and read to be compared."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder by its path from there, with its bytes, in order."""
    paths = sorted(folder.rglob("*"))
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in paths if p.is_file()}


def written(folder: Path, files: Mapping[str, str]) -> Path:
    """A folder into which files are put, by their paths from there."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    return folder

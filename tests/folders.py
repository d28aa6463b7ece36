"""What a folder holds, to be compared."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder by its path from there, with its bytes, in order."""
    paths = sorted(folder.rglob("*"))
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in paths if p.is_file()}

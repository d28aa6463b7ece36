"""The lines of a content folder's files, for those who quote them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from sitegen.pages.files import THEME_PATH, own_theme, read_inside
from sitegen.pages.page_text import page_text

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

LONGEST: Final = 10_000_000
"""Bytes of a file that is quoted: as many as a page may have, and more."""


def lines_of(root: Path) -> Callable[[str, int], str]:
    """A function that finds a line of a file, from 1; "" where there is none.

    Each file is read once, when it is first asked for.
    """
    known: dict[str, list[str]] = {}

    def line_of(file: str, line: int) -> str:
        if file not in known:
            try:
                text = page_text(_quotable(root, file), "replace")
            except OSError:
                text = ""
            known[file] = text.split("\n")
        rows = known[file]
        return rows[line - 1] if 0 < line <= len(rows) else ""

    return line_of


def _quotable(root: Path, file: str) -> bytes:
    """A file's bytes, of the folder or the theme alone: a report may be read by others.

    Raises:
        OSError: it is not, or cannot be read.
    """
    if file.startswith(f"{THEME_PATH}/"):
        return read_inside(own_theme(root), file.removeprefix(f"{THEME_PATH}/"), LONGEST)
    return read_inside(root, file, LONGEST)

"""The lines of a content folder's files, for those who quote them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.pages.folder import page_text

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


def lines_of(root: Path) -> Callable[[str, int], str]:
    """What finds a file's line, from 1, as it stands there; "" where there is none.

    Each file is read once, when it is first asked for.
    """
    known: dict[str, list[str]] = {}

    def line_of(file: str, line: int) -> str:
        if file not in known:
            try:
                text = page_text((root / file).read_bytes(), "replace")
            except OSError:
                text = ""
            known[file] = text.split("\n")
        rows = known[file]
        return rows[line - 1] if 0 < line <= len(rows) else ""

    return line_of

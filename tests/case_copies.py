"""Copies of cases: one by itself, or all pages that hold in a folder together."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Final
from urllib.parse import unquote

GOOD: Final = Path(__file__).parent / "pages" / "good"


def copy_case(case: Path, content: Path, *beside: str) -> None:
    """Copy a case, a page or a folder of them, into a content folder of its own.

    A file name in other letters than ASCII's is kept in the project as links spell it, `r%C3%A9.md`
    say, and written out here: not every program that packs a project brings one over unharmed.

    Args:
        case: the page or folder.
        content: the folder; it must not be there yet.
        beside: files of a folder that are no part of its content.
    """
    if case.is_file():
        content.mkdir()
        shutil.copy(case, content)
        return
    shutil.copytree(case, content, ignore=shutil.ignore_patterns(*beside))
    for path in [*content.rglob("*%*")]:
        path.rename(path.with_name(unquote(path.name)))


def copy_good(content: Path) -> None:
    """Copy the pages that hold into one content folder, but those that are a site of their own."""
    own = {"additions", *(path.parent.name for path in GOOD.glob("*/site.toml"))}
    shutil.copytree(GOOD, content, ignore=lambda _folder, names: own & {*names})

"""Copies of cases that are folders of pages."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING
from urllib.parse import unquote

if TYPE_CHECKING:
    from pathlib import Path


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

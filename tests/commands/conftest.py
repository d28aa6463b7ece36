"""What the tests of the commands are given: the program, and a content folder that holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commands.command_running import PAGE, Program

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def sitegen(tmp_path: Path) -> Program:
    return Program(tmp_path)


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A content folder that holds: two pages, one of them in a folder, and a picture."""
    folder = tmp_path / "content"
    (folder / "sub").mkdir(parents=True)
    (folder / "page.md").write_text(PAGE, "utf-8")
    (folder / "sub" / "other.md").write_text(
        "# Other\n\n```moves\nfrom: ../page.md#four-turns\nmoves: U R U' R'\ncheck: solved\n```\n",
        "utf-8",
    )
    (folder / "sub" / "dot.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"/>\n', "utf-8"
    )
    return folder

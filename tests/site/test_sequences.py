"""On which cube a named sequence is shown, and what is said of it there.

Layers that have numbers are those of cubes of four layers and more: common practice, no source. The
trade's sequence for one flipped edge of an even cube, and what it does beside that, too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from lxml import html

from sitegen.commands.main import main

if TYPE_CHECKING:
    from pathlib import Path

FLIP = "3Rw U2 x 3Rw U2 3Rw U2 3Rw' U2 3Lw U2 3Rw' U2 3Rw U2 3Rw' U2 3Rw'"


def shown(tmp_path: Path, moves: str, cube: int) -> str:
    """All that the page of sequences says of moves that a site of such cubes names."""
    content = tmp_path / "content"
    content.mkdir()
    settings = f'language = 1\ncube = {cube}\n[sequences]\none = "{moves}"\n'
    (content / "site.toml").write_text(settings, "utf-8")
    (content / "page.md").write_text("# A page\n", "utf-8")
    assert main(["build", str(content), "--out", str(tmp_path / "out")]) == 0
    return str(html.parse(tmp_path / "out" / "sequences.html").getroot().text_content())


@pytest.mark.parametrize(
    ("moves", "cube", "n"),
    [
        ("R U R' U'", 3, 3),
        ("M2 U M2", 3, 3),
        ("Rw U", 3, 3),
        ("2R2 U2 2R2 Uw2 2R2 2U2", 3, 4),
        ("[U: (2-3R2 U2)2]", 3, 6),
        ("3Rw U", 3, 6),
        ("3Rw U", 5, 5),
        ("4R U", 7, 7),
        ("5R U", 4, 6),
        ("2R", 2, 4),
    ],
)
def test_where_layers_have_numbers_a_larger_cube_is_shown(
    tmp_path: Path, moves: str, cube: int, n: int
) -> None:
    assert f"{n}×{n}×{n}" in shown(tmp_path, moves, cube)


def test_a_sequence_is_shown_on_the_cube_that_those_it_uses_ask_for(tmp_path: Path) -> None:
    said = shown(tmp_path, '{large} R"\nlarge = "3Rw U', 3)
    assert "6×6×6" in said
    assert "4×4×4" not in said


def test_finished_centres_tell_how_the_cube_is_held_in_the_end(tmp_path: Path) -> None:
    said = shown(tmp_path, FLIP, 3)
    for one in ("Two corners change", "Two whole edges change", "One whole edge is flipped in"):
        assert one in said

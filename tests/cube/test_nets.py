"""Pictures after moves, drawn by hand."""

from __future__ import annotations

import pytest

from sitegen.cube.position import Position
from tables import Row, motion_of, rows_of

LETTERS = "WOGRBY"


@pytest.mark.parametrize("row", rows_of("nets"), ids=lambda row: f"{row.n} {row.moves}")
def test_moves_show_the_drawn_picture(row: Row) -> None:
    up, *belt, down = [line.split() for line in row.value.strip().splitlines()]
    faces = [up, *(list(column) for column in zip(*belt, strict=True)), down]
    shown = Position.solved(row.n).after(motion_of(row.n, row.moves)).colours
    assert "".join(LETTERS[colour] for colour in shown) == "".join("".join(f) for f in faces)

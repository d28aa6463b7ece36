"""The net in a terminal."""

from __future__ import annotations

import re

from draw.draw_reading import scrambled
from sitegen.cube.position import Position
from sitegen.draw.palette import LIGHT
from sitegen.draw.terminal import net_text

CROSS = """\
   WW
   WW
OO GG RR BB
OO GG RR BB
   YY
   YY
"""


def test_letters_make_the_cross() -> None:
    assert net_text(Position.solved(2), colour=False) == CROSS


def test_colour_paints_each_cell_and_loses_no_letter() -> None:
    position = Position.showing(5, scrambled(5).colours)
    plain = net_text(position, colour=False)
    painted = net_text(position, colour=True)
    bare = re.sub(r"\x1b\[[\d;]*m", "", painted)
    assert bare.split() == [c for line in plain.splitlines() for c in line if c != " "]
    assert [len(line) for line in bare.splitlines()] == [21] * 5 + [43] * 5 + [21] * 5
    for value in LIGHT.colours:
        red, green, blue = bytes.fromhex(value[1:])
        assert painted.count(f"48;2;{red};{green};{blue}m") == 25
    assert painted.count("\x1b[0m") == 150

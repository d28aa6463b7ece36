"""The net in a terminal."""

from __future__ import annotations

import re

from draw.draw_reading import scrambled
from sitegen.cube.scheme import DEFAULT, Scheme
from sitegen.draw.picture import Picture
from sitegen.draw.terminal import net_text

SOLVED_2 = bytes(face for face in range(6) for _ in range(4))
CROSS = """\
   WW
   WW
OO GG RR BB
OO GG RR BB
   YY
   YY
"""


def test_letters_make_the_cross() -> None:
    assert net_text(Picture(2, SOLVED_2), DEFAULT, colour=False) == CROSS


def test_out_of_focus_is_a_dot() -> None:
    picture = Picture(2, SOLVED_2, focus=frozenset({0}))
    assert net_text(picture, DEFAULT, colour=False).startswith("   W.\n   ..\n.. ..")


def test_colour_paints_each_cell_and_loses_no_letter() -> None:
    picture = scrambled(5)
    plain = net_text(picture, DEFAULT, colour=False)
    painted = net_text(picture, Scheme(values=("#010203", "", "", "", "", "")), colour=True)
    bare = re.sub(r"\x1b\[[\d;]*m", "", painted)
    assert bare.split() == [c for line in plain.splitlines() for c in line if c != " "]
    assert painted.count("48;2;1;2;3m") == 25
    assert painted.count("\x1b[0m") == 150

"""The net for a terminal, in colour or in letters alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.cube.scheme import DEFAULT
from sitegen.cube.textnet import write_cross
from sitegen.draw.palette import LIGHT

if TYPE_CHECKING:
    from sitegen.cube.position import Position


def net_text(position: Position, *, colour: bool) -> str:
    """The cross of letters, as blocks have it; lines end in a newline.

    Args:
        position: what is shown, in the colours that a cube has where nothing is said of them.
        colour: paint each cell, with the 24-bit colours of ISO 8613-6 (`ESC [ 48;2;r;g;b m`,
            from memory) and two columns wide, so that it looks square.
    """
    rows = write_cross(position, DEFAULT)
    if colour:
        n = position.n
        faces = ([row[at : at + n] for at in range(0, len(row), n + 1)] for row in rows)
        rows = [" ".join(["".join(map(_cell, cells)) for cells in row]) for row in faces]
    return "\n".join(rows) + "\n"


def _cell(letter: str) -> str:
    if letter == " ":
        return "  "
    red, green, blue = bytes.fromhex(LIGHT.colours[DEFAULT.letters.index(letter)][1:])
    return f"\x1b[38;2;0;0;0;48;2;{red};{green};{blue}m{letter} \x1b[0m"

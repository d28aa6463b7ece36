"""The net for a terminal, in colour or in letters alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.draw.palette import LIGHT
from sitegen.draw.words import letters

if TYPE_CHECKING:
    from sitegen.cube.scheme import Scheme
    from sitegen.draw.picture import Picture


def net_text(picture: Picture, scheme: Scheme, *, colour: bool) -> str:
    """The cross of letters: U, then `L F R B` side by side, then D; lines end in a newline.

    Args:
        picture: what is shown; stickers out of focus are dots. Rings and changes are not shown.
        scheme: letters and colour values.
        colour: paint each cell, with the 24-bit colours of ISO 8613-6 (`ESC [ 48;2;r;g;b m`,
            from memory) and two columns wide, so that it looks square.
    """
    n = picture.n
    text = letters(picture, scheme, ".")
    values = LIGHT.shown(scheme)
    width = 2 * n if colour else n

    def row(face: int, line: int) -> str:
        first = (face * n + line) * n
        cells = range(first, first + n)
        if not colour:
            return text[first : first + n]
        return "".join([_cell(text[cell], values[picture.colours[cell]]) for cell in cells])

    indent = " " * (width + 1)
    lines = [indent + row(0, line) for line in range(n)]
    lines += [" ".join([row(face, line) for face in (1, 2, 3, 4)]) for line in range(n)]
    lines += [indent + row(5, line) for line in range(n)]
    return "\n".join(lines) + "\n"


def _cell(letter: str, value: str) -> str:
    if letter == ".":
        return " ."
    red, green, blue = bytes.fromhex(value.removeprefix("#"))
    return f"\x1b[38;2;0;0;0;48;2;{red};{green};{blue}m{letter} \x1b[0m"

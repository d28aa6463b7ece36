"""The net: U above, L F R B in a row, D below, as paper lies when a cube of it is unfolded."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from sitegen.draw.grid import BETWEEN, kind, pixels, size
from sitegen.draw.ink import Box, Sheet
from sitegen.draw.palette import stylesheet
from sitegen.draw.rings import covered, draw_rings
from sitegen.draw.stickers import Face, lay, square
from sitegen.draw.words import describe

if TYPE_CHECKING:
    from sitegen.cube.scheme import Scheme
    from sitegen.draw.ink import Point
    from sitegen.draw.picture import Picture
    from sitegen.told import Say


def draw(picture: Picture, scheme: Scheme, say: Say, *, standalone: bool) -> str:
    """The net as SVG markup.

    Args:
        picture: what is shown; without a title it has no words and is hidden from screen readers.
        scheme: letters for words and stickers; its colour values only where the picture stands
            alone, since a page has them in its stylesheet.
        say: says the theme's texts.
        standalone: a file for itself, with stylesheet and paper, not a part of an HTML page.
    """
    n = picture.n
    sheet = _sheet(n)
    unlettered = covered(n, picture.rings, _place, sheet) if picture.letters else frozenset()
    inside = lay(picture, scheme, _faces(n), unlettered)
    inside += draw_rings(n, picture.rings, _place, sheet)
    return sheet.filled(
        inside,
        title=say(picture.title),
        desc=describe(picture, scheme, say, "net") if picture.title else "",
        style=stylesheet(scheme, (n,)) if standalone else "",
    )


@cache
def _faces(n: int) -> tuple[Face, ...]:
    step = n * size(n).unit + BETWEEN
    # F where counting begins: so numbers are shortest, and a minus is no longer than a blank
    spots = ((0, -1), (-1, 0), (0, 0), (1, 0), (2, 0), (0, 1))
    return tuple(Face(index, x * step, y * step) for index, (x, y) in enumerate(spots))


def _place(n: int, sticker: int) -> tuple[Point, ...]:
    face, cell = divmod(sticker, n * n)
    return square(n, _faces(n)[face], cell)


@cache
def _sheet(n: int) -> Sheet:
    unit = size(n).unit
    side, half = n * unit, unit / 2
    step = side + BETWEEN
    view = Box(-step - unit, -step - half, 2 * step + side, step + side + half)
    return Sheet(kind(n), view, pixels(n))

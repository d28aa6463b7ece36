"""The net: U above, L F R B in a row, D below, as paper lies when a cube of it is unfolded."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

from sitegen.draw.grid import pixels, size
from sitegen.draw.ink import Box, sheet
from sitegen.draw.palette import stylesheet
from sitegen.draw.rings import draw_rings
from sitegen.draw.stickers import Face, lay, square
from sitegen.draw.words import describe

if TYPE_CHECKING:
    from sitegen.cube.scheme import Scheme
    from sitegen.draw.ink import Point
    from sitegen.draw.picture import Picture

_GAP: Final = 1
"""Between faces, in user units."""


def draw(picture: Picture, scheme: Scheme, *, standalone: bool) -> str:
    """The net as SVG markup.

    Args:
        picture: what is shown; without a title it has no words and is hidden from screen readers.
        scheme: letters for words and stickers; its colour values only where the picture stands
            alone, since a page has them in its stylesheet.
        standalone: a file for itself, with stylesheet and paper, not a part of an HTML page.
    """
    n = picture.n
    view = _view(n)
    drawing = sheet(
        size(n).kind,
        view,
        pixels(n),
        title=picture.title,
        desc=describe(picture, scheme),
        style=stylesheet(scheme) if standalone else "",
    )
    lay(drawing, picture, scheme, _faces(n))

    def place(sticker: int) -> tuple[Point, ...]:
        face, cell = divmod(sticker, n * n)
        return square(n, _faces(n)[face], cell)

    draw_rings(drawing, picture, place, view, pixels(n))
    return str(drawing)


@cache
def _faces(n: int) -> tuple[Face, ...]:
    step = n * size(n).unit + _GAP
    spots = ((1, 0), (0, 1), (1, 1), (2, 1), (3, 1), (1, 2))
    return tuple(Face(index, x * step, y * step) for index, (x, y) in enumerate(spots))


@cache
def _view(n: int) -> Box:
    unit = size(n).unit
    side, half = n * unit, unit / 2
    return Box(-half, -unit, 4 * side + 3 * _GAP + half, 3 * side + 2 * _GAP)

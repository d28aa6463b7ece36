"""The net: U above, L F R B in a row, D below, as paper lies when a cube of it is unfolded."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from sitegen.draw.ink import Canvas, Rectangle
from sitegen.draw.sizes import BETWEEN, classes, pixels, size
from sitegen.draw.stickers import Face, lay, square

if TYPE_CHECKING:
    from sitegen.cube.scheme import Scheme
    from sitegen.draw.ink import Point
    from sitegen.draw.picture import Picture


def lay_faces(picture: Picture, scheme: Scheme, unlettered: frozenset[int]) -> str:
    """All six faces as markup."""
    return lay(picture, scheme, _faces(picture.n), unlettered)


@cache
def _faces(n: int) -> tuple[Face, ...]:
    step = n * size(n).unit + BETWEEN
    # F where counting begins: so numbers are shortest, and a minus is no longer than a blank
    spots = ((0, -1), (-1, 0), (0, 0), (1, 0), (2, 0), (0, 1))
    return tuple(Face(index, x * step, y * step) for index, (x, y) in enumerate(spots))


def place(n: int, sticker: int) -> tuple[Point, ...]:
    """Where a sticker is; see `rings.CornersOf`."""
    face, cell = divmod(sticker, n * n)
    return square(n, _faces(n)[face], cell)


@cache
def canvas(n: int) -> Canvas:
    """What a net of n layers is drawn on."""
    unit = size(n).unit
    side, half = n * unit, unit / 2
    step = side + BETWEEN
    view = Rectangle(-step - unit, -step - half, 2 * step + side, step + side + half)
    return Canvas(classes(n), view, pixels(n))

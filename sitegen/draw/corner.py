"""Three faces seen over a corner: F as it is, U and R slanting away from it."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

from sitegen.draw.ink import Canvas, Rectangle, group, number
from sitegen.draw.sizes import classes, pixels, size
from sitegen.draw.stickers import Face, lay, square

if TYPE_CHECKING:
    from sitegen.cube.scheme import Scheme
    from sitegen.draw.ink import Point
    from sitegen.draw.picture import Picture

_AWAY: Final = (0.56, -0.4)
"""Where a unit of depth leads on the paper: right and up, drawn at about seven tenths."""

_SEAM: Final = 0.2
"""Between two faces, in stickers."""

_ROOM: Final = 1.5
"""How much larger stickers are shown than in a net, since there are fewer."""

Slant = tuple[float, float, float, float, float, float]
"""An affine map as SVG writes it: (x, y) goes to (a x + c y + e, b x + d y + f)."""


def lay_faces(picture: Picture, scheme: Scheme, unlettered: frozenset[int]) -> str:
    """The three faces as markup."""
    return "".join(
        [
            group(lay(picture, scheme, (Face(face, 0, 0),), unlettered), transform=slant)
            for face, slant in _written(picture.n).items()
        ]
    )


@cache
def _slants(n: int) -> dict[int, Slant]:
    """Face number to map, from a face whose first column's middle is at 0, 0 to the canvas."""
    right, up = _AWAY
    unit = size(n).unit
    side, half, seam = n * unit, unit / 2, _SEAM * unit
    return {
        0: (1, 0, -right, -up, right * side, up * side - seam),
        2: (1, 0, 0, 1, 0, 0),
        3: (right, up, 0, 1, side - half + seam + right * half, up * half),
    }


@cache
def _written(n: int) -> dict[int, str]:
    """The maps as SVG has them written."""
    return {
        face: f"matrix({' '.join([number(value) for value in slant])})"
        for face, slant in _slants(n).items()
    }


def place(n: int, sticker: int) -> tuple[Point, ...] | None:
    """Where a sticker is; see `rings.CornersOf`."""
    face, cell = divmod(sticker, n * n)
    slant = _slants(n).get(face)
    if slant is None:
        return None
    return tuple(_carried(slant, corner) for corner in square(n, Face(face, 0, 0), cell))


def _carried(slant: Slant, point: Point) -> Point:
    a, b, c, d, e, f = slant
    x, y = point
    return a * x + c * y + e, b * x + d * y + f


@cache
def canvas(n: int) -> Canvas:
    """What the three faces of n layers are drawn on."""
    right, up = _AWAY
    unit = size(n).unit
    side, half, seam = n * unit, unit / 2, _SEAM * unit
    view = Rectangle(-unit, side * up - seam - half, side * (1 + right) + seam, side + half)
    return Canvas(classes(n), view, _ROOM * pixels(n))

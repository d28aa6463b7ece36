"""How big things are: a sticker's unit, the gaps, the pixels, by the number of layers."""

from __future__ import annotations

from functools import cache
from typing import Final

from msgspec import Struct

from sitegen.cube.geometry import LARGEST


class Size(Struct, frozen=True):
    """Measures that pictures of some numbers of layers share.

    Attributes:
        most: the largest number of layers it is for.
        unit: a sticker with its gap, in user units. Two on small cubes, where the gap between
            faces, always one user unit, would be too wide otherwise; whole, for the sake of short
            coordinates.
        gap: how much of that, in user units, is the gap.
        ring: how thick a ring is, in user units.
        classes: the classes of the picture, by which the stylesheet knows the size.
    """

    most: int
    unit: int
    gap: float
    ring: float
    classes: str


SIZES: Final = (
    Size(5, 2, 0.14, 0.2, "cube few"),
    Size(12, 1, 0.1, 0.15, "cube"),
    Size(LARGEST, 1, 0.18, 0.28, "cube fine"),  # gaps that are still seen
)

_READABLE: Final = 11
"""CSS pixels that labels have at least."""

BETWEEN: Final = 1
"""Between the faces of a net, in user units."""


@cache
def size(n: int) -> Size:
    """The measures for n layers."""
    return next(size for size in SIZES if n <= size.most)


@cache
def pixels(n: int) -> float:
    """CSS pixels to a user unit: nets as wide as half a column of text, stickers from 5 pixels."""
    return max(5, 2 * round(170 / (4 * n + 2))) / size(n).unit


def font_size(n: int, scale: float = 0) -> float:
    """How large labels are, in user units: as fits a sticker, but not too small to be read.

    Args:
        n: layers each way.
        scale: CSS pixels to a user unit where the picture is shown at its own size; those of a net
            where it is left out.
    """
    return max(0.55 * size(n).unit, _READABLE / (scale or pixels(n)))


def classes(n: int) -> str:
    """The classes of a picture, by which the stylesheet knows its size."""
    return f"{size(n).classes} n{n}"

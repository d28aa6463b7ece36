"""The stickers of some faces laid on a sheet: colours, focus, what changed, letters."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.draw.grid import size
from sitegen.draw.ink import Box, group, number, path, text
from sitegen.draw.runs import NOTHING, Layout, Row, marked

if TYPE_CHECKING:
    from sitegen.cube.scheme import Scheme
    from sitegen.draw.ink import Point
    from sitegen.draw.picture import Picture

_BARE: Final = 6
"""The kind of a sticker out of focus, after the six colours."""

_KINDS: Final = ("c0", "c1", "c2", "c3", "c4", "c5", "bare")


class Face(NamedTuple):
    """Which face, and where it is: its left side, and the middle of its first row."""

    number: int
    x: int
    y: int


@lru_cache(maxsize=64)
def _layout(n: int, faces: tuple[Face, ...]) -> Layout:
    unit = size(n).unit
    rows = (
        Row(first, first + n, face.x, face.y + unit * row)
        for face in faces
        for row in range(n)
        for first in [(face.number * n + row) * n]
    )
    return Layout(rows, unit)


@lru_cache(maxsize=512)
def _coloured(n: int, faces: tuple[Face, ...], cells: bytes) -> str:
    """The paths of all stickers, kept: lessons go on where others ended, and end solved."""
    paths = _layout(n, faces).paths(cells)
    return "".join([path(_KINDS[kind], data) for kind, data in paths])


def _marks(kind: str, layout: Layout, cells: bytes, right: float, down: float) -> str:
    """A path over the cells that are not `NOTHING`, shifted to the right and down."""
    return "".join([path(kind, data) for _, data in layout.paths(cells, right, down)])


@lru_cache(maxsize=64)
def _plates(n: int, faces: tuple[Face, ...]) -> str:
    """A square under each face, that shows as thin lines between and round the stickers.

    A stroke as wide as a face is high, dashed where faces lie side by side.
    """
    unit, gap = size(n).unit, size(n).gap
    side = unit * n
    lines: dict[int, tuple[int, int]] = {}
    for face in faces:
        first, last = lines.get(face.y, (face.x, face.x))
        lines[face.y] = min(first, face.x), max(last, face.x)
    return "".join(
        [
            f"M{number(first - gap / 2)} {number(y + (side - unit) / 2)}"
            f"h{number(last - first + side + gap)}"
            for y, (first, last) in lines.items()
        ]
    )


def square(n: int, face: Face, cell: int) -> tuple[Point, ...]:
    """The corners of a cell of the face, clockwise from the left top."""
    unit = size(n).unit
    row, column = divmod(cell, n)
    left, top = face.x + unit * column, face.y + unit * (row - 0.5)
    return Box(left, top, left + unit, top + unit).corners


def lay(picture: Picture, scheme: Scheme, faces: tuple[Face, ...]) -> str:
    """The faces, each where it is said, as markup."""
    n, cells = picture.n, picture.colours
    unit, gap = size(n).unit, size(n).gap
    layout = _layout(n, faces)
    parts = []
    if picture.focus is None:
        parts.append(path("plate", _plates(n, faces)))
    else:
        parts.append(path("plate pale", _plates(n, faces)))
        lit = marked(len(cells), picture.focus)
        # twice, to reach half a gap beyond the ends: white in focus needs its dark frame
        parts += [_marks("lit", layout, lit, shift, 0) for shift in (-gap / 2, gap / 2)]
        cells = bytes([_BARE if no == NOTHING else own for no, own in zip(lit, cells, strict=True)])
    parts.append(_coloured(n, faces, cells))
    if picture.changed:
        parts.append(_marks("changed", layout, marked(len(cells), picture.changed), 0, 0.31 * unit))
    if picture.letters:
        parts.append(_letters(cells, scheme, layout))
    return "".join(parts)


def _letters(cells: bytes, scheme: Scheme, layout: Layout) -> str:
    unit = layout.unit
    lines: dict[int, list[tuple[str, str]]] = {}
    for begin, end, left, y in layout.rows:
        lines.setdefault(y, []).extend(
            (str(left + unit * column), scheme.letters[cell])
            for column, cell in enumerate(cells[begin:end])
            if cell != _BARE
        )
    words = [
        text("".join([letter for _, letter in line]), x=" ".join([x for x, _ in line]), y=str(y))
        for y, line in lines.items()
        if line
    ]
    # half a unit to the right is the middle of a sticker; down, that of a capital's height
    shift = f"translate({number(unit / 2)} {number(0.17 * unit)})"
    return group("".join(words), class_="letters", transform=shift)

"""The stickers of some faces laid on a sheet: colours, focus, what changed, letters."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.draw.grid import size
from sitegen.draw.ink import Box, number
from sitegen.draw.runs import NOTHING, Layout, Row, marked

if TYPE_CHECKING:
    from sitegen.cube.scheme import Scheme
    from sitegen.draw.ink import Point, Sheet
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
    rows = [
        Row(first, first + n, face.x, face.y + unit * row)
        for face in faces
        for row in range(n)
        for first in [(face.number * n + row) * n]
    ]
    return Layout(tuple(rows), unit)


@lru_cache(maxsize=512)
def _coloured(n: int, faces: tuple[Face, ...], cells: bytes) -> list[tuple[int, str]]:
    """The paths of all stickers, kept: lessons go on where others ended, and end solved."""
    return _layout(n, faces).paths(cells)


@lru_cache(maxsize=64)
def _plates(n: int, faces: tuple[Face, ...]) -> str:
    """A square under each face, that shows as thin lines between and round the stickers."""
    unit = size(n).unit
    side = unit * n
    square = f"h{side}v{side}h-{side}z"
    moves = [f"M{faces[0].x} {number(faces[0].y - unit / 2)}"]
    moves += [f"m{b.x - a.x} {b.y - a.y}" for a, b in pairwise(faces)]
    return "".join([move + square for move in moves])


def square(n: int, face: Face, cell: int) -> tuple[Point, ...]:
    """The corners of a cell of the face, clockwise from the left top."""
    unit = size(n).unit
    row, column = divmod(cell, n)
    left, top = face.x + unit * column, face.y + unit * (row - 0.5)
    return Box(left, top, left + unit, top + unit).corners


def lay(sheet: Sheet, picture: Picture, scheme: Scheme, faces: tuple[Face, ...]) -> None:
    """The faces, each where it is said."""
    n = picture.n
    unit, gap = size(n).unit, size(n).gap
    layout = _layout(n, faces)
    sheet.path("plate" if picture.focus is None else "plate pale", _plates(n, faces))
    cells = picture.colours
    if picture.focus is not None:
        lit = marked(len(cells), picture.focus)
        for _, data in layout.paths(lit):
            # twice, to reach half a gap beyond the ends: white in focus needs its dark frame
            for shift in (-gap / 2, gap / 2):
                sheet.path("lit", data, transform=f"translate({number(shift)})")
        cells = bytes([_BARE if no == NOTHING else own for no, own in zip(lit, cells, strict=True)])
    for kind, data in _coloured(n, faces, cells):
        sheet.path(_KINDS[kind], data)
    if picture.changed:
        for _, data in layout.paths(marked(len(cells), picture.changed)):
            sheet.path("changed", data, transform=f"translate(0 {number(0.31 * unit)})")
    if picture.letters:
        _write_letters(sheet, cells, scheme, layout)


def _write_letters(sheet: Sheet, cells: bytes, scheme: Scheme, layout: Layout) -> None:
    unit = layout.unit
    lines: dict[int, list[tuple[str, str]]] = {}
    for begin, end, left, y in layout.rows:
        lines.setdefault(y, []).extend(
            (str(left + unit * column), scheme.letters[cell])
            for column, cell in enumerate(cells[begin:end])
            if cell != _BARE
        )
    # half a unit to the right is the middle of a sticker; down, that of a capital's height
    shift = f"translate({number(unit / 2)} {number(0.17 * unit)})"
    part = sheet.part(class_="letters", transform=shift, paint_order="stroke")
    for y, line in lines.items():
        if line:
            words = "".join([letter for _, letter in line])
            part.text(words, x=" ".join([x for x, _ in line]), y=str(y))

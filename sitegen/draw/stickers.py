"""The stickers of some faces laid on a canvas: colours, focus, what changed, letters."""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from operator import mul
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.draw.ink import Rectangle, after, group, number, path, text
from sitegen.draw.palette import BLACK, COLOURED, DIM, darker
from sitegen.draw.runs import Column, Columns
from sitegen.draw.sizes import BETWEEN, size

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.cube.scheme import Scheme
    from sitegen.draw.ink import Point
    from sitegen.draw.picture import Picture

_BARE: Final = 6
"""The kind of a sticker out of focus, after the six colours."""

_COLOURS: Final = range(6)
_KINDS: Final = (*COLOURED, "bare")


class Face(NamedTuple):
    """Which face, and where it is: the middle of its first column, and its upper side."""

    number: int
    x: int
    y: int


@lru_cache(maxsize=64)
def _columns(n: int, faces: tuple[Face, ...], beyond: float = 0) -> Columns:
    unit, area = size(n).unit, n * n
    columns = [
        Column(slice(first + column, first + area, n), face.x + unit * column, face.y)
        for face in faces
        for first in [face.number * area]
        for column in range(n)
    ]
    return Columns(columns, n, unit, beyond)


@lru_cache(maxsize=512)
def _coloured(columns: Columns, cells: bytes, kinds: Sequence[int]) -> str:
    """The paths of all stickers, kept: lessons go on where others ended, and end solved."""
    drawn = zip(kinds, columns.paths(cells, kinds), strict=True)
    return "".join([path(_KINDS[kind], data) for kind, data in drawn if data])


def _marks(kind: str, columns: Columns, cells: bytes) -> str:
    """A path over the cells that are 1."""
    (data,) = columns.paths(cells, (1,))
    return path(kind, data) if data else ""


def _changed(columns: Columns, cells: bytes, changed: bytes, dim: tuple[int, ...]) -> Iterator[str]:
    """The marks on what changed, those on dim colours apart."""
    marked = bytes(map(mul, changed, [own not in dim for own in cells])) if dim else changed
    yield _marks("changed", columns, marked)
    for colour in dim:
        marked = bytes(map(mul, changed, [own == colour for own in cells]))
        yield _marks(f"changed on{colour}", columns, marked)


@lru_cache(maxsize=64)
def _plates(n: int, faces: tuple[Face, ...]) -> str:
    """A square under each face, that shows as thin lines between and round the stickers.

    A stroke as wide as a face is high, dashed where faces lie side by side. It begins and ends
    half a user unit, half of what is between faces, beyond them.
    """
    unit = size(n).unit
    side = unit * n
    lines: dict[int, tuple[int, int]] = {}
    for face in faces:
        first, last = lines.get(face.y, (face.x, face.x))
        lines[face.y] = min(first, face.x), max(last, face.x)
    return "".join(
        [
            f"M{number(first - (unit + BETWEEN) / 2)}{after(number(y + side / 2))}"
            f"h{last - first + side + BETWEEN}"
            for y, (first, last) in lines.items()
        ]
    )


def square(n: int, face: Face, cell: int) -> tuple[Point, ...]:
    """The corners of a cell of the face, clockwise from the left top."""
    unit = size(n).unit
    row, column = divmod(cell, n)
    left, top = face.x + unit * (column - 0.5), face.y + unit * row
    return Rectangle(left, top, left + unit, top + unit).corners


def lay(
    picture: Picture, scheme: Scheme, faces: tuple[Face, ...], unlettered: frozenset[int]
) -> str:
    """The faces, each where it is said, as markup; some stickers have no letter in any case."""
    n, cells, focus = picture.n, picture.colours, picture.focus
    columns, around = _columns(n, faces), _columns(n, faces, size(n).gap / 2)
    kinds: Sequence[int] = _COLOURS
    parts = [path("plate" if focus is None else "plate pale", _plates(n, faces))]
    if focus is not None:
        lit = bytes([place in focus for place in range(len(cells))])
        # white in focus needs its dark frame, half a gap beyond it all round
        parts.append(_marks("lit", around, lit))
        cells = bytes([own if is_lit else _BARE for is_lit, own in zip(lit, cells, strict=True)])
        kinds = (_BARE, *_COLOURS)
    # black, a light one: side by side such stickers would look like one
    for colour in darker(scheme, BLACK):
        black = bytes([own == colour for own in cells])
        parts.append(_marks(f"lit on{colour}", around, black))
    parts.append(_coloured(columns, cells, kinds))
    if 1 in picture.changed:
        parts += _changed(columns, cells, picture.changed, darker(scheme, DIM))
    if picture.letters:
        parts.append(_letters(n, cells, scheme, faces, unlettered))
    return "".join(parts)


def _letters(
    n: int, cells: bytes, scheme: Scheme, faces: tuple[Face, ...], unlettered: frozenset[int]
) -> str:
    unit = size(n).unit
    lines: dict[int, list[tuple[str, str]]] = {}
    for face, row in product(faces, range(n)):
        first = (face.number * n + row) * n
        lines.setdefault(face.y + unit * row, []).extend(
            (str(face.x + unit * column), scheme.letters[cell])
            for column, cell in enumerate(cells[first : first + n])
            if cell != _BARE and first + column not in unlettered
        )
    words = [
        text("".join([letter for _, letter in line]), x=" ".join([x for x, _ in line]), y=str(y))
        for y, line in lines.items()
        if line
    ]
    # from a sticker's upper end to its middle, and by half of a capital's height
    shift = f"translate(0 {number(0.67 * unit)})"
    return group("".join(words), class_="letters", transform=shift)

"""Cells in columns, written as the data of one dashed path for each kind of cell."""

from __future__ import annotations

from functools import cache
from itertools import cycle
from operator import getitem, itemgetter
from struct import unpack
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.draw.ink import after, number

if TYPE_CHECKING:
    from collections.abc import Sequence

_LONGEST: Final = 4
"""Cells that a stroke runs on under: longer runs are rare on a scrambled cube."""

_FEW: Final = 7
"""Cells a column, of which all strokes that there can be are written beforehand."""

_KEPT: Final = 128
"""For how many looks of a longer column its strokes are kept."""

_NONE: Final = 255
"""Stands between columns; no kind of cell."""

_WIDTHS: Final = (("B", 8), ("H", 16), ("I", 32), ("Q", 64))
"""The numbers of `struct`, each with its bits."""

_ONLY: Final = tuple(bytes(b"01"[cell == kind] for cell in range(256)) for kind in range(8))
"""What turns cells into digits, by kind: 1 for the cells of that kind."""


class Column(NamedTuple):
    """Where a column of cells lies.

    Attributes:
        cells: its cells, from its upper end, among all there are.
        x: where its middle is, in user units.
        y: where its upper end is.
    """

    cells: slice
    x: int
    y: int


class _Strokes(dict[int, str]):
    """Path data of a column by its inked cells: a bit a cell, the lowest for the uppermost cell."""

    def __init__(self, column: Column, unit: int, beyond: float) -> None:
        super().__init__()
        self.column, self.unit, self.beyond = column, unit, beyond

    def __missing__(self, cells: int) -> str:
        column = self.column
        rest = _down(cells, column.y, self.unit, self.beyond)
        text = f"M{column.x}{rest}" if cells else ""
        if len(self) < _KEPT:
            self[cells] = text
        return text


@cache
def _all_down(longest: int, y: int, unit: int, beyond: float) -> tuple[str, ...]:
    """The results of `_down` for all columns of so many cells but the one without ink."""
    return tuple([_down(cells, y, unit, beyond) for cells in range(1, 1 << longest)])


def _down(cells: int, y: int, unit: int, beyond: float) -> str:
    """Path data of the strokes down a column that begins at y, but for `M` and the first x."""
    words: list[str] = []
    edges = cells ^ cells << 1  # a bit where a stroke begins, and one where it ends
    ends = [at * unit for at in range(edges.bit_length()) if edges >> at & 1]
    pen = 0.0
    for first, last in zip(ends[::2], ends[1::2], strict=True):
        begin, end = first - beyond, last + beyond
        move = f"m0 {number(begin - pen)}" if words else after(number(y + begin))
        words.append(f"{move}v{number(end - begin)}")
        pen = end
    return "".join(words)


class Columns:
    """Columns of cells, and where each of them lies."""

    def __init__(self, columns: Sequence[Column], longest: int, unit: int, beyond: float) -> None:
        """Lay them out.

        Args:
            columns: two or more.
            longest: how many cells a column has, 63 at most.
            unit: how high a cell is, in user units.
            beyond: how far strokes reach beyond their cells, at either end.
        """
        # as many bits as a number of `struct` has, of which one at least stays empty
        self._code, width = next(found for found in _WIDTHS if found[1] > longest)
        self._between = bytes([_NONE]) * (width - longest)
        self._bits = width * len(columns)
        self._columns = itemgetter(*(column.cells for column in columns))
        self._strokes: list[_Strokes | list[str]] = [
            # in lists, one string after the other, they stay near the processor
            ["", *[f"M{column.x}{rest}" for rest in _all_down(longest, column.y, unit, beyond)]]
            if longest <= _FEW
            else _Strokes(column, unit, beyond)
            for column in columns
        ]

    def paths(self, cells: bytes, kinds: Sequence[int]) -> list[str]:
        """Path data for each kind, "" for one that no cell is of.

        A stroke leads down a column and begins at the upper end of its first cell, where the dash
        pattern starts anew (SVG 2, "Computing the shape of an element's stroke"; from memory), so
        a pattern one unit long shows one sticker a cell. A stroke runs on under cells painted
        later: an eighth fewer strokes on a scrambled cube. (Strokes of no length with square caps
        would be shorter still, but Chromium loses them, dashed or printed.)

        Most of the work on a page of figures is here, so it is done to all cells at once: a bit
        for each, in one number, kind after kind from the lowest bit on.

        Args:
            cells: a kind for each cell, 0 to 7; cells of a kind that is not asked for are left out.
            kinds: the kinds, in the order in which they are painted.
        """
        count = len(self._strokes)
        upwards = (self._between.join(self._columns(cells)) + self._between)[::-1]
        digits = b"".join([upwards.translate(_ONLY[kind]) for kind in reversed(kinds)])
        inked = _run_on(int(digits, 2), self._bits, len(digits))
        columns = unpack(
            f"<{count * len(kinds)}{self._code}", inked.to_bytes(len(digits) // 8, "little")
        )
        words = list(map(getitem, cycle(self._strokes), columns))
        return ["".join(words[first : first + count]) for first in range(0, len(words), count)]


def _run_on(inked: int, bits: int, every: int) -> int:
    """Ink as well what lies between two cells of a kind and is painted over later.

    Args:
        inked: a bit for each cell of a kind, kind after kind.
        bits: how many a kind has.
        every: how many all kinds have.
    """
    later = inked >> bits
    while bits < every:
        later |= later >> bits
        bits *= 2
    runs = later  # where so many cells painted later lie, the lowest of them
    for length in range(1, _LONGEST + 1):
        between = runs & inked << 1 & inked >> length
        inked |= between * ((1 << length) - 1)
        runs &= later >> length
    return inked

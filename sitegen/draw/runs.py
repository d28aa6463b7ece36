"""Cells in rows, written as the data of one dashed path for each kind of cell."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable

NOTHING: Final = 255
"""A cell of this kind is left out."""


class Row(NamedTuple):
    """Where a row of cells lies.

    Attributes:
        begin: its first cell.
        end: the cell after its last.
        x: where the left side of the first cell is, in user units.
        y: where its middle is.
    """

    begin: int
    end: int
    x: int
    y: int


_STROKES: Final = tuple(
    re.compile(b"[%c](?:[%c-\xff]*[%c])?" % (rank, rank, rank)) for rank in range(8)
)
"""From a cell of a rank to the last of that rank before one of a lower rank, painted earlier."""


@lru_cache(maxsize=1 << 14)
def _step(command: str, x: int, y: int, length: int) -> str:
    """A move without ink, `m` by or `M` to x, y, then a stroke to the right."""
    between = "" if y < 0 else " "
    return f"{command}{x}{between}{y}h{length}"


class Layout:
    """Rows of cells, and where each of their cells lies."""

    def __init__(self, rows: tuple[Row, ...], unit: int) -> None:
        """Lay them out; a cell is `unit` user units wide."""
        self.rows = rows
        self.unit = unit
        self._spans = [slice(row.begin, row.end) for row in rows]
        # for each byte of the rows joined by one byte between
        self._xs = [row.x + unit * at for row in rows for at in range(row.end - row.begin + 1)]
        self._ys = [row.y for row in rows for _ in range(row.end - row.begin + 1)]

    def paths(self, cells: bytes) -> list[tuple[int, str]]:
        """Kinds and path data in the order in which they are to be painted.

        A stroke begins at the left of its first cell and starts the dash pattern anew (SVG 2,
        "Computing the shape of an element's stroke"; from memory), so a pattern one unit long
        shows one sticker a cell. The commonest kind is painted first, and a stroke runs on under
        cells painted later: an eighth fewer strokes on a scrambled cube. (Strokes of no length
        with square caps would be shorter still, but Chromium loses them, dashed or printed.)

        Args:
            cells: a kind for each cell: 0 to 6, or `NOTHING`.
        """
        # what is left out has rank 0, as has the end of a row: no stroke runs over it
        row_by_row = bytes([NOTHING]).join([cells[span] for span in self._spans])
        kinds = sorted(
            set(row_by_row) - {NOTHING}, key=lambda kind: (-row_by_row.count(kind), kind)
        )
        ranks = bytearray(256)
        for rank, kind in enumerate(kinds, 1):
            ranks[kind] = rank
        ranked = row_by_row.translate(ranks)
        return [(kind, self._path(_STROKES[rank], ranked)) for rank, kind in enumerate(kinds, 1)]

    def _path(self, stroke: re.Pattern[bytes], ranked: bytes) -> str:
        xs, ys, unit = self._xs, self._ys, self.unit
        steps = []
        pen_x = pen_y = 0
        for match in stroke.finditer(ranked):
            first, end = match.span()
            x, y, length = xs[first], ys[first], (end - first) * unit
            step = _step("m", x - pen_x, y - pen_y, length)
            if x < pen_x and len(whole := _step("M", x, y, length)) < len(step):
                step = whole
            steps.append(step)
            pen_x, pen_y = x + length, y
        return "".join(steps)


def marked(size: int, chosen: Iterable[int]) -> bytes:
    """Cells for `paths` in which the chosen ones are of kind 0 and all others nothing."""
    cells = bytearray([NOTHING]) * size
    for cell in chosen:
        cells[cell] = 0
    return bytes(cells)

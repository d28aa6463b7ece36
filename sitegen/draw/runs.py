"""Cells in rows, written as the data of one dashed path for each kind of cell."""

from __future__ import annotations

import re
from operator import itemgetter
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.draw.ink import number

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

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
    re.compile(b"[%c](?:[%c-\xff]*[%c])?+" % (rank, rank, rank)) for rank in range(8)
)
"""From a cell of a rank to the last of that rank before one of a lower rank, painted earlier."""


_LINE: Final = 1024
"""Places are numbered line by line, more to a line than any picture is wide."""


class _Ways(dict[int, str]):
    """Moves without ink, by how far a place is after the pen; "" for one too far back."""

    def __init__(self, farthest: int) -> None:
        super().__init__()
        self.farthest = farthest

    def __missing__(self, way: int) -> str:
        down, right = divmod(way + _LINE // 2, _LINE)
        right -= _LINE // 2
        self[way] = f"m{right} {down}" if right > -self.farthest else ""
        return self[way]


_SHORT_WAYS: Final = _Ways(10)
"""Where two digits lead back, it is no longer to say the place itself."""

_ALL_WAYS: Final = _Ways(_LINE)


class Layout:
    """Rows of cells, and where each of their cells lies."""

    def __init__(self, rows: Iterable[Row], unit: int) -> None:
        """Lay them out; a cell is `unit` user units wide."""
        # as the eye reads, over all faces: the pen's ways are shortest so
        self.rows = sorted(rows, key=lambda row: (row.y, row.x))
        self.unit = unit
        self._in_rows = itemgetter(*(slice(row.begin, row.end) for row in self.rows))
        # for each byte of the rows joined by one byte between
        self._places = [
            row.y * _LINE + row.x + unit * at
            for row in self.rows
            for at in range(row.end - row.begin + 1)
        ]
        self._moves = [f"M{place % _LINE} {place // _LINE}" for place in self._places]
        longest = max(row.end - row.begin for row in self.rows)
        self._inks = [f"h{unit * length}" for length in range(longest + 1)]

    def paths(self, cells: bytes, right: float = 0, down: float = 0) -> list[tuple[int, str]]:
        """Kinds and path data in the order in which they are to be painted.

        A stroke begins at the left of its first cell and starts the dash pattern anew (SVG 2,
        "Computing the shape of an element's stroke"; from memory), so a pattern one unit long
        shows one sticker a cell. The commonest kind is painted first, and a stroke runs on under
        cells painted later: an eighth fewer strokes on a scrambled cube. (Strokes of no length
        with square caps would be shorter still, but Chromium loses them, dashed or printed.)

        Args:
            cells: a kind for each cell: 0 to 6, or `NOTHING`.
            right: how far all is shifted, in user units.
            down: the same downwards.
        """
        # what is left out has rank 0, as has the end of a row: no stroke runs over it
        row_by_row = bytes([NOTHING]).join(self._in_rows(cells))
        kinds = sorted(
            set(row_by_row) - {NOTHING}, key=lambda kind: (-row_by_row.count(kind), kind)
        )
        ranks = bytearray(256)
        for rank, kind in enumerate(kinds, 1):
            ranks[kind] = rank
        ranked = row_by_row.translate(ranks)
        return [
            (kind, self._path(_STROKES[rank].finditer(ranked), right, down))
            for rank, kind in enumerate(kinds, 1)
        ]

    def _path(self, strokes: Iterator[re.Match[bytes]], right: float, down: float) -> str:
        places, moves, inks = self._places, self._moves, self._inks
        begin, end = next(strokes).span()
        y, x = divmod(places[begin], _LINE)
        words = [f"M{number(x + right)} {number(y + down)}", inks[end - begin]]
        ways = _ALL_WAYS if right or down else _SHORT_WAYS
        # two words a stroke, from tables small enough to stay near: most of a drawing is done here
        for stroke in strokes:
            pen = places[end]
            begin, end = stroke.span()
            words.append(ways[places[begin] - pen] or moves[begin])
            words.append(inks[end - begin])
        return "".join(words)


def marked(size: int, chosen: Iterable[int]) -> bytes:
    """Cells for `paths` in which the chosen ones are of kind 0 and all others nothing."""
    cells = bytearray([NOTHING]) * size
    for cell in chosen:
        cells[cell] = 0
    return bytes(cells)

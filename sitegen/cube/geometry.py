"""Where each sticker of an N-cube sits, and where a turn carries it.

A sticker is a number s with 0 <= s < 6*n*n: face after face in the order of `FACES`, each face row
by row as its part of the net is read (as authors draw it: U with its bottom row at F, L F R B
with U above them, D with its top row at F). The net is unfolded as that of the 48 facelets in GAP's
Rubik example is.

Stickers are kept in banks of at most 256, each closed under every turn, so that a turn is one
`bytes.translate` a bank: on a 7x7, 294 stickers in two banks, some 0.4 microseconds. A bank is
padded to 256 with numbers that stand for themselves, for a table of `translate` must be that long.
"""

from __future__ import annotations

from functools import cache, cached_property
from operator import itemgetter
from typing import TYPE_CHECKING, Final

from sitegen.cube.scheme import FACES

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from sitegen.cube.turn import Turn

BANK: Final = 256
SMALLEST: Final = 2
LARGEST: Final = 33
OPPOSITE: Final = {"U": "D", "D": "U", "L": "R", "R": "L", "F": "B", "B": "F"}
AXIS: Final = {"L": 0, "R": 0, "D": 1, "U": 1, "B": 2, "F": 2}
"""The axis of a face: 0 from L to R, 1 from D to U, 2 from B to F."""

LONG: Final = 1000
"""Turns below which it is not worth looking which of them come again."""

Banks = tuple[bytes, ...]


def _cell_of(face: str, row: int, column: int, n: int) -> tuple[int, int, int]:
    """The cell, counted from 0 along each `AXIS`, of the sticker at a row and column of a face."""
    end = n - 1
    return {
        "U": (column, end, row),
        "L": (0, end - row, column),
        "F": (column, end - row, end),
        "R": (end, end - row, end - column),
        "B": (end - column, end - row, 0),
        "D": (column, 0, end - row),
    }[face]


# one quarter turn clockwise, seen from that face: where a cell goes, and where a face's stickers go
_CELL: Final[dict[str, Callable[[int, int, int, int], tuple[int, int, int]]]] = {
    "R": lambda x, y, z, end: (x, z, end - y),
    "U": lambda x, y, z, end: (end - z, y, x),
    "F": lambda x, y, z, end: (y, end - x, z),
}
_ROUND: Final = {"R": "FUBD", "U": "FLBR", "F": "URDL"}


class Geometry:
    """The stickers of one size of cube; take it from `geometry(n)`, which keeps one of each.

    Attributes:
        n: layers each way.
        count: how many stickers, 6*n*n.
        cells: for each sticker, its piece's cell, counted from 0 along L-R, D-U, B-F.
        faces: for each sticker, the letter of its face.
        banks: for each bank, its stickers in their order in the bank.
        slots: for each sticker, its bank and place in the bank, as bank * 256 + place.
    """

    def __init__(self, n: int) -> None:
        self.n = n
        self.count = 6 * n * n
        span = range(n)
        self.cells = tuple(_cell_of(f, r, c, n) for f in FACES for r in span for c in span)
        self.faces = tuple(f for f in FACES for _ in range(n * n))
        self.banks = self._fill_banks()
        slots = [0] * self.count
        for number, bank in enumerate(self.banks):
            for place, sticker in enumerate(bank):
                slots[sticker] = number * BANK + place
        self.slots = tuple(slots)
        self._turns: dict[Turn, Banks] = {}

    def _fill_banks(self) -> tuple[tuple[int, ...], ...]:
        if self.count <= BANK:
            return (tuple(range(self.count)),)
        orbits: dict[tuple[int, ...], list[int]] = {}
        for sticker, cell in enumerate(self.cells):
            key = tuple(sorted(min(c, self.n - 1 - c) for c in cell))
            orbits.setdefault(key, []).append(sticker)
        banks: list[list[int]] = [[]]
        for orbit in orbits.values():
            if len(banks[-1]) + len(orbit) > BANK:
                banks.append([])
            banks[-1] += orbit
        return tuple(map(tuple, banks))

    @cached_property
    def sticker_at(self) -> dict[tuple[tuple[int, int, int], str], int]:
        """The sticker of a cell that faces a way."""
        return {
            place: number for number, place in enumerate(zip(self.cells, self.faces, strict=True))
        }

    def layer_of(self, sticker: int, face: str) -> int:
        """The layer a sticker's piece lies in, counted from a face, which is layer 1."""
        at = self.cells[sticker][AXIS[face]]
        return self.n - at if face in "URF" else at + 1

    def coordinate(self, layer: int, face: str) -> int:
        """Where a layer, counted from a face, lies along that face's axis: undoes `layer_of`."""
        return self.n - layer if face in "URF" else layer - 1

    def to_banks(self, values: bytes) -> Banks:
        """Values a sticker, in the order of stickers, put into padded banks."""
        return tuple(
            bytes(map(values.__getitem__, bank)) + bytes(range(len(bank), BANK))
            for bank in self.banks
        )

    @cached_property
    def _unbank(self) -> Callable[[bytes], tuple[int, ...]]:
        return itemgetter(*self.slots)

    def from_banks(self, banks: Banks) -> bytes:
        """The inverse of `to_banks`."""
        return bytes(self._unbank(b"".join(banks)))

    @cached_property
    def identity(self) -> Banks:
        """The banks of no motion at all."""
        return (bytes(range(BANK)),) * len(self.banks)

    def turn(self, turn: Turn) -> Banks:
        """A turn as gathering tables: place p then shows what place table[p] showed before."""
        known = self._turns.get(turn)
        if known is None:
            known = self._turns[turn] = self._work_out(turn)
        return known

    def _work_out(self, turn: Turn) -> Banks:
        quarter = turn._replace(quarters=1)
        if turn.quarters > 1:
            once = self.turn(quarter)
            table = once
            for _ in range(turn.quarters - 1):
                table = compose(table, once)
            return table
        if turn.face in "LDB":  # the same layers from the other side, turning the other way
            first, last = self.n + 1 - turn.last, self.n + 1 - turn.first
            return self.turn(
                quarter._replace(face=OPPOSITE[turn.face], first=first, last=last, quarters=3)
            )
        tables = [bytearray(range(BANK)) for _ in self.banks]
        carry, end, axis = _CELL[turn.face], self.n - 1, AXIS[turn.face]
        way = _ROUND[turn.face]
        goes = {face: way[(way.index(face) + 1) % 4] if face in way else face for face in FACES}
        low, high = self.n - turn.last, self.n - turn.first
        at, slots = self.sticker_at, self.slots
        for sticker, cell in enumerate(self.cells):
            if low <= cell[axis] <= high:
                there = slots[at[carry(*cell, end), goes[self.faces[sticker]]]]
                tables[there // BANK][there % BANK] = slots[sticker] % BANK
        return tuple(map(bytes, tables))


@cache
def geometry(n: int) -> Geometry:
    """The stickers of the n-cube."""
    return Geometry(n)


def compose(first: Banks, second: Banks) -> Banks:
    """The gathering tables of one motion, then another."""
    return tuple(map(bytes.translate, second, first))


def follow(start: Banks, tables: Iterable[Banks]) -> Banks:
    """Banks of colours or of a motion, carried through turns one after another."""
    columns = zip(*fewer(list(tables)), strict=True)  # each bank's tables
    return tuple(map(_carried, start, columns)) or start


def fewer(tables: list[Banks]) -> list[Banks]:
    """The same motion in fewer tables, where the same turns come again and again in many.

    Neighbours are composed two by two, each pair once, as long as most pairs have come before. So a
    long repetition costs what is repeated; the largest cubes have 26 banks, each of which every
    turn of it would have to be carried through.
    """
    while len(tables) > LONG:
        pairs = list(zip(tables[::2], tables[1::2], strict=False))
        known = {(id(one), id(other)): (one, other) for one, other in pairs}
        if len(known) * 8 > len(pairs):
            break
        composed = {key: compose(*pair) for key, pair in known.items()}
        last = tables[-1:] if len(tables) % 2 else []
        tables = [composed[id(one), id(other)] for one, other in pairs] + last
    return tables


def _carried(bank: bytes, tables: Iterable[bytes]) -> bytes:
    for table in tables:
        bank = table.translate(bank)
    return bank

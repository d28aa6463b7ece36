"""Stickers put together to pieces, pieces to orbits, orbits to classes.

A piece is a cell of the cube with stickers on it. Its kind follows from how many it has: a corner
three, a piece of an edge two, a centre one. Wings of an edge lie in a layer 2 <= k <= n/2 counted
from the nearer end, and 24 of one k form an orbit; on odd n the middle pieces of the edges form one
of 12. A centre's orbit is named by its two layers; where these differ and neither is the middle,
there are two mirror-image orbits (source of the orbits and their numbers: the counts behind OEIS
A075152, which these give for every n).
"""

from __future__ import annotations

from functools import cache, cached_property
from itertools import chain
from operator import attrgetter
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from msgspec import Struct

from sitegen.cube.geometry import AXIS, geometry

if TYPE_CHECKING:
    from collections.abc import Iterable

Kind = Literal["corner", "wing", "middle", "centre"]

ORDER: Final = "UDFBRL"
"""The order in which a piece's faces are named where the author's own order does not matter."""

CLOCKWISE_CORNERS: Final = frozenset(
    (corner[i], corner[(i + 1) % 3], corner[(i + 2) % 3])
    for corner in ("URF", "UFL", "ULB", "UBR", "DFR", "DLF", "DBL", "DRB")
    for i in range(3)
)
"""The three faces of each corner, clockwise as seen from outside, begun at any of them."""


class Orbit(NamedTuple):
    """Which pieces can trade places with one another: those of one orbit, and no others.

    Attributes:
        kind: what they are.
        layer: the layer that wings lie in; of centres the lower of their two layers; else 0.
        other: of centres the higher of the two; else 0.
        mirror: which of two mirror-image orbits of centres it is, 0 or 1; 0 where there is one.
    """

    kind: Kind
    layer: int = 0
    other: int = 0
    mirror: int = 0


class Piece(Struct, frozen=True):
    """A piece, by where it sits.

    Attributes:
        number: its index in `Pieces.all`.
        orbit: the pieces it can trade places with.
        stickers: its stickers, in the order of `ORDER`; of a corner, clockwise from the U or D one;
            of a wing, the one first that every wing of the orbit can bring to the same place.
    """

    number: int
    orbit: Orbit
    stickers: tuple[int, ...]

    @property
    def kind(self) -> Kind:
        """What it is."""
        return self.orbit.kind


class Pieces:
    """The pieces of one size of cube; take it from `pieces(n)`, which keeps one of each.

    Attributes:
        n: layers each way.
        all: every piece.
        of: for each sticker, the number of its piece.
    """

    def __init__(self, n: int) -> None:
        self.n = n
        cube = geometry(n)
        cells: dict[tuple[int, int, int], list[int]] = {}
        for sticker, cell in enumerate(cube.cells):
            cells.setdefault(cell, []).append(sticker)
        self.all = tuple(self._piece(i, stickers) for i, stickers in enumerate(cells.values()))
        of = [0] * cube.count
        for piece in self.all:
            for sticker in piece.stickers:
                of[sticker] = piece.number
        self.of = tuple(of)

    def _piece(self, number: int, stickers: list[int]) -> Piece:
        cube, n = geometry(self.n), self.n
        stickers.sort(key=lambda s: ORDER.index(cube.faces[s]))
        faces = [cube.faces[s] for s in stickers]
        if len(stickers) == 3:
            if (faces[0], faces[1], faces[2]) not in CLOCKWISE_CORNERS:
                stickers[1:] = stickers[:0:-1]
            return Piece(number, Orbit("corner"), tuple(stickers))
        if len(stickers) == 2:
            near = next(f for f in self.near(stickers[0]) if f not in faces)
            layer = cube.layer_of(stickers[0], near)
            if 2 * layer == n + 1:
                return Piece(number, Orbit("middle"), tuple(stickers))
            if (faces[0], faces[1], near) not in CLOCKWISE_CORNERS:
                stickers.reverse()
            return Piece(number, Orbit("wing", layer), tuple(stickers))
        a, b = (f for f in self.near(stickers[0]) if f != faces[0])
        i, j = cube.layer_of(stickers[0], a), cube.layer_of(stickers[0], b)
        turned = (faces[0], a, b) in CLOCKWISE_CORNERS
        if i > j:
            i, j, turned = j, i, not turned
        mirror = int(turned) if i != j and 2 * j != n + 1 else 0
        return Piece(number, Orbit("centre", i, j, mirror), tuple(stickers))

    def near(self, sticker: int) -> tuple[str, ...]:
        """The near face on each axis, its own among them, in the order of `ORDER`.

        In a middle layer both are as near; the one named first by U, F, R stands.
        """
        layer_of = geometry(self.n).layer_of
        return tuple(
            face if 2 * layer_of(sticker, face) <= self.n + 1 else far
            for face, far in ("UD", "FB", "RL")
        )

    @cached_property
    def orbits(self) -> dict[Orbit, tuple[Piece, ...]]:
        """The pieces of each orbit."""
        orbits: dict[Orbit, list[Piece]] = {}
        for piece in self.all:
            orbits.setdefault(piece.orbit, []).append(piece)
        return {orbit: tuple(members) for orbit, members in orbits.items()}

    @cached_property
    def wing_layers(self) -> tuple[int, ...]:
        """The layers that wings lie in, one an orbit: 2 to n/2."""
        return tuple(range(2, self.n // 2 + 1))

    @cached_property
    def edges(self) -> dict[frozenset[str], tuple[Piece, ...]]:
        """The pieces of each whole edge, by its two faces, from one end to the other."""
        cube = geometry(self.n)
        edges: dict[frozenset[str], list[Piece]] = {}
        for piece in self.all:
            if len(piece.stickers) == 2:
                faces = frozenset(cube.faces[s] for s in piece.stickers)
                edges.setdefault(faces, []).append(piece)
        return {faces: tuple(members) for faces, members in edges.items()}

    def at(self, sticker: int) -> Piece:
        """The piece that has a sticker."""
        return self.all[self.of[sticker]]

    def of_kind(self, *kinds: Kind, layer: int = 0) -> tuple[Piece, ...]:
        """All pieces of some kinds; of wings, those of one layer's orbit, where one is given."""
        orbits = (o for o in self.orbits if o.kind in kinds and layer in (0, o.layer))
        members = chain.from_iterable(map(self.orbits.__getitem__, orbits))
        return tuple(sorted(members, key=attrgetter("number")))

    def side(self, piece: Piece, face: str) -> int:
        """The sticker that a piece has on a face."""
        faces = geometry(self.n).faces
        return next(s for s in piece.stickers if faces[s] == face)


@cache
def pieces(n: int) -> Pieces:
    """The pieces of the n-cube."""
    return Pieces(n)


def stickers_of(members: Iterable[Piece]) -> frozenset[int]:
    """All stickers of some pieces."""
    return frozenset(s for piece in members for s in piece.stickers)


def adjacent(faces: str) -> bool:
    """Whether faces lie on different axes, so that their layers meet in a piece."""
    return len({AXIS[face] for face in faces}) == len(faces)

"""What a position shows and a motion does: face colours, complete edges, what changed, order.

Everything about a position is judged from its picture alone: two stickers of one colour are never
told apart.
"""

from __future__ import annotations

from functools import cache
from itertools import chain, compress, count
from math import lcm
from operator import itemgetter
from typing import TYPE_CHECKING, Final

from sitegen.cube.pieces import ORDER, Orbit, Piece, pieces
from sitegen.cube.position import Position
from sitegen.cube.scheme import NO_COLOUR

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from sitegen.cube.position import Motion

    _Picked = Callable[[bytes], Sequence[int]]

Pair = frozenset[int]
"""Two colour numbers: which colours an edge has."""

EDGES: Final = tuple(
    frozenset(pair)
    for pair in ["UF", "UR", "UB", "UL", "FR", "FL", "BR", "BL", "DF", "DR", "DB", "DL"]
)
"""The twelve edges, by their faces."""


def edge_name(faces: Iterable[str]) -> str:
    """An edge as it is written: `UF`."""
    return "".join(sorted(faces, key=ORDER.index))


def fixed_centres(n: int) -> range:
    """The stickers in the middles of the six faces, on odd n."""
    return range(n * n // 2, 6 * n * n, n * n)


def crossings(n: int, lines: Sequence[int]) -> list[list[int]]:
    """For each face, its stickers where one of some lines crosses another: rows, columns alike."""
    return [
        [(face * n + row) * n + column for row in lines for column in lines] for face in range(6)
    ]


def finished_centres(position: Position) -> tuple[int | None, ...]:
    """For each face, the one colour all its centre pieces show; None if they show several."""
    if position.n == 2:
        return (None,) * 6
    found: list[int | None] = []
    for picked in _centres(position.n):
        shown = picked(position.colours)
        found.append(shown[0] if shown.count(shown[0]) == len(shown) else None)
    return tuple(found)


@cache
def _centres(n: int) -> tuple[_Picked, ...]:
    """For each face, a function that picks the colours of its centre pieces from those of all."""
    return tuple(map(_picked, crossings(n, range(1, n - 1))))


def face_colours(position: Position) -> tuple[int, ...]:
    """For each face, the colour that is its own, for claims.

    On odd n that of its fixed centre; on even n that of its finished centre, and where it is not
    finished, and on a 2x2, the scheme's colour as the cube stands in space.
    """
    if position.n % 2:
        return tuple(position.colours[s] for s in fixed_centres(position.n))
    return tuple(
        face if colour is None else colour for face, colour in enumerate(finished_centres(position))
    )


def uncoloured(position: Position, there: Position, stickers: Iterable[int]) -> Position:
    """A position in which some pieces have lost their colours.

    Which pieces these are is told by stickers of another position. Pieces that look alike (of one
    orbit, with the same colours) all lose them, since no picture tells them apart.

    Args:
        position: where the pieces are to lose their colours.
        there: the position that `stickers` belong to.
        stickers: a sticker or more of each of these pieces.
    """
    cube_pieces = pieces(position.n)

    def looks(piece: Piece, shown: bytes) -> tuple[Orbit, Pair]:
        return piece.orbit, frozenset(shown[s] for s in piece.stickers)

    lost = {looks(cube_pieces.at(s), there.colours) for s in stickers}
    colours = bytearray(position.colours)
    for piece in cube_pieces.all:
        if looks(piece, position.colours) in lost:
            for sticker in piece.stickers:
                colours[sticker] = NO_COLOUR
    return Position.showing(position.n, bytes(colours))


def off_colour(position: Position, stickers: Iterable[int]) -> list[int]:
    """The stickers among some that do not show their face's colour."""
    own, size, colours = face_colours(position), position.n**2, position.colours
    return [s for s in sorted(stickers) if colours[s] != own[s // size]]


def edge_members(n: int, faces: frozenset[str], layer: int = 0) -> tuple[Piece, ...]:
    """The pieces of an edge; for one orbit of wings, its two wings and the middle piece, if any."""
    members = pieces(n).edges[faces]
    if not layer:
        return members
    return tuple(p for p in members if p.kind == "middle" or p.orbit.layer == layer)


def complete_edges(position: Position, layer: int = 0) -> dict[frozenset[str], Pair]:
    """The edges that are complete, in one orbit of wings or (0) in all, and their colours."""
    found, colours = {}, position.colours
    for faces, one_side, other_side in _sides(position.n, layer):
        ones = one_side(colours)
        # most edges of a scrambled cube are told by their first side, the rest by their second
        if ones.count(ones[0]) == len(ones):
            others = other_side(colours)
            if others.count(others[0]) == len(others) and ones[0] != others[0]:
                found[faces] = frozenset((ones[0], others[0]))
    return found


@cache
def _sides(n: int, layer: int) -> tuple[tuple[frozenset[str], _Picked, _Picked], ...]:
    """Each edge, with functions that pick its members' colours on one side and on the other."""
    cube_pieces = pieces(n)
    sides = []
    for faces in EDGES:
        members = edge_members(n, faces, layer)
        one, other = ([cube_pieces.side(p, face) for p in members] for face in sorted(faces))
        sides.append((faces, _picked(one), _picked(other)))
    return tuple(sides)


def _picked(stickers: Sequence[int]) -> _Picked:
    """A function that picks the colours of some stickers from those of all."""
    # one alone is a slice, or it would be picked as a number and not in a tuple
    return (
        itemgetter(*stickers)
        if len(stickers) > 1
        else itemgetter(slice(stickers[0], stickers[0] + 1))
    )


def order_of(motion: Motion) -> int:
    """How often a motion, done from solved, must be repeated to show the solved picture again.

    By picture, as the cube stands: `x` has order 4. Round each cycle of stickers the colours must
    repeat; the order is the least common multiple of those repeats.
    """
    colours = Position.solved(motion.n).colours
    return lcm(*(_repeat([colours[s] for s in cycle]) for cycle in motion.cycles()))


def _repeat(ring: list[int]) -> int:
    """By how many places, at least, a ring has to be turned to look the same again."""
    size = len(ring)
    return next(d for d in range(1, size + 1) if size % d == 0 and ring == ring[d:] + ring[:d])


def reduced(position: Position) -> Position | None:
    """The 3x3 that a cube is once its centres are finished and its edges paired; None before."""
    n = position.n
    centres = finished_centres(position)
    if n == 2 or None in centres or len(complete_edges(position)) < 12:
        return None
    kept = chain.from_iterable(crossings(n, (0, 1, n - 1)))
    return Position.showing(3, bytes(map(position.colours.__getitem__, kept)))


def changed(before: Position, after: Position) -> frozenset[int]:
    """The stickers that show another colour in one position than in another."""
    return frozenset(compress(count(), differing(before, after)))


def differing(before: Position, after: Position) -> bytes:
    """For each sticker 1 if it shows another colour in one position than in another, else 0."""
    size = len(before.colours)
    one, other = (int.from_bytes(position.colours, "big") for position in (before, after))
    return (one ^ other).to_bytes(size, "big").translate(_NOT_ZERO)


_NOT_ZERO: Final = bytes([0] + [1] * 255)

"""Every law of the cube that a picture breaks, and which reasons there are on each n.

Why these reasons and no others. Turns carry pieces about within their orbits (see `pieces`), so
what is to be asked is which arrangements of the orbits turns reach.

- `colours`, `piece`: turns neither make nor lose a piece, so each colour stands on n*n stickers
  and every orbit shows each of its pieces once. The four centres of one colour in an orbit look
  alike, so there only the number counts: four each. Fixed centres are carried by rotations and
  middle layers alone, so they stand as in one of the 24 ways to hold the cube.
- `twist`: a turn adds twists of (1, 2, 1, 2) or none to four corners; the sum stays a multiple of
  three, for every n and however the cube is held.
- `flip`: a turn flips none or four of the middle pieces of edges; the number of flips stays even.
  Even n has no such pieces. A wing has no flip of its own: put in its place the other way round it
  shows what its partner would show, so such a net has one wing twice and one not at all (`piece`).
- `swap`: a quarter turn of a face is odd on corners and on middles; a quarter turn of the middle
  layer, or a rotation, is odd on middles and on the fixed centres; all else is even on the three.
  So on odd n corners, middles and fixed centres are odd together: their sum is even. Each orbit of
  wings has an inner layer that is odd on it and even on those three, so wings may stand in any
  permutation. On even n a face turn is odd on the corners and on centre orbits, where two pieces
  of one colour can trade places unseen: nothing visible is tied to the corners, and there is no
  `swap`. On a 2x2 there is nothing but corners.

Source: the first law of cubology (n = 3: Bandelow 1982; for n: Bonzio, Loi, Peruzzi,
doi 10.1515/ms-2017-0158). It agrees with the numbers of positions, OEIS A075152: for even n
7! 3^6 24!^m (24!/4!^6)^c, for odd n 8! 3^7 12! 2^10 24!^m (24!/4!^6)^c, where each factor counts
exactly what is free above.
"""

from __future__ import annotations

from collections import Counter
from itertools import chain
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from sitegen.cube.address import write_sticker
from sitegen.cube.hold import sides_each_way, turned_home
from sitegen.cube.measure import face_colours, finished_centres, reduced
from sitegen.cube.parity import home_order, is_odd
from sitegen.cube.pieces import Kind, Piece, pieces
from sitegen.cube.position import Position
from sitegen.cube.scheme import DEFAULT, FACES

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from sitegen.cube.scheme import Scheme

REASONS: Final = ("colours", "piece", "twist", "flip", "swap")
"""In the order in which they are looked for; what each means is said by the theme's texts."""


class Broken(Struct, frozen=True):
    """A law that a picture breaks.

    Attributes:
        reason: one of `REASONS`.
        message: what is wrong, with the pieces.
    """

    reason: str
    message: str


def broken_law(position: Position, scheme: Scheme) -> Broken | None:
    """The first law that a picture breaks; None if turns lead to it from solved.

    A law is looked at only where those before it hold: twists of pieces that are missing mean
    nothing.
    """
    laws = _colours(position, scheme), _pieces(position, scheme), _arrangement(position)
    return next(chain(*laws), None)


def is_possible(position: Position) -> bool:
    """Whether turns lead to a picture from solved."""
    return broken_law(position, DEFAULT) is None


def _colours(position: Position, scheme: Scheme) -> Iterator[Broken]:
    wanted = position.n**2
    if odd := _miscounted(position.colours, wanted, scheme):
        yield Broken("colours", f"each colour has {wanted} stickers; here are {odd}")


def _miscounted(colours: Iterable[int], wanted: int, scheme: Scheme) -> str:
    """The colours of which there are more than are wanted, or less, and how many there are."""
    counts = Counter(colours)
    return ", ".join(f"{scheme.names[c]} {counts[c]}" for c in range(6) if counts[c] != wanted)


def _pieces(position: Position, scheme: Scheme) -> Iterator[Broken]:
    n = position.n
    if n % 2 and face_colours(position) not in sides_each_way():
        yield Broken("piece", "the fixed centres stand as on no cube of these colours")
    for orbit, members in pieces(n).orbits.items():
        if orbit.kind == "centre":
            if len(members) == 24:
                yield from _centres(position, scheme, members)
        else:
            yield from _unknown(position, scheme, members)


def _centres(position: Position, scheme: Scheme, members: tuple[Piece, ...]) -> Iterator[Broken]:
    places = [piece.stickers[0] for piece in members]
    if wrong := _miscounted((position.colours[s] for s in places), 4, scheme):
        like = f"the 24 centre pieces that can come to `{write_sticker(places[0], position.n)}`"
        yield Broken("piece", f"{like} have four of each colour; here are {wrong}")


def _key(position: Position, piece: Piece) -> tuple[int, ...]:
    """The colours of a piece in an order that does not depend on how it is turned in its place."""
    shown = tuple(position.colours[s] for s in piece.stickers)
    if piece.kind == "wing":
        return shown
    least = shown.index(min(shown))
    return shown[least:] + shown[:least]


def _name(kind: Kind, n: int) -> str:
    """What a piece is called: a 3x3 has no other edges than their middles."""
    return {"middle": "edge" if n == 3 else "middle piece"}.get(kind, kind)


def _unknown(position: Position, scheme: Scheme, members: tuple[Piece, ...]) -> Iterator[Broken]:
    solved = Position.solved(position.n)
    known = {_key(solved, piece) for piece in members}
    places: dict[tuple[int, ...], list[Piece]] = {}
    for piece in members:
        places.setdefault(_key(position, piece), []).append(piece)
    for key, there in places.items():
        where = " and ".join(f"`{write_sticker(p.stickers[0], position.n)}`" for p in there)
        colours = "-".join(scheme.names[c] for c in key)
        kind = there[0].kind
        what = _name(kind, position.n)
        if key not in known:
            is_mirrored = kind == "corner" and (key[0], *key[:0:-1]) in known
            why = " clockwise (that is the mirror image of one)" if is_mirrored else ""
            yield Broken("piece", f"no {what} is {colours}{why}: {where}")
        elif len(there) > 1:
            message = f"the cube has one {what} {colours}; here are {len(there)}: {where}"
            yield Broken("piece", message)


def _arrangement(position: Position) -> Iterator[Broken]:
    n = position.n
    twist = sum(_twist(position, piece) for piece in pieces(n).of_kind("corner")) % 3
    if twist:
        side = "clockwise" if twist == 1 else "anticlockwise"
        yield Broken("twist", f"the corners' twists leave one corner turned {side} in its place")
    if n % 2 == 0:
        return
    home = turned_home(position)
    flips = sum(_flipped(home, piece) for piece in pieces(n).of_kind("middle"))
    if flips % 2:
        what = _name("middle", n)
        yield Broken("flip", f"the edges' flips leave one {what} turned round in its place")
    corners, middles = home_order(home, "corner"), home_order(home, "middle")
    if corners and middles and is_odd(corners) != is_odd(middles):
        what = f"{_name('middle', n)}s"
        yield Broken(
            "swap",
            f"corners and {what} must both be an odd or both an even number of exchanges from "
            f"solved; here the corners are {_odd(corners)} and the {what} {_odd(middles)}",
        )


def _odd(order: list[int]) -> str:
    return "odd" if is_odd(order) else "even"


def _twist(position: Position, piece: Piece) -> int:
    """How far, in thirds of a turn clockwise, a corner's U or D colour is from its U or D side."""
    shown = [position.colours[s] for s in piece.stickers]
    return next(i for i, colour in enumerate(shown) if colour in (0, 5))


def _flipped(position: Position, piece: Piece) -> bool:
    """Whether a middle piece's first colour, in the order U D F B R L, is on its second side."""
    shown = [position.colours[s] for s in piece.stickers]
    rank = (0, 5, 2, 4, 3, 1).index  # the colours of U D F B R L
    return rank(shown[0]) > rank(shown[1])


def can_finish(position: Position) -> bool | None:
    """Whether outer turns alone can solve a cube whose centres are finished and edges paired.

    None where that stage is not reached. Outer turns move it as they move a 3x3, so the laws of the
    3x3 decide; finished centres that stand as on no cube cannot be mended by them.
    """
    small = reduced(position)
    return None if small is None else is_possible(small)


def stage_hint(position: Position) -> str:
    """What is missing before the 3x3 stage: unfinished centres, or edges."""
    centres = finished_centres(position)
    if None in centres:
        faces = [face for face, colour in zip(FACES, centres, strict=True) if colour is None]
        return f"the centres of {' '.join(faces)} are not finished"
    return "not all edges are paired"

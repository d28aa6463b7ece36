"""Whether the pieces of an orbit, or the twelve edges as wholes, stand in an odd permutation."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Literal

from sitegen.cube.classes import read_wings
from sitegen.cube.hold import turned_home
from sitegen.cube.measure import EDGES, complete_edges
from sitegen.cube.pieces import Kind, pieces
from sitegen.cube.position import Position
from sitegen.cube.scheme import FACES
from sitegen.cube.size import a_cube
from sitegen.problem import Wrong

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

Permuted = Kind | Literal["edge"]
"""What has a parity: the pieces of an orbit, or the twelve edges as wholes."""


def permuted(n: int) -> dict[str, tuple[Permuted, int]]:
    """What has a parity on an n-cube, by its name in claims: its kind, and of wings their layer."""
    found: dict[str, tuple[Permuted, int]] = {"corners": ("corner", 0)}
    if n % 2:
        found["middles"] = ("middle", 0)
    found |= {f"wings {layer}": ("wing", layer) for layer in pieces(n).wing_layers}
    return found | ({"edges": ("edge", 0)} if n > 2 else {})


def read_permuted(name: str, n: int, rule: str) -> tuple[Permuted, int] | None:
    """One of `permuted` by its name, `wings` alone where there is one orbit; None for any other.

    Raises:
        Wrong: of that rule, where only other cubes have it.
    """
    if found := re.fullmatch(r"wings(?: ([0-9]+))?", name):
        return "wing", read_wings(found[1] or "", n, rule, (0, 0))
    known = permuted(n).get(name)
    if not known and name in permuted(3):
        raise Wrong(rule, f"{a_cube(n)} has no {name}", 0, 0)
    return known


@cache
def _stickers(n: int, kind: Kind, layer: int) -> tuple[tuple[int, ...], int]:
    """The stickers of an orbit, piece after piece, and how many a piece has."""
    members = pieces(n).of_kind(kind, layer=layer)
    return tuple(s for piece in members for s in piece.stickers), 3 if kind == "corner" else 2


def _shown(position: Position, kind: Kind, layer: int) -> Iterable[tuple[int, ...]]:
    """The colours of each piece of an orbit of corners, middles or wings.

    The colours of a corner or a middle piece count in any order, those of a wing in order: its
    first sticker can only come to first stickers (see `Piece`), which tells the two wings apart.
    """
    stickers, size = _stickers(position.n, kind, layer)
    colours = map(position.colours.__getitem__, stickers)
    shown = zip(*[colours] * size, strict=True)
    return shown if kind == "wing" else (tuple(sorted(piece)) for piece in shown)


@cache
def _homes(n: int, kind: Kind, layer: int) -> dict[tuple[int, ...], int]:
    """The index of each piece of an orbit, by the colours that it shows at home."""
    return {shown: i for i, shown in enumerate(_shown(Position.solved(n), kind, layer))}


def home_order(position: Position, kind: Kind, layer: int = 0) -> list[int] | None:
    """For each place of an orbit, the index of the piece there; None where one is missing."""
    homes = _homes(position.n, kind, layer)
    order = [homes.get(shown, -1) for shown in _shown(position, kind, layer)]
    return order if sorted(order) == list(range(len(order))) else None


def is_odd(order: Sequence[int]) -> bool:
    """Whether a permutation, as a list of images, is odd."""
    seen, odd = set[int](), False
    for start in range(len(order)):
        at, length = start, 0
        while at not in seen:
            seen.add(at)
            at = order[at]
            length += 1
        odd ^= length > 0 and length % 2 == 0
    return odd


def parity(position: Position, kind: Permuted, layer: int = 0) -> bool | None:
    """Whether an orbit's pieces stand in an odd permutation; None if a piece is missing.

    Of whole edges (`edge`) None as well where not all are paired. These and middles are counted
    with the centres turned home: a rotation is odd on them place by place, and means nothing. On
    corners and wings a rotation is even (on even n also with no fixed centres to say how the cube
    is held).
    """
    if kind in ("middle", "edge"):
        position = turned_home(position)
    order = _edge_order(position) if kind == "edge" else home_order(position, kind, layer)
    return None if order is None else is_odd(order)


def _edge_order(position: Position) -> list[int] | None:
    """The `home_order` of the twelve edges as wholes; None too where one is not complete."""
    found = complete_edges(position)
    homes = {frozenset(FACES.index(face) for face in faces): i for i, faces in enumerate(EDGES)}
    order = [homes.get(found[faces], -1) for faces in EDGES if faces in found]
    return order if sorted(order) == list(range(len(EDGES))) else None

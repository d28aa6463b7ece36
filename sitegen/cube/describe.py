"""What a motion does to the pieces, as values: cycles, pieces turned in place, what is kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from sitegen.cube.address import layer_name, write_sticker
from sitegen.cube.classes import KINDS
from sitegen.cube.geometry import AXIS, geometry
from sitegen.cube.measure import (
    EDGES,
    changed,
    complete_edges,
    edge_members,
    edge_name,
    order_of,
)
from sitegen.cube.parity import parity, permuted
from sitegen.cube.pieces import CLOCKWISE_CORNERS, ORDER, Piece, pieces, stickers_of
from sitegen.cube.position import Motion, Position
from sitegen.cube.scheme import FACES

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

Turned = Literal["", "twisted", "flipped"]
Traveller = Literal["corner", "edge", "wing", "middle", "centre"]


class Cycle(NamedTuple):
    """Pieces, or whole edges, that go round; or one that is turned in its place.

    Attributes:
        kind: what goes round. `edge` is a whole edge, all its pieces together; on a 3x3, where an
            edge is one piece, always that.
        layer: of wings the layer of their orbit, else 0.
        length: how many pieces, or whole edges, go round: 1 for one turned in its place.
        turned: whether each comes home after `length` steps twisted or flipped.
        places: the cycle as a `cycles` claim takes it, each sticker (each side of a whole edge)
            carried to the next, the last to the first: `length` of them, twice or three times that
            where `turned`.
    """

    kind: Traveller
    layer: int
    length: int
    turned: Turned
    places: tuple[str, ...]

    @property
    def clockwise(self) -> bool:
        """Of a corner twisted in its place: whether clockwise, seen from outside."""
        faces = tuple(place[0] for place in self.places)
        return faces in CLOCKWISE_CORNERS


class Moved(NamedTuple):
    """How much of an orbit moves.

    Attributes:
        name: as a claim names it: `corners`, `middles`, `wings 2`; all `centres` count as one.
        size: how many pieces it has.
        lengths: how many pieces go round together, a number for each such round, rising; 1 for a
            piece turned in its place.
    """

    name: str
    size: int
    lengths: tuple[int, ...]


class Description(NamedTuple):
    """What a motion does.

    Attributes:
        n: layers each way.
        cycles: of corners, whole edges, and pieces of edges that do not travel whole.
        centres: of centre pieces, equal colours told apart.
        orbits: how much of each orbit moves.
        parity: by orbit, `corners`, `middles`, `wings 2`, whether it is left odd from solved; as
            the claim counts it, middles with the fixed centres turned home. Also `edges`, the
            twelve as wholes, where all are paired.
        order: how often it must be done, from solved, to show the solved picture again.
        faces: the sides that show, from solved, what they showed before.
        layers: the layers of which all stickers do, as a claim names them: `U`, `2U`, `E`.
        classes: the classes of which all pieces do.
        paired: how many of the twelve edges are complete, done from solved; 0 on a 2x2.
        changed: how many stickers show, from solved, another colour than before.
        centres_changed: how many of these are centre pieces; the others that move are not seen to.
    """

    n: int
    cycles: tuple[Cycle, ...]
    centres: tuple[Cycle, ...]
    orbits: tuple[Moved, ...]
    parity: Mapping[str, bool]
    order: int
    faces: tuple[str, ...]
    layers: tuple[str, ...]
    classes: tuple[str, ...]
    paired: int
    changed: int
    centres_changed: int


_WHOLE: Final = sorted(map(edge_name, EDGES), key=lambda edge: [ORDER.index(face) for face in edge])
"""The twelve edges, each and all in the order of `ORDER`."""


def describe_motion(motion: Motion, held: Motion) -> Description:
    """Work out what a motion does.

    Args:
        motion: what is done, as the cube stands in space.
        held: the rotations in it, one after another. They are undone before anything but the
            parity and the order is looked at, as the claims that speak of a change do it.
    """
    n = motion.n
    back = motion.then(held.inverse())
    cycles, centres = cycles_of(back)
    solved = Position.solved(n)
    now = solved.after(back)
    differing = changed(solved, now)
    touched = {FACES[s // (n * n)] for s in differing}
    return Description(
        n,
        cycles=cycles,
        centres=centres,
        orbits=tuple(_orbits(back)),
        parity=_parities(solved.after(motion)),
        order=order_of(motion),
        faces=tuple(face for face in FACES if face not in touched),
        layers=tuple(_layers_without(n, differing)),
        classes=tuple(
            name for name, members in _classes(n) if not stickers_of(members) & differing
        ),
        paired=len(complete_edges(now)) if n > 2 else 0,
        changed=len(differing),
        centres_changed=len(stickers_of(pieces(n).of_kind("centre")) & differing),
    )


def cycles_of(motion: Motion) -> tuple[tuple[Cycle, ...], tuple[Cycle, ...]]:
    """What goes round: corners, whole edges, pieces of edges; apart from them, centre pieces."""
    walks = list(_whole_walks(motion))
    whole = {name for walk in walks for edge in walk for name in (edge, edge[::-1])}
    every = tuple(_piece_cycles(motion, whole))
    return (
        *(cycle for cycle in every if cycle.kind == "corner"),
        *_whole_cycles(walks),
        *(cycle for cycle in every if cycle.kind in ("middle", "wing")),
    ), tuple(cycle for cycle in every if cycle.kind == "centre")


def _layers_without(n: int, stickers: Iterable[int]) -> Iterator[str]:
    """The layers in which none of some stickers lies, axis by axis from U, F and R inwards."""
    cells = geometry(n).cells
    touched = {(axis, at) for s in stickers for axis, at in enumerate(cells[s])}
    for face in "UFR":
        for layer in range(1, n + 1):
            if (AXIS[face], n - layer) not in touched:
                yield layer_name(layer, face, n)


def _classes(n: int) -> Iterator[tuple[str, tuple[Piece, ...]]]:
    """The classes of an n-cube and their pieces; on a 3x3, where they are the same, no middles."""
    cube_pieces = pieces(n)
    for name, kinds in KINDS.items():
        if name == "wings":
            for layer in cube_pieces.wing_layers:
                yield f"wings {layer}", cube_pieces.of_kind("wing", layer=layer)
        elif (members := cube_pieces.of_kind(*kinds)) and (name, n) != ("middles", 3):
            yield name, members


def _orbits(motion: Motion) -> Iterator[Moved]:
    for name, members in _classes(motion.n):
        if name != "edges" or motion.n == 3:
            lengths = [len(ring) for ring in _rings(motion, members)]
            yield Moved(name, len(members), tuple(sorted(lengths)))


def _parities(position: Position) -> dict[str, bool]:
    found = {name: parity(position, *one) for name, one in permuted(position.n).items()}
    if position.n == 3:
        del found["middles"]  # the same as its edges
    return {name: odd for name, odd in found.items() if odd is not None}


def _rings(motion: Motion, members: tuple[Piece, ...]) -> Iterator[list[Piece]]:
    """The pieces that go round together; a piece alone where it is turned in its place."""
    cube_pieces, goals, seen = pieces(motion.n), motion.goals, set[int]()
    for piece in members:
        if piece.number in seen or all(goals[s] == s for s in piece.stickers):
            continue
        ring = [piece]
        while (after := cube_pieces.of[goals[ring[-1].stickers[0]]]) != piece.number:
            ring.append(cube_pieces.all[after])
        seen.update(one.number for one in ring)
        yield ring


def _piece_cycles(motion: Motion, skipped: set[str]) -> Iterator[Cycle]:
    """The cycles of single pieces, those of the edges skipped left out: they travel whole."""
    n, faces = motion.n, geometry(motion.n).faces
    for ring in _rings(motion, pieces(n).all):
        piece = ring[0]
        if "".join(faces[s] for s in piece.stickers) in skipped:
            continue
        start = min(piece.stickers, key=lambda s: ORDER.index(faces[s]))
        walk = [start]
        while (goal := motion.goals[walk[-1]]) != start:
            walk.append(goal)
        turned: Turned = ""
        if len(walk) > len(ring):
            turned = "twisted" if piece.kind == "corner" else "flipped"
        layer = piece.orbit.layer if piece.kind == "wing" else 0
        places = tuple(write_sticker(s, n) for s in walk)
        yield Cycle(piece.kind, layer, len(ring), turned, places)


def _whole_goal(motion: Motion, edge: str) -> str:
    """Where a whole edge goes, side by side: `UF` to `RU`; "" if its pieces part."""
    faces, goals, cube_pieces = geometry(motion.n).faces, motion.goals, pieces(motion.n)
    reached = {
        "".join(faces[goals[cube_pieces.side(piece, face)]] for face in edge)
        for piece in edge_members(motion.n, frozenset(edge))
    }
    return reached.pop() if len(reached) == 1 else ""


def _whole_walks(motion: Motion) -> Iterator[list[str]]:
    """The walks of whole edges that stay whole all the way round, those that stay put too."""
    if motion.n == 2:
        return
    goal = {}
    for edge in _WHOLE:
        there = _whole_goal(motion, edge)
        goal[edge], goal[edge[::-1]] = there, there[::-1]
    seen = set[str]()
    for edge in _WHOLE:
        if edge in seen:
            continue
        walk = [edge]
        while (after := goal[walk[-1]]) not in ("", edge):
            walk.append(after)
        if goal[walk[-1]]:
            seen.update(walk, (one[::-1] for one in walk))
            yield walk


def _whole_cycles(walks: list[list[str]]) -> Iterator[Cycle]:
    for walk in walks:
        if len(walk) > 1:
            length = len({frozenset(edge) for edge in walk})
            yield Cycle("edge", 0, length, "flipped" if length < len(walk) else "", tuple(walk))

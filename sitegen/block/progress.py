"""How far a big cube has come at a block: edges paired, centres finished. Nobody types it."""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct

from sitegen.cube.measure import EDGES, complete_edges, finished_centres
from sitegen.cube.pieces import pieces
from sitegen.cube.scheme import FACES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sitegen.block.replay import Replay
    from sitegen.cube.position import Position

SMALLEST: Final = 4
"""Layers of the smallest cube whose edges are paired and whose centres are finished at all."""


class Count(NamedTuple):
    """How many there are before the moves, and after them."""

    before: int
    after: int


class Progress(Struct, frozen=True):
    """What a block does to edges and centres; None or empty where there is nothing to say.

    Attributes:
        edges: complete edges, of twelve.
        new: the two colours of each edge that is complete and was not before the moves.
        orbits: the edges complete in an orbit of wings, or in several in a row that agree, with the
            first and the last layer of these; only where orbits differ.
        centres: sides whose centre shows one colour, of six.
    """

    edges: Count | None
    new: tuple[tuple[int, int], ...]
    orbits: tuple[tuple[int, int, Count], ...]
    centres: Count | None


def progress(replay: Replay) -> Progress | None:
    """How far the cube comes at a block; None where the block is about something else.

    A count is said where the moves change it, and where the work is under way: neither none are
    done nor all.
    """
    n, before, after = replay.block.n, replay.before, replay.after
    if n < SMALLEST or replay.block.impossible:
        return None
    paired, were = complete_edges(after), complete_edges(before)
    edges = _worth_saying(Count(len(were), len(paired)), len(EDGES))
    orbits = tuple(_orbits(before, after))
    differ = len(orbits) > 1
    centres = _worth_saying(Count(_finished(before), _finished(after)), len(FACES))
    if not edges and not centres and not differ:
        return None
    known = {*were.values()}
    new = [pair for pair in paired.values() if pair not in known] if edges else []
    pairs = sorted((min(pair), max(pair)) for pair in new)
    return Progress(edges, tuple(pairs), orbits if differ else (), centres)


def _worth_saying(count: Count, all_of_them: int) -> Count | None:
    said = count.before != count.after or 0 < count.after < all_of_them
    return count if said else None


def _orbits(before: Position, after: Position) -> Iterator[tuple[int, int, Count]]:
    """The edges complete in each orbit of wings; those side by side that agree are one."""
    layers = pieces(before.n).wing_layers
    counts = [
        Count(len(complete_edges(before, layer)), len(complete_edges(after, layer)))
        for layer in layers
    ]
    for count, run in groupby(zip(layers, counts, strict=True), key=itemgetter(1)):
        together = [layer for layer, _ in run]
        yield together[0], together[-1], count


def _finished(position: Position) -> int:
    return sum(colour is not None for colour in finished_centres(position))

"""A moment of a block: a position in it, and how the block came to it."""

from __future__ import annotations

from functools import cache, cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from sitegen.cube.geometry import AXIS, geometry
from sitegen.cube.position import Motion
from sitegen.cube.scheme import FACES
from sitegen.notation.count import METRICS, count_turns

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sitegen.cube.position import Position
    from sitegen.cube.scheme import Scheme
    from sitegen.cube.turn import Turn
    from sitegen.notation.spell import Step


class Moment(Struct, frozen=True, dict=True):
    """A position in a block, and how the block came to it.

    Attributes:
        before: the position before the moves.
        now: the position the claim speaks of.
        motion: from `before` to `now`.
        steps: the turns from `before` to `now`.
        text: the text that the steps' offsets count in.
        scheme: names for what is found.
    """

    before: Position
    now: Position
    motion: Motion
    steps: tuple[Step, ...]
    text: str
    scheme: Scheme

    @property
    def n(self) -> int:
        """Layers each way."""
        return self.now.n

    @cached_property
    def lengths(self) -> Mapping[str, int]:
        """How long the turns are, in each of `METRICS`: hundreds of claims may ask."""
        turns = [step.turn for step in self.steps]
        return {metric: count_turns(turns, self.n, metric) for metric in METRICS}

    @property
    def rotations(self) -> tuple[Step, ...]:
        """The rotations among the turns."""
        return tuple(step for step in self.steps if step.turn.is_rotation(self.n))

    @cached_property
    def turned_back(self) -> Position:
        """The position now, with the rotations among the turns undone."""
        turns = [step.turn for step in self.rotations]
        return self.now.after(Motion.of(self.n, turns).inverse()) if turns else self.now

    @cached_property
    def first_turned(self) -> Mapping[tuple[int, int], int]:
        """For each layer before the moves, by its axis and its cells there, its first step.

        Rotations carry all pieces together, so what first moves a piece is the first turn of one of
        its three layers.
        """
        n, first = self.n, dict[tuple[int, int], int]()
        coordinate = geometry(n).coordinate
        was = dict(zip(FACES, FACES, strict=True))  # for each side, which it was before the moves
        for number, (turn, _, _) in enumerate(self.steps):
            if turn.is_rotation(n):
                was = {side: was[brought] for side, brought in _brought(turn._replace(last=3))}
                continue
            side = was[turn.face]
            for layer in range(turn.first, turn.last + 1):
                first.setdefault((AXIS[side], coordinate(layer, side)), number)
        return first


@cache
def _brought(rotation: Turn) -> tuple[tuple[str, str], ...]:
    """For each side, which side a rotation of the 3x3 brings there."""
    sources = Motion.of(3, (rotation,)).sources
    return tuple((side, FACES[sources[9 * i + 4] // 9]) for i, side in enumerate(FACES))

"""A block and the positions it leans on, replayed: before, after, and every moment between."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from sitegen.block.model import Drawn, Solved, Spelt
from sitegen.block.moment import Moment
from sitegen.cube.position import Motion, Position

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sitegen.block.model import Block, Given
    from sitegen.notation.spell import Step


class Replay(Struct, frozen=True, dict=True):
    """A block carried out.

    Attributes:
        block: what was asked.
        before: the position before the moves.
        after: the position after them.
        motion: what the moves do.
        goal: the position that `to` names, or None where it is not asked or not known.
    """

    block: Block
    before: Position
    after: Position
    motion: Motion
    goal: Position | None

    @cached_property
    def end(self) -> Moment:
        """The moment after all moves."""
        return self._moment(self.block.steps, self.motion, self.after)

    def positions(self) -> Iterator[Position]:
        """The position before the moves, and the one after each of their phrases."""
        return (self.before.after(motion) for _, motion in self._phrases)

    def moment(self, line: int | None) -> Moment:
        """The moment after so many phrases of the moves; None for the end."""
        moves = self.block.moves
        if line is None or moves is None or line == len(moves.phrases):
            return self.end
        count, motion = self._phrases[line]
        return self._moment(self.block.steps[:count], motion, self.before.after(motion))

    @cached_property
    def _phrases(self) -> list[tuple[int, Motion]]:
        """How many turns come before each phrase, and what they do: claims may ask for each."""
        count, motion = 0, Motion.of(self.block.n, ())
        reached = [(count, motion)]
        for phrase in self.block.moves.by_phrase if self.block.moves else ():
            count += len(phrase)
            motion = motion.then(Motion.of(self.block.n, (step.turn for step in phrase)))
            reached.append((count, motion))
        return reached

    def _moment(self, steps: tuple[Step, ...], motion: Motion, now: Position) -> Moment:
        text = self.block.moves.source.text if self.block.moves else ""
        return Moment(self.before, now, motion, steps, text, self.block.scheme)


def _resolve(given: Given, n: int, elsewhere: Position | None) -> Position | None:
    """The position that a `from` or a `to` names.

    Args:
        given: the value.
        n: layers each way.
        elsewhere: the position of the block it refers to, if it refers to one that is known.
    """
    origin = given.origin
    if isinstance(origin, Solved):
        return Position.solved(n)
    if isinstance(origin, Drawn):
        return origin.net.position(n)
    if isinstance(origin, Spelt):
        turns = (step.turn for step in origin.steps)
        return Position.solved(n).after(Motion.of(n, turns))
    return elsewhere


def replay(block: Block, start: Position | None, goal: Position | None) -> Replay | None:
    """Carry a block out.

    Args:
        block: a block that `can_be_replayed`.
        start: where another block that its `from` refers to stands, if it refers to one.
        goal: the same for its `to`.

    Returns:
        None where a position it leans on is not known.
    """
    motion = Motion.of(block.n, (step.turn for step in block.steps))
    target = _resolve(block.goal, block.n, goal) if block.goal else None
    if block.starts_from_goal:
        if target is None:
            return None
        return Replay(block, target.after(motion.inverse()), target, motion, target)
    before = _resolve(block.start, block.n, start) if block.start else Position.solved(block.n)
    if before is None:
        return None
    return Replay(block, before, before.after(motion), motion, target)

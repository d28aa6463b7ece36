"""A block and the positions it leans on, replayed: before, after, and every moment between."""

from __future__ import annotations

from functools import cached_property
from itertools import islice
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from sitegen.block.model import Drawn, Solved, Spelt
from sitegen.block.moment import Moment
from sitegen.cube.position import Motion, Position

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sitegen.block.model import Block, Given
    from sitegen.notation.spell import Step

MOST_KEPT: Final = 1 << 24
"""Bytes, about, of all that is kept of how a block's moves go: a motion takes one a sticker."""


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
        return (self.before.after(motion) for _, motion in self._reached(0, *self._nothing_yet))

    def moment(self, line: int | None) -> Moment:
        """The moment after so many phrases of the moves; None for the end."""
        if line is None or line == len(self._phrases):
            return self.end
        every, kept = self._kept
        nearest, further = divmod(line, every)
        reached = self._reached(nearest * every, *kept[nearest])
        count, motion = next(islice(reached, further, None))
        return self._moment(self.block.steps[:count], motion, self.before.after(motion))

    @property
    def _phrases(self) -> tuple[tuple[Step, ...], ...]:
        return self.block.moves.by_phrase if self.block.moves else ()

    @property
    def _nothing_yet(self) -> tuple[int, Motion]:
        return 0, Motion.of(self.block.n, ())

    def _reached(self, line: int, count: int, motion: Motion) -> Iterator[tuple[int, Motion]]:
        """How many turns come before a phrase, and before each one after it, and what they do."""
        yield count, motion
        for phrase in self._phrases[line:]:
            count += len(phrase)
            motion = motion.then(Motion.of(self.block.n, (step.turn for step in phrase)))
            yield count, motion

    @cached_property
    def _kept(self) -> tuple[int, list[tuple[int, Motion]]]:
        """What is reached at every so many phrases, as `_reached` tells it: claims ask again."""
        every = 1 + len(self._phrases) * 6 * self.block.n**2 // MOST_KEPT
        reached = self._reached(0, *self._nothing_yet)
        return every, [*islice(reached, 0, len(self._phrases), every)]  # the end is known

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

"""How a reader comes to where a block begins: all moves through the blocks that it leans on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct

from sitegen.block.model import Drawn, Reference, Spelt
from sitegen.cube.hold import Hold, by_centres, rotations_in
from sitegen.notation.mirror import undone
from sitegen.notation.spell import undo
from sitegen.notation.tree import MoveTree

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sitegen.block.model import Block
    from sitegen.block.replay import Replay
    from sitegen.cube.turn import Turn
    from sitegen.pages.references import BlockKey, References

LONGEST: Final = 200
"""Turns, and blocks, of a way that is followed: nobody does more by hand, and what a page costs
must not grow with the square of its length."""


class Run(NamedTuple):
    """Moves of one block on the way: as written, what they come to, and the page they stand on."""

    moves: MoveTree
    turns: tuple[Turn, ...]
    file: str


class Way(Struct, frozen=True):
    """From where a cube can be set up to where a block begins.

    Attributes:
        runs: what is done, in order.
        from_net: whether it begins at a drawn net; else at the solved cube.
        is_chain: whether it leads through other blocks, or back from the block's own goal, so that
            the block's own `from` does not tell it.
        too_long: whether it is longer than `LONGEST`.
    """

    runs: tuple[Run, ...] = ()
    from_net: bool = False
    is_chain: bool = False
    too_long: bool = False

    @property
    def turns(self) -> tuple[Turn, ...]:
        """All turns on the way."""
        return tuple(turn for run in self.runs for turn in run.turns)


def way_to(key: BlockKey, blocks: Mapping[BlockKey, Block], references: References) -> Way:
    """The way to where a block begins; it was replayed, and so all that it leans on is here."""
    runs: list[Run] = []
    at, ended, length = key, False, 0
    is_chain = blocks[key].starts_from_goal
    while length <= LONGEST:
        block = blocks[at]
        backwards = block.starts_from_goal
        origin = block.basis.origin if block.basis else None
        here = []
        if block.moves and ended is not backwards:
            here.append(run_of(block.moves, block.file, back=backwards))
        if isinstance(origin, Spelt):
            here.append(run_of(origin, block.file))
        runs += [run for run in here if run.turns]
        if not isinstance(origin, Reference):
            return Way(tuple(reversed(runs)), isinstance(origin, Drawn), is_chain)
        at = (references.goal if backwards else references.start)[at]
        ended = not origin.at_start
        is_chain = True
        length += 1 + sum(len(run.turns) for run in here)
    return Way(is_chain=True, too_long=True)


def run_of(spelt: Spelt, file: str, *, back: bool = False) -> Run:
    """Moves of a block on a page, or (`back`) those that undo them."""
    moves, steps = MoveTree(spelt.phrases), list(spelt.steps)
    if back:
        moves, steps = undone(moves), undo(steps)
    return Run(moves, tuple(step.turn for step in steps), file)


def held_before_and_after(done: Replay, way: Way) -> tuple[Hold, Hold] | None:
    """How a block's cube is held before its moves and after them; None where nobody can know."""
    block = done.block
    if block.impossible:
        return None
    before = by_centres(done.before)
    if before is None:
        if way.from_net or way.too_long:
            return None
        before = rotations_in(way.turns, block.n)
    after = by_centres(done.after)
    if after is None:
        after = before.then(rotations_in((step.turn for step in block.steps), block.n))
    return Hold.of(before), Hold.of(after)

"""Which slips a block would not notice: its moves changed by one slip, and held against it.

The slips are those of `slips`, read backwards: what puts `R'` for `R` right is what makes the one
of the other. Of turns that stand where none should, only one written twice is tried; to put any
other turn between any two is no slip that people make often. A slip that leaves every sticker of
the picture as it is, as `R2'` for `R2`, is none.
"""

from __future__ import annotations

from itertools import count, repeat
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from sitegen.block.check import holds
from sitegen.block.products import Products
from sitegen.block.slips import ROTATION_AT_BREAK, TOO_MANY, TWICE, Slip, slips
from sitegen.notation.tree import Group, Written, nodes_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from sitegen.block.model import Spelt
    from sitegen.block.replay import Replay
    from sitegen.notation.setting import MoveSetting
    from sitegen.notation.tree import Node
    from sitegen.problem import Change

MOST_WORK: Final = 12_000_000
"""How much work a block may be, some two seconds: stickers looked at, and turns read.

Slips that a picture shows cost nothing; what is left is judged claim by claim, likeliest first.
"""

A_TURN: Final = 40
"""As many stickers are looked at in the time that a turn takes to be read."""

LEFT_OUT: Final = "a turn left out"


class Unseen(Struct, frozen=True):
    """A slip that a block would not notice: what it is, and the lines of the moves it changes."""

    what: str
    changes: tuple[Change, ...]


class Sight(Struct, frozen=True):
    """What a block would notice.

    Attributes:
        tried: how many slips were tried that change the picture.
        unseen: those that it would not notice, likeliest first.
        left: how many more slips were not tried, for the time they take.
    """

    tried: int
    unseen: tuple[Unseen, ...]
    left: int

    @property
    def noticed(self) -> int:
        """How many of the slips tried it would notice."""
        return self.tried - len(self.unseen)


def sight(done: Replay, moves: Spelt, setting: MoveSetting) -> Sight:
    """What a block would notice.

    Args:
        done: a block that holds.
        moves: its moves, at least one.
        setting: what they are read with.
    """
    eye = _Eye(done, moves, setting)
    made: dict[str, Slip] = {}
    for slip in _likely_slips(moves, done.block.n):
        made.setdefault(eye.products.edited([slip]), slip)
    tried, unseen = 0, []
    for text, slip in made.items():
        noticed = eye.notices(text, slip)
        tried += noticed is not None
        if noticed is False:
            unseen.append(Unseen(_named_by_error(slip), eye.products.lines(text)))
    return Sight(tried, tuple(unseen), eye.left)


class _Eye:
    """Looks at one block.

    Attributes:
        products: its moves, ready to be changed.
        left: how many slips were not tried, for the work they are.
    """

    def __init__(self, done: Replay, moves: Spelt, setting: MoveSetting) -> None:
        self.done = done
        self.products = Products(done, moves, setting)
        self.same = self.products.same()
        block = done.block
        each = 6 * block.n**2 * (1 + len(block.claims)) + A_TURN * len(block.steps)
        self.more = MOST_WORK // each
        self.left = 0

    def notices(self, text: str, slip: Slip) -> bool | None:
        """Whether the block would notice a slip; None for one that is none, or is not tried."""
        made = self.products.made(slip)
        if made is None or self.same(*made):
            self.left += made is None and self.products.is_spent
            return None
        if not self.products.fits(*made):
            return True
        if not self.done.block.claims:
            return False
        if not self.more:
            self.left += 1
            return None
        self.more -= 1
        spelt = self.products.read(text)
        changed = spelt and self.products.replayed(spelt)
        if not spelt or not changed:
            return None
        lines = len(spelt.phrases)
        return any((claim.line or 0) > lines for claim in changed.block.claims) or not holds(
            changed
        )


def _likely_slips(spelt: Spelt, n: int) -> list[Slip]:
    """The slips that people make in true moves, likeliest first."""
    twice = _turns_twice(nodes_of(spelt.phrases), count(1))
    found = [slip for slip in slips(spelt, n) if slip.kind.rank < ROTATION_AT_BREAK.rank]
    return sorted([*found, *twice], key=lambda slip: slip.kind.rank)


def _turns_twice(nodes: tuple[Node, ...], numbers: Iterable[int]) -> Iterator[Slip]:
    """Each turn written twice, then each within brackets; `numbers` are those of what follows."""
    for node, at in zip(nodes, numbers, strict=False):
        if isinstance(node, Written):
            word = node.word.text
            yield Slip(TWICE, node.end, node.end, f" {word}", at, 0, (word,))
    for node in nodes:
        for part in node.parts if isinstance(node, Group) else ():
            yield from _turns_twice(part, repeat(-1))


def _named_by_error(slip: Slip) -> str:
    """A slip, named as an error in true moves: to take a turn away is to leave it out."""
    takes_a_turn = not slip.text and slip.kind in (TWICE, TOO_MANY)
    return LEFT_OUT if takes_a_turn else slip.kind.what

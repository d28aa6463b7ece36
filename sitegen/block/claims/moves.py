"""Claims about the moves themselves: their length, their order, other moves that do the same."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from sitegen.block.claims.claim import (
    About,
    Claim,
    Ends,
    Reader,
    Verdict,
    addresses,
    bad_check,
    is_number,
)
from sitegen.block.hangs import UNCOUNTED
from sitegen.cube.measure import changed, order_of
from sitegen.cube.position import Motion
from sitegen.notation.count import METRICS
from sitegen.notation.read import read_moves
from sitegen.notation.spell import spell
from sitegen.notation.tree import nodes_of
from sitegen.problem import Wrong
from sitegen.said import Plain
from sitegen.wording import counted

if TYPE_CHECKING:
    import re

    from sitegen.block.claims.claim import ClaimValue
    from sitegen.block.moment import Moment
    from sitegen.cube.turn import Turn
    from sitegen.notation.tree import MoveTree, Spacing


class Turns(Claim, frozen=True):
    """`turns 15 OBTM`: the moves are that long."""

    about: ClassVar[About] = "moves"
    count: int
    metric: str

    def said(self) -> Plain[ClaimValue]:
        name = "claims.turn" if self.count == 1 else "claims.turns"
        return Plain(name, {"count": self.count, "metric": self.metric})

    def judge(self, moment: Moment) -> Verdict:
        length = moment.lengths[self.metric]
        return Verdict(
            length == self.count,
            lambda: f"the moves are {counted(length, 'turn')} in {self.metric}",
        )

    def right_number(self, moment: Moment) -> int | None:
        """How long the moves are."""
        return moment.lengths[self.metric]


class Order(Claim, frozen=True):
    """`order 6`: repeated that often from solved, and no less, they show it solved again."""

    about: ClassVar[About] = "moves"
    count: int

    def said(self) -> Plain[ClaimValue]:
        return Plain(
            "claims.order" if self.count > 1 else "claims.order_one", {"count": self.count}
        )

    def judge(self, moment: Moment) -> Verdict:
        order = order_of(moment.motion)
        return Verdict(order == self.count, lambda: f"the moves have order {order}")

    def right_number(self, moment: Moment) -> int | None:
        """What their order is."""
        return order_of(moment.motion)


class SameAs(Claim, frozen=True):
    """`same as R U R' U'`: these other moves, from the same position, end in the same picture."""

    about: ClassVar[About] = "moves"
    moves: MoveTree
    turns: tuple[Turn, ...]

    @property
    def length(self) -> int:
        return len(self.turns)

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.same_as", {"moves": self.moves})

    def ends(self, moment: Moment, *, backwards: bool) -> Ends | None:
        """Where the other moves lead to; backwards, where they come from."""
        other = Motion.of(moment.n, self.turns)
        if backwards:
            return Ends(moment.now.after(other.inverse()), moment.now)
        return Ends(moment.before, moment.before.after(other))

    def judge(self, moment: Moment) -> Verdict:
        other = moment.before.after(Motion.of(moment.n, self.turns))

        def found() -> str:
            differ = sorted(changed(other, moment.now))
            return (
                f"the two pictures differ at {len(differ)} stickers: {addresses(differ, moment.n)}"
            )

        return Verdict(other.banks == moment.now.banks, found)


def read_turns(found: re.Match[str], reader: Reader) -> Claim:
    """`turns 15`, `turns 15 OBTM`."""
    count, metric = _number(found["count"]), found["metric"] or reader.metric
    if not metric:
        raise Wrong(UNCOUNTED, "the site's metric could not be read")
    if metric not in METRICS:
        raise bad_check(f"`{metric}` is no metric; turns are counted in {', '.join(METRICS)}")
    return Turns(count, metric)


def read_order(found: re.Match[str], reader: Reader) -> Claim:
    """`order 6`."""
    del reader
    count = _number(found["count"])
    if count == 0:
        raise bad_check("an order is 1 or more")
    return Order(count)


def _number(text: str) -> int:
    if not is_number(text):
        raise bad_check(f"`{text}` is no whole number")
    if len(text) > 4000:  # of more than 4300, Python makes no number
        raise bad_check("a number of more than 4000 digits")
    return int(text)


def read_same_as(found: re.Match[str], reader: Reader) -> Claim:
    """`same as MOVES`; what is wrong with the moves has rules of its own."""
    faults: list[Wrong] = []
    spacings: list[Spacing] = []
    at = found.start("moves")
    moves = read_moves(found["moves"], faults, spacings, reader.setting.sequences)
    nodes = nodes_of(moves.phrases)
    steps = spell(nodes, reader.setting, faults)
    reader.spacings.extend(spacing.moved(at) for spacing in spacings)
    if faults:
        first, *others = sorted((wrong.moved(at) for wrong in faults), key=lambda one: one.start)
        reader.faults.extend(others)
        raise first
    if not nodes:
        raise bad_check("`same as` is followed by moves")
    return SameAs(moves, tuple(step.turn for step in steps))

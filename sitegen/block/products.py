"""Changed moves without replaying them: what stands before and after each of a block's turns.

A change at node i of a phrase does not need the moves replayed: with P(i) the motion of all before
it, the moves with something else, X, in place of the nodes i to j are P(i) X P(j)^-1 and then the
moves as they stand. So each change is one motion, worked out from two products that are there
already, and a block of sixty turns on a 7x7 is searched in a few hundredths of a second.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from sitegen.block.claims.claim import Ends
from sitegen.block.model import Drawn, Spelt
from sitegen.block.replay import Replay, replay
from sitegen.cube.geometry import BANK, compose, follow, geometry
from sitegen.cube.position import Motion, Position
from sitegen.cube.scheme import NO_COLOUR
from sitegen.notation.read import read_moves
from sitegen.notation.spell import spell, spell_phrases
from sitegen.notation.tree import nodes_of
from sitegen.problem import Change, Wrong

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.block.slips import Slip
    from sitegen.notation.setting import MoveSetting

LEAST_FIXED: Final = 10
"""A claim that spares some pieces is used where it still fixes one sticker in so many, or more.

Measured on commutators of 3x3 to 7x7 with two primes forgotten: of what was offered, the first was
then the true pair nine times in ten. By `kept CLASS` it was so five times in ten, so that claim is
never used.
"""

MOST_AGAIN: Final = 100_000
"""How many turns of brackets are read again, one for each change within these."""

_TURN: Final = re.compile(r"[\d-]*[A-Za-z]w?\d*['’′´`]*")
_PART: Final = re.compile(r"[\d-]+|w?\d*['’′´`]*")
"""What a turn can lose and be a turn: its layers, or what follows its letter."""

Made = tuple[int, list[Motion], int]
"""Changed moves: from which node on, what stands there instead, and before which other node."""

Fits = Callable[[int, list[Motion], int], bool]
"""Whether moves so changed fit."""


class Products:
    """A block's moves, ready to be changed.

    Attributes:
        done: the block, carried out.
        moves: its moves.
        setting: what they are read with.
        prefixes: the motion of all nodes before each node, and of all of them.
        inverses: the inverse of each of these.
        fits: whether changed moves give what the nets and `to` show, or what a claim says of the
            whole end; no other claim is asked.
    """

    def __init__(self, done: Replay, moves: Spelt, setting: MoveSetting) -> None:
        """Work out the products.

        Args:
            done: the block, carried out.
            moves: the moves it has.
            setting: what they are read with.
        """
        self.done = done
        self.moves = moves
        self.setting = setting
        n = done.block.n
        self.prefixes = [Motion.of(n, ())]
        self._nodes = nodes_of(moves.phrases)
        for node in self._nodes:
            turns = (step.turn for step in spell((node,), setting, []))
            self.prefixes.append(self.prefixes[-1].then(Motion.of(n, turns)))
        self.inverses = [motion.inverse() for motion in self.prefixes]
        self.fits = self._choose_fits()
        self._turns: dict[str, Motion] = {}
        self._again = 0  # turns of brackets that were read again

    def _choose_fits(self) -> Fits:
        """The quick test for `fits`: by what is stated of the whole end, else by what nets show."""
        known = ends(self.done)
        if known and known.surely:
            return self._fits_whole(known)
        block = self.done.block
        drawn = block.before if block.starts_from_goal else block.after
        cells = drawn.net.stated if drawn else []
        if not cells:
            return lambda _at, _turned, _to: True
        slots = geometry(block.n).slots
        wanted = [(*divmod(slots[cell.sticker], BANK), cell.colour) for cell in cells]
        return self._fits_before(wanted) if block.starts_from_goal else self._fits_after(wanted)

    def _fits_whole(self, known: Ends) -> Fits:
        """The test where all that is asked is known at both ends."""
        left = [known.start.after(motion).banks for motion in self.prefixes]
        home = known.end.after(self.inverses[-1])
        right = [known.seen(home.after(motion).banks) for motion in self.prefixes]

        def fits(at: int, turned: list[Motion], to: int) -> bool:
            reached = follow(left[at], (motion.banks for motion in turned))
            return known.seen(reached) == right[to]

        return fits

    def _fits_after(self, wanted: list[tuple[int, int, int]]) -> Fits:
        """The test where some stickers are known after the moves."""
        left = [self.done.before.after(motion).banks for motion in self.prefixes]
        rest = [motion.then(self.prefixes[-1]).banks for motion in self.inverses]

        def fits(at: int, turned: list[Motion], to: int) -> bool:
            banks = compose(follow(left[at], (motion.banks for motion in turned)), rest[to])
            return all(banks[bank][slot] == colour for bank, slot, colour in wanted)

        return fits

    def _fits_before(self, wanted: list[tuple[int, int, int]]) -> Fits:
        """The test where some stickers are known before the moves, and all after them."""
        home = self.done.after.after(self.inverses[-1])
        right = [home.after(motion).banks for motion in self.prefixes]
        back = [motion.banks for motion in self.inverses]

        def fits(at: int, turned: list[Motion], to: int) -> bool:
            undone = (motion.inverse().banks for motion in reversed(turned))
            banks = compose(follow(right[to], undone), back[at])
            return all(banks[bank][slot] == colour for bank, slot, colour in wanted)

        return fits

    def same(self) -> Fits:
        """Whether changed moves give the very pictures that the moves give as they stand."""
        return self._fits_whole(Ends(self.done.before, self.done.after))

    def _turn(self, word: str) -> Motion:
        """The motion of a turn as text, one that this cube has: slips put in no others."""
        if word not in self._turns:
            steps = spell(nodes_of(read_moves(word, []).phrases), self.setting, [])
            self._turns[word] = Motion.of(self.done.block.n, (step.turn for step in steps))
        return self._turns[word]

    def _turned(self, slip: Slip) -> list[Motion]:
        """The turns that a slip puts in."""
        return [self._turn(word) for word in slip.words]

    def made(self, slip: Slip) -> Made | None:
        """What a slip makes of the moves; None where these could then not be read on this cube.

        A bracket that it lies in is read again, for its turns may be done many times: None as well
        where that has become too much work.
        """
        if slip.at >= 0:
            return slip.at, self._turned(slip), slip.at + slip.taken
        if self.is_spent:
            return None
        at = bisect_right(self._nodes, slip.start, key=attrgetter("start")) - 1
        to = bisect_left(self._nodes, slip.end, key=attrgetter("start"))
        text = self.moves.source.text
        before = text[self._nodes[at].start : slip.start]
        after = text[slip.end : self._nodes[to - 1].end]
        faults: list[Wrong] = []
        moves = read_moves(f"{before}{slip.text}{after}", faults)
        steps = spell(nodes_of(moves.phrases), self.setting, faults)
        self._again += len(steps)
        if faults:
            return None
        return at, [Motion.of(self.done.block.n, (step.turn for step in steps))], to

    @property
    def is_spent(self) -> bool:
        """Whether brackets were read again so often that no more are."""
        return self._again >= MOST_AGAIN

    def change(self, slip: Slip) -> Motion:
        """The motion that, done before the moves, has the effect of a slip outside brackets."""
        motion = self.prefixes[slip.at]
        for turn in self._turned(slip):
            motion = motion.then(turn)
        return motion.then(self.inverses[slip.at + slip.taken])

    def edited(self, changes: Iterable[Slip]) -> str:
        """The text of the moves with some slips made, which stand apart and in order."""
        text = self.moves.source.text
        for slip in reversed([*changes]):
            text = text[: slip.start] + slip.text + text[slip.end :]
        return text

    def read(self, text: str) -> Spelt | None:
        """Changed moves; None where they cannot be read, or not on this cube."""
        faults: list[Wrong] = []
        moves = read_moves(text, faults)
        steps = spell_phrases((phrase.nodes for phrase in moves.phrases), self.setting, faults)
        if faults:
            return None
        source = replace(self.moves.source, text=text)
        return Spelt(source, moves.phrases, tuple(map(tuple, steps)))

    def replayed(self, spelt: Spelt) -> Replay | None:
        """The block with other moves, carried out from the same known positions."""
        # these two positions are asked for only where `from` or `to` refers to another block
        return replay(replace(self.done.block, moves=spelt), self.done.before, self.done.goal)

    def lines(self, text: str) -> tuple[Change, ...]:
        """The lines in which a changed text differs from the moves, and where.

        Empty where a bracket went with the ends of its lines: line by line they cannot be compared.
        """
        source = self.moves.source
        changes = []
        olds, news = source.text.split("\n"), text.split("\n")
        if len(olds) != len(news):
            return ()
        for old, new, line in zip(olds, news, source.lines, strict=True):
            if old != new:
                old, new = old.strip(), new.strip()  # noqa: PLW2901
                changes.append(Change(line, old, new, *_changed_part(old, new)))
        return tuple(changes)


def _changed_part(old: str, new: str) -> tuple[int, int]:
    """The part of a new line that is not in the old one, widened to the turns it lies in.

    Where turns were taken away whole, that is the one place where they stood: it may be just past
    the line's end.
    """
    start = next(
        (i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b),
        min(len(old), len(new)),
    )
    end, other = len(new), len(old)
    while end > start and other > start and new[end - 1] == old[other - 1]:
        end, other = end - 1, other - 1
    gone = old[start:other]
    first, last = start, max(end, start + 1)
    for turn in _TURN.finditer(new):
        is_changed = turn.start() < end and turn.end() > start
        has_lost = start == end and turn.start() <= start <= turn.end() and _PART.fullmatch(gone)
        if is_changed or has_lost:
            first, last = min(first, turn.start()), max(end, turn.end())
    return first, last


def ends(done: Replay) -> Ends | None:
    """What the moves must lead from and to, if both are stated whole: drawn, or by a claim."""
    block = done.block
    if block.starts_from_goal:
        before = _in_full(block.before, block.n)
        return Ends(before, done.after) if before else _claimed(done)
    target = done.goal or _in_full(block.after, block.n)
    return Ends(done.before, target) if target else _claimed(done)


def _claimed(done: Replay) -> Ends | None:
    """Both ends by the first claim that says enough of them, sure claims before others."""
    claims = (c.claim for c in done.block.claims if c.line is None and not c.negated)
    backwards = done.block.starts_from_goal
    found = [claim.ends(done.end, backwards=backwards) for claim in claims]
    enough = [known for known in found if known and (known.surely or _fixes_enough(known))]
    return min(enough, key=lambda known: not known.surely, default=None)


def _fixes_enough(known: Ends) -> bool:
    """Whether so many stickers keep their colours that few wrong moves would pass."""
    colours = known.end.colours
    return LEAST_FIXED * sum(colour != NO_COLOUR for colour in colours) >= len(colours)


def _in_full(drawn: Drawn | None, n: int) -> Position | None:
    if drawn is None or len(drawn.net.stated) < 6 * n * n:
        return None
    return drawn.net.position(n)

"""One slip put right: what small change to a failed block's moves would make it hold.

Every slip of `slips` is tried against what the block states. A change at node i of a phrase does
not need the moves replayed: with P(i) the motion of all before it, the moves with something else,
X, in place of the nodes i to j are P(i) X P(j)^-1 and then the moves as they stand. So each slip is
one motion D, worked out from two products that are there already, and a block of sixty turns on a
7x7 is searched in a few hundredths of a second.

Two slips are looked for only where a whole position is stated, for then the two D can be met in
the middle: before.D1 must be target.moves^-1.D2^-1, and the one is looked up in a table of the
other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from sitegen.block.check import holds
from sitegen.block.model import Block, Drawn, Reference, Told
from sitegen.block.replay import Replay, replay
from sitegen.block.slips import MISSING, Slip, slips
from sitegen.cube.geometry import BANK, compose, follow, geometry
from sitegen.cube.position import Motion, Position
from sitegen.notation.read import read_moves
from sitegen.notation.spell import Setting, spell
from sitegen.notation.tree import Moves
from sitegen.notation.write import write_moves
from sitegen.problem import Change, Repair, Wrong

if TYPE_CHECKING:
    from sitegen.block.claims.claim import Stated

Fits = Callable[[int, list[Motion], int], bool]
"""Whether moves fit with some turns in place of the nodes from one number to before another."""

MOST: Final = 3
"""How many repairs are offered."""

MOST_JUDGED: Final = 600
"""How many changed blocks are judged in full; likelier slips come first."""

MOST_LOOKED: Final = 250_000
"""How many stickers are looked at for that: large cubes with many claims are judged less often."""

MOST_TRIED: Final = 40_000
"""How many slips are tried against a position; likelier slips come first."""

MOST_PAIRED: Final = 6_000
"""How many slips are paired with one another when no single one explains the failure."""

LONGEST: Final = 300
"""Turns of the longest moves that are searched."""

REPAIRABLE: Final = frozenset({"before-mismatch", "after-mismatch", "to-mismatch", "check-failed"})
"""The rules whose problems a change to the moves can mend."""


def repairs(failed: Replay, setting: Setting) -> tuple[Repair, ...]:
    """What would make a failed block hold: best guess first, three at most, or nothing.

    Args:
        failed: a block that does not hold for one of the rules `REPAIRABLE`.
        setting: what its moves are read with.
    """
    block = failed.block
    if block.moves is None or not 0 < len(block.steps) <= LONGEST or _beyond_moves(failed):
        return ()
    search = _Search(failed, setting)
    found = search.single()
    return tuple(found or search.double())


def _beyond_moves(failed: Replay) -> bool:
    """Whether something fails that no change to the moves can mend."""
    block = failed.block
    if block.starts_from_goal:
        fixed = _claims_at(block, None)
        still = replace(block, before=None, claims=fixed)
    else:
        fixed = _claims_at(block, 0)
        still = replace(block, after=None, goal=None, claims=fixed)
    return not holds(replace(failed, block=still, goal=None))


def _claims_at(block: Block, line: int | None) -> tuple[Stated, ...]:
    """The claims about the position at one moment."""
    return tuple(c for c in block.claims if c.line == line and c.claim.about == "position")


class _Search:
    def __init__(self, failed: Replay, setting: Setting) -> None:
        self.failed = failed
        self.block = failed.block
        self.setting = setting
        moves = self.block.moves
        assert moves  # noqa: S101 - `repairs` looks before
        self.moves: Told = moves
        n = self.block.n
        self.nodes = [node for phrase in moves.phrases for node in phrase.nodes]
        self.done = [Motion.of(n, ())]  # the motion of all nodes before each
        for node in self.nodes:
            steps = spell((node,), setting, [])
            self.done.append(self.done[-1].then(Motion.of(n, (step.turn for step in steps))))
        self.undone = [motion.inverse() for motion in self.done]
        self.rest = [motion.then(self.done[-1]) for motion in self.undone]
        self.turned: dict[str, Motion | None] = {}
        self.fits = _Fit(failed, self.done, self.undone, self.rest).look()
        looked = 6 * n * n * (1 + len(self.block.claims))
        self.left = min(MOST_JUDGED, MOST_LOOKED // looked)

    def single(self) -> list[Repair]:
        """Repairs by one slip."""
        found: dict[str, Repair] = {}
        for slip in slips(self.moves, self.block.n)[:MOST_TRIED]:
            if len(found) == MOST or self.left <= 0:
                break
            if slip.at >= 0:
                turned = [motion for word in slip.words if (motion := self.turn(word))]
                missing = len(turned) < len(slip.words)
                if missing or not self.fits(slip.at, turned, slip.at + slip.taken):
                    continue
            repair = self.verified([slip])
            if repair and repair.moves not in found:
                found[repair.moves] = repair
        return list(found.values())

    def double(self) -> list[Repair]:
        """Repairs by two slips, where a whole position is stated."""
        ends = _ends(self.failed)
        if ends is None:
            return []
        start, target = ends
        goal = target.after(self.undone[-1])
        changes = [
            (slip, change)
            for slip in slips(self.moves, self.block.n)
            if slip.at >= 0 and slip.rank < MISSING and (change := self.change(slip)) is not None
        ][:MOST_PAIRED]
        reached: dict[tuple[bytes, ...], Slip] = {}
        for slip, change in changes:
            reached.setdefault(goal.after(change.inverse()).banks, slip)
        found: dict[str, Repair] = {}
        for slip, change in changes:
            later = reached.get(start.after(change).banks)
            if later is None or later.at < slip.at + max(slip.taken, 1):
                continue
            repair = self.verified([slip, later])
            if repair:
                found.setdefault(repair.moves, repair)
            if len(found) == MOST:
                break
        return list(found.values())

    def change(self, slip: Slip) -> Motion | None:
        """The motion D of a slip (see above); None for a turn that this cube does not have."""
        motion = self.done[slip.at]
        for word in slip.words:
            turned = self.turn(word)
            if turned is None:
                return None
            motion = motion.then(turned)
        return motion.then(self.undone[slip.at + slip.taken])

    def turn(self, word: str) -> Motion | None:
        """The motion of a turn as text; None where this cube has no such turn."""
        if word not in self.turned:
            faults: list[Wrong] = []
            moves = read_moves(word, faults)
            steps = spell(
                (node for phrase in moves.phrases for node in phrase.nodes), self.setting, faults
            )
            turns = (step.turn for step in steps)
            self.turned[word] = None if faults else Motion.of(self.block.n, turns)
        return self.turned[word]

    def verified(self, changes: list[Slip]) -> Repair | None:
        """The repair, if the block, read and replayed with the changes made, holds."""
        text = self.moves.source.text
        for slip in reversed(changes):
            text = text[: slip.start] + slip.text + text[slip.end :]
        told = self.read(text)
        if told is None or text.count("\n") != self.moves.source.text.count("\n"):
            return None  # unreadable, or a bracket gone with the ends of lines and their comments
        self.left -= 1
        changed = replace(self.block, moves=told)
        done = _replayed(self.failed, changed)
        if done is None or not holds(done):
            return None
        return Repair(
            told_text(told), " and ".join(slip.what for slip in changes), self.lines(text)
        )

    def read(self, text: str) -> Told | None:
        faults: list[Wrong] = []
        moves = read_moves(text, faults)
        steps = tuple(tuple(spell(p.nodes, self.setting, faults)) for p in moves.phrases)
        if faults:
            return None
        return Told(replace(self.moves.source, text=text), moves.phrases, steps)

    def lines(self, text: str) -> tuple[Change, ...]:
        """The lines that differ, old and new, and where in the new one."""
        source = self.moves.source
        changes = []
        rows = zip(source.text.split("\n"), text.split("\n"), source.lines, strict=True)
        for old, new, line in rows:
            if old != new:
                old, new = old.strip(), new.strip()  # noqa: PLW2901
                start = next(
                    (i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b),
                    min(len(old), len(new)),
                )
                changes.append(Change(line, old, new, start, _changed_end(old, new, start)))
        return tuple(changes)


def _changed_end(old: str, new: str, start: int) -> int:
    """Where the part of a new line ends that is not in the old one."""
    end, other = len(new), len(old)
    while end > start and other > start and new[end - 1] == old[other - 1]:
        end, other = end - 1, other - 1
    return max(end, start + 1)


def told_text(told: Told) -> str:
    """Moves on lines of their own, comments left out."""
    return write_moves(Moves(told.phrases))


def _replayed(failed: Replay, changed: Block) -> Replay | None:
    """A changed block carried out from the same known positions."""
    start, goal = None, None
    if changed.start and isinstance(changed.start.origin, Reference):
        start = failed.before
    if changed.goal and isinstance(changed.goal.origin, Reference):
        goal = failed.goal
    return replay(changed, start, goal)


def _ends(failed: Replay) -> tuple[Position, Position] | None:
    """The positions that the moves must lead from and to, if both are stated whole."""
    block = failed.block
    if block.starts_from_goal:
        before = _whole(block.before, block.n)
        return (before, failed.after) if before else None
    target = failed.goal or _whole(block.after, block.n)
    return (failed.before, target) if target else None


def _whole(drawn: Drawn | None, n: int) -> Position | None:
    if drawn is None:
        return None
    cells = [cell for row in drawn.net.rows for cell in row.cells if cell.colour >= 0]
    if len(cells) < 6 * n * n:
        return None
    return Position.showing(n, drawn.net.colours(n))


@dataclass
class _Fit:
    """A quick look whether changed moves give what the nets and `to` show; no claim is asked.

    Attributes:
        failed: the block.
        done: the motion of all nodes before each.
        undone: the inverse of each.
        rest: the motion of each node and all after it.
    """

    failed: Replay
    done: list[Motion]
    undone: list[Motion]
    rest: list[Motion]

    def look(self) -> Fits:
        """The look itself: given the nodes from where to where, and the turns in their place."""
        ends = _ends(self.failed)
        if ends:
            return self.whole(*ends)
        block = self.failed.block
        drawn = block.before if block.starts_from_goal else block.after
        cells = [c for row in drawn.net.rows for c in row.cells if c.colour >= 0] if drawn else []
        if not cells:
            return lambda _at, _turned, _to: True
        slots = geometry(block.n).slots
        wanted = [(*divmod(slots[cell.sticker], BANK), cell.colour) for cell in cells]
        return self.backwards(wanted) if block.starts_from_goal else self.forwards(wanted)

    def whole(self, before: Position, after: Position) -> Fits:
        """All stickers are known at both ends."""
        left = [before.after(motion).banks for motion in self.done]
        home = after.after(self.undone[-1])
        right = [home.after(motion).banks for motion in self.done]

        def fits(at: int, turned: list[Motion], to: int) -> bool:
            return follow(left[at], (motion.banks for motion in turned)) == right[to]

        return fits

    def forwards(self, wanted: list[tuple[int, int, int]]) -> Fits:
        """Some stickers are known after the moves."""
        left = [self.failed.before.after(motion).banks for motion in self.done]
        rest = [motion.banks for motion in self.rest]

        def fits(at: int, turned: list[Motion], to: int) -> bool:
            banks = compose(follow(left[at], (motion.banks for motion in turned)), rest[to])
            return all(banks[bank][slot] == colour for bank, slot, colour in wanted)

        return fits

    def backwards(self, wanted: list[tuple[int, int, int]]) -> Fits:
        """Some stickers are known before the moves, and all after them."""
        right = [self.failed.after.after(motion.inverse()).banks for motion in self.rest]
        back = [motion.banks for motion in self.undone]

        def fits(at: int, turned: list[Motion], to: int) -> bool:
            undone = (motion.inverse().banks for motion in reversed(turned))
            banks = compose(follow(right[to], undone), back[at])
            return all(banks[bank][slot] == colour for bank, slot, colour in wanted)

        return fits

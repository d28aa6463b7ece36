"""Slips put right: what small change to a failed block's moves, or which two, make it hold.

Every slip of `slips` is tried against what the block states, without replaying the moves (see
`products`).

The same slip in a turn and in the one that undoes it, as in `3Uw' ... 3Uw` for `3U' ... 3U`, is
tried likewise, and so is a small letter read the wrong way, in all such turns at once. Any other
two slips are looked for only where what the moves do is stated whole, or but for some pieces (by a
net, `to`, or a claim: see `products.ends`), for then the two changes can be met in the middle:
before.D1 must be target.moves^-1.D2^-1, and the one is looked up in a table of the other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec.structs import replace

from sitegen.block.check import holds, start_may_hold_moves
from sitegen.block.products import Products, ends
from sitegen.block.slips import Slip, misreadings, slips
from sitegen.notation.spell import names_in
from sitegen.notation.tree import MoveTree, Written, nodes_of
from sitegen.notation.write import write_moves
from sitegen.problem import Repair
from sitegen.wording import some_of

if TYPE_CHECKING:
    from sitegen.block.model import Spelt
    from sitegen.block.replay import Replay
    from sitegen.cube.geometry import Banks
    from sitegen.notation.setting import MoveSetting

MOST: Final = 3
"""How many repairs are offered."""

MOST_JUDGED: Final = 600
"""How many changed blocks are judged in full; likelier slips come first."""

MOST_LOOKED: Final = 1_000_000
"""How many stickers are looked at for that, a turn of `same as` counted as one: large cubes with
many claims are judged less often."""

MOST_TRIED: Final = 40_000
"""How many slips are tried against a position; likelier slips come first."""

MOST_PAIRED: Final = 6_000
"""How many slips are paired with one another when no single one explains the failure."""

MOST_PAIRS_JUDGED: Final = 20
"""How many pairs of slips that lead to the stated end are judged in full, likeliest first."""

MOST_TWINS_JUDGED: Final = 100
"""How many pairs of the same slip are judged in full, likeliest first."""

LONGEST: Final = 300
"""Turns of the longest moves that are searched."""

FEWEST_HALVED: Final = 12
"""Turns of the shortest moves that are worth being checked by halves: our own guess."""

STOPPED: Final = "not every small change could be tried"

NOTHING_DONE: Final = "no moves stand in this block, so it ends as it begins"

REPAIRABLE: Final = frozenset({"before-mismatch", "after-mismatch", "to-mismatch", "check-failed"})
"""The rules whose problems a change to the moves can mend."""


class Sought(NamedTuple):
    """What a search for slips came to.

    Attributes:
        repairs: what would make the block hold: best guess first, three at most, or nothing.
        stopped: why nothing was found, where not all slips were looked for; else "".
    """

    repairs: tuple[Repair, ...]
    stopped: str


def repairs(failed: Replay, setting: MoveSetting) -> Sought:
    """What would make a failed block hold.

    Args:
        failed: a block that does not hold for one of the rules `REPAIRABLE`.
        setting: what its moves are read with.
    """
    block = failed.block
    if _beyond_moves(failed):
        return Sought((), "")
    if block.moves is None or not block.steps:
        is_told = start_may_hold_moves(block)
        asks_for_moves = not is_told and (block.moves is not None or block.goal is not None)
        return Sought((), NOTHING_DONE if asks_for_moves else "")
    if len(block.steps) > LONGEST:
        turns = f"the moves come to {len(block.steps)} turns, and {LONGEST} are the most"
        return Sought((), f"no small change was tried: {turns}; check them by halves")
    search = _Search(failed, block.moves, setting)
    found = search.single() or search.several()
    return Sought(tuple(found), "" if found else search.left_out)


def _beyond_moves(failed: Replay) -> bool:
    """Whether something fails that no change to the moves can mend."""
    block = failed.block
    fixed = None if block.starts_from_goal else 0  # the line where the position stays what it is
    claims = tuple(c for c in block.claims if c.line == fixed and c.claim.about == "position")
    if block.starts_from_goal:
        still = replace(block, before=None, claims=claims)
    else:
        still = replace(block, after=None, goal=None, claims=claims)
    return not holds(replace(failed, block=still, goal=None))


class _Search:
    def __init__(self, failed: Replay, moves: Spelt, setting: MoveSetting) -> None:
        self.failed = failed
        self.n = failed.block.n
        self.products = Products(failed, moves, setting)
        self.slips = slips(moves, self.n)
        claims = failed.block.claims
        looked = 6 * self.n**2 * (1 + len(claims)) + sum(claim.claim.length for claim in claims)
        # up to the last line spoken of; without any moves a block would show nothing
        self.least = max((1, *(claim.line or 0 for claim in claims)))
        self.left = min(MOST_JUDGED, MOST_LOOKED // looked)
        self.most_twins = min(MOST_TWINS_JUDGED, MOST_LOOKED // looked)
        self.found: dict[str, _Found] = {}  # by the moves as they would stand
        self.is_cut_short = len(self.slips) > MOST_TRIED

    @property
    def left_out(self) -> str:
        """Which slips were not looked for, those in named sequences above all; "" if all were."""
        names = dict.fromkeys(one.name for one in names_in(self.products.moves.phrases))
        is_long = len(self.failed.block.steps) >= FEWEST_HALVED
        stopped = f"{STOPPED}: check the moves by halves" if is_long else STOPPED
        if not names:
            return stopped if self.is_cut_short else ""
        tried = stopped if self.is_cut_short else "no small change to these moves mends it"
        return f"{tried}; look as well at what is named in them: {some_of(names)}"

    def single(self) -> list[Repair]:
        """Repairs by one slip."""
        for slip in self.slips[:MOST_TRIED]:
            if len(self.found) == MOST:
                break
            if self.left <= 0:
                self.is_cut_short = True
                break
            made = self.products.made(slip)
            if made and self.products.fits(*made):
                self.try_changes([slip])
        self.is_cut_short |= self.products.is_spent
        return self.repairs()

    def several(self) -> list[Repair]:
        """Repairs by one slip made each time, or twice, or by any two where enough is stated."""
        every = misreadings(self.products.moves, self.products.setting.lowercase)
        pairs = self.pairs()[:MOST_PAIRS_JUDGED]
        for changes in (*every, *pairs, *self.twins()[: self.most_twins]):
            self.try_changes(changes)
            if len(self.found) == MOST:
                break
        return self.repairs()

    def pairs(self) -> list[list[Slip]]:
        """The pairs of slips that lead to the stated end, likeliest first."""
        known = ends(self.failed)
        if known is None:
            return []
        goal = known.end.after(self.products.inverses[-1])
        # where nothing is to change, two turns alone can always be made to undo one another
        rewritten = len(self.products.prefixes) - 1 if known.is_still else None
        paired = [slip for slip in self.slips if slip.at >= 0 and not slip.is_missing_turn]
        changes = [(slip, self.products.change(slip)) for slip in paired[:MOST_PAIRED]]
        reached: dict[Banks, list[Slip]] = {}
        for slip, change in changes:
            seen = known.seen(goal.after(change.inverse()).banks)
            reached.setdefault(seen, []).append(slip)
        pairs = []
        for slip, change in changes:
            behind = slip.at + max(slip.taken, 1)
            there = reached.get(known.seen(known.start.after(change).banks), ())
            later = next((other for other in there if other.at >= behind), None)
            if later and slip.taken + later.taken != rewritten:
                pairs.append([slip, later])
        return sorted(pairs, key=lambda pair: sum(slip.kind.rank for slip in pair))

    def twins(self) -> list[list[Slip]]:
        """The same slip in a turn and in the next one that undoes it, likeliest first."""
        nodes = nodes_of(self.products.moves.phrases)
        made: dict[tuple[str, str], list[Slip]] = {}
        for slip in self.slips:
            if slip.at >= 0 and slip.taken == len(slip.words) == 1:
                node = nodes[slip.at]
                if isinstance(node, Written):
                    made.setdefault((node.word.text, slip.words[0]), []).append(slip)
        pairs = []
        for (old, new), here in made.items():
            there = made.get((_undoing(old), _undoing(new)), ())
            for slip in here:
                later = next((other for other in there if other.at > slip.at), None)
                if later:
                    pairs.append([slip, later])
        return sorted(pairs, key=lambda pair: pair[0].kind.rank)

    def repairs(self) -> list[Repair]:
        """What was found, best guess first."""
        best = next(iter(self.found.values()), None)
        return [replace(one.repair, same=one.is_same(best)) for one in self.found.values()]

    def try_changes(self, changes: list[Slip]) -> None:
        """Keep the repair, if the block, read and replayed with the changes made, holds."""
        text = self.products.edited(changes)
        spelt = self.products.read(text)
        if spelt is None or len(spelt.phrases) < self.least:
            return
        self.left -= 1
        done = self.products.replayed(spelt)
        if done is None or not holds(done):
            return
        lines = self.products.lines(text)
        if not lines:
            return  # a bracket went with the ends of its lines, and with their comments
        kinds = dict.fromkeys(slip.kind.what for slip in changes)
        again = (
            "" if len(kinds) == len(changes) else ", twice" if len(changes) == 2 else ", each time"
        )
        written = write_moves(MoveTree(spelt.phrases))
        repair = Repair(written, " and ".join(kinds) + again, lines)
        found = _Found(repair, tuple(changes), done.motion.banks)
        if not any(found.is_far_fetched(other) for other in self.found.values()):
            self.found.setdefault(repair.moves, found)


class _Found(NamedTuple):
    """A repair, the slips it mends, and what the moves then do."""

    repair: Repair
    slips: tuple[Slip, ...]
    does: Banks

    def is_far_fetched(self, other: _Found) -> bool:
        """Whether it puts a turn in where a change to one that is there has the same effect."""
        if self.does != other.does or other.slips[0].is_missing_turn:
            return False
        return all(slip.is_missing_turn for slip in self.slips)

    def is_same(self, best: _Found | None) -> bool:
        """Whether the turns of the best guess are put at another place, to the same effect."""
        if best is None or best is self or self.does != best.does:
            return False
        return [slip.words for slip in self.slips] == [slip.words for slip in best.slips]


def _undoing(turn: str) -> str:
    """The turn that undoes one, as text; a half turn undoes itself."""
    if turn.endswith("2"):
        return turn
    return turn.removesuffix("'") if turn.endswith("'") else f"{turn}'"

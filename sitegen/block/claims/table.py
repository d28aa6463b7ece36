"""CLAIMS: every form a claim can have, and who reads it; PREFIXES: what may stand before one."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.block.claims import edges, motion, moves, parity, solved, stickers

if TYPE_CHECKING:
    from collections.abc import Callable

    from sitegen.block.claims.claim import Claim, Reader


class Form(NamedTuple):
    """A form of claim.

    Attributes:
        shape: as it is shown to authors; capital words stand for what they name.
        meaning: when it holds.
    """

    shape: str
    meaning: str


class ClaimForms(NamedTuple):
    """Forms that one reader reads.

    Attributes:
        pattern: what a line of these forms looks like as a whole.
        read: the claim of such a line; raises `Wrong`, `bad-check`, where it means nothing.
        forms: for the reference page and for hints.
    """

    pattern: re.Pattern[str]
    read: Callable[[re.Match[str], Reader], Claim]
    forms: tuple[Form, ...]


# As few words as will do, a blank at neither end: however many blanks follow, they are tried once.
_WORDS: Final = r"\S(?:.*?\S)??"
_IN_WINGS: Final = r"(?P<wings>\s+in\s+wings(?:\s+(?P<layer>[0-9]+))?)?"


def _row(pattern: str, read: Callable[[re.Match[str], Reader], Claim], *forms: Form) -> ClaimForms:
    return ClaimForms(re.compile(pattern), read, forms)


CLAIMS: Final = (
    _row(
        r"solved(?:\s+except(?P<places>\s.*|))?",
        solved.read_solved,
        Form("solved", "every face shows one colour, however the cube is held"),
        Form("solved except PLACES", "every sticker outside the places shows its face's colour"),
    ),
    _row(
        rf"paired\s+(?P<least>at\s+least\s+)?(?P<what>{_WORDS}){_IN_WINGS}",
        edges.read_paired,
        Form("paired NUMBER", "exactly so many of the twelve edges are complete: all their pieces "
             "show the same two colours, each on one side"),
        Form("paired at least NUMBER", "so many or more are complete"),
        Form("paired all", "all twelve are complete"),
        Form("paired EDGES", "those edges are complete; `edge WO` is complete where its pieces "
             "are together on one edge"),
        Form("paired ... in wings NUMBER", "the same for one orbit of wings: both wings agree with "
             "the middle piece (odd N) or with each other (even N)"),
    ),
    _row(
        r"still\s+paired" + _IN_WINGS,
        edges.read_still_paired,
        Form("still paired", "every edge complete before the moves is complete after them, "
             "wherever it went; it is known by its colours"),
        Form("still paired in wings NUMBER", "the same for one orbit of wings"),
    ),
    _row(
        r"joined(?P<places>\s.*)",
        edges.read_joined,
        Form("joined PIECES", "these pieces of one edge show the same two colours, each on one "
             "side"),
    ),
    _row(
        r"(?P<how>alike|unlike)(?P<places>\s.*)",
        stickers.read_alike,
        Form("alike STICKERS", "these stickers show the same colour"),
        Form("unlike STICKER STICKER", "these two show different colours"),
    ),
    _row(
        rf"(?P<start>{_WORDS})\s+goes\s+to\s+(?P<goal>\S.*)",
        motion.read_goes_to,
        Form("STICKER goes to STICKER", "the moves carry the sticker at the one place to the "
             "other, in space"),
    ),
    _row(
        r"kept(?P<places>\s.*)",
        stickers.read_kept,
        Form("kept PLACES", "those stickers show what they showed before the moves; rotations in "
             "the moves are undone first"),
    ),
    _row(
        rf"only\s+(?P<places>{_WORDS})\s+changed",
        stickers.read_only,
        Form("only PLACES changed", "no sticker outside the places shows anything else than "
             "before the moves; rotations in the moves are undone first"),
    ),
    _row(
        r"cycles(?P<cycles>(?:\s|\().*)",
        motion.read_cycles,
        Form("cycles (PIECES)(PIECES)", "the moves carry these stickers so, in space, and no other "
             "corner or edge piece moves or turns in place; whole edges travel with all their "
             "pieces; centre pieces count only when one is named, then all of them"),
    ),
    _row(
        rf"parity\s+(?P<what>{_WORDS})\s+(?P<how>odd|even)",
        parity.read_parity,
        Form("parity wings NUMBER odd", "the permutation of that orbit's pieces, from solved to "
             "this position, is odd (or `even`); the number may be left out where there is one "
             "orbit"),
        Form("parity corners odd", "the same for the corners"),
        Form("parity middles odd", "the same for the middle pieces, counted with the fixed centres "
             "turned home"),
        Form("parity edges odd", "the same for the twelve edges as wholes, where all are paired"),
    ),
    _row(
        r"3x3\s+stage\s+(?P<how>possible|impossible)",
        edges.read_stage,
        Form("3x3 stage possible", "centres are finished, all edges are paired, and outer turns "
             "alone can solve the rest"),
        Form("3x3 stage impossible", "the same, and outer turns alone cannot"),
    ),
    _row(
        r"turns\s+(?P<count>\S+)(?:\s+(?P<metric>\S+))?",
        moves.read_turns,
        Form("turns NUMBER METRIC", "the moves are that long; without a metric, in the site's"),
    ),
    _row(
        r"order\s+(?P<count>\S+)",
        moves.read_order,
        Form("order NUMBER", "repeated that often from solved, and no less, the moves bring back "
             "the solved picture, as it stood"),
    ),
    _row(
        r"same\s+as(?P<moves>\s.*)",
        moves.read_same_as,
        Form("same as MOVES", "these other moves, from the same position, end in the same picture"),
    ),
    _row(
        rf"(?P<places>{_WORDS})\s+solved",
        solved.read_part_solved,
        Form("PLACES solved", "every sticker of the class, layer, side or place shows its face's "
             "colour; `centres solved` on even N: some way of holding the solved cube shows these "
             "colours there"),
    ),
)  # fmt: skip

PREFIXES: Final = (
    Form("not CLAIM", "the claim makes sense and does not hold"),
    Form("at first CLAIM", "the claim holds before the moves"),
    Form("after line NUMBER CLAIM", "the claim holds after that phrase of `moves`"),
)

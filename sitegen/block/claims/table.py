"""CLAIMS: every form a claim can have, and how a line of `check` is read."""

from __future__ import annotations

import re
from functools import partial
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.block.claims import edges, motion, parity, solved, stickers
from sitegen.block.claims.claim import Claim, Reader, Stated, bad_check, is_number
from sitegen.block.claims.other_words import TO, reworded
from sitegen.problem import Wrong
from sitegen.wording import meant

if TYPE_CHECKING:
    from collections.abc import Callable


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
        motion.read_turns,
        Form("turns NUMBER METRIC", "the moves are that long; without a metric, in the site's"),
    ),
    _row(
        r"order\s+(?P<count>\S+)",
        motion.read_order,
        Form("order NUMBER", "repeated that often from solved, and no less, the moves bring back "
             "the solved picture, as it stood"),
    ),
    _row(
        r"same\s+as(?P<moves>\s.*)",
        motion.read_same_as,
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

MOST_CLAIMS: Final = 500
"""How many claims a block may state."""

_PREFIX: Final = re.compile(r"\s*(?:(not)|(at\s+first)|after\s+line\s+(\S*[^\s:,]))(?:\s+|$)")


def read_claims(text: str, phrases: int | None, reader: Reader) -> tuple[Stated, ...]:
    """Read the value of `check`, a claim a line.

    Args:
        text: the value.
        phrases: how many phrases the block's moves have; None where nobody knows.
        reader: the cube and its names; its `faults` and `spacings` are filled, their places counted
            in the value: `bad-check` for every line that is no claim, and what is wrong with moves
            in it; `limit` where there are too many of them, or the moves in all of them come to
            too much.
    """
    faults = reader.faults
    claims: list[Stated] = []
    place = total = 0
    for line in text.split("\n"):
        stripped = line.strip()
        start = place + line.find(stripped)
        place += len(line) + 1
        if not stripped:
            continue
        if len(claims) == MOST_CLAIMS:
            message = f"at most {MOST_CLAIMS} claims are judged in one block"
            faults.append(Wrong("limit", message, start, start + len(stripped)))
            break
        try:
            stated = _read_stated(stripped, start, phrases, reader)
        except Wrong as wrong:
            if wrong.rule == "bad-check":  # the claim is what is pointed at, whatever part is wrong
                hint = "; comments stand among moves alone" if "//" in stripped else ""
                wrong = Wrong("bad-check", wrong.message + hint, 0, len(stripped))
            faults.append(wrong.moved(start))
            continue
        total += stated.claim.length
        if total > reader.setting.most:
            message = (
                f"all `same as` come to {total:,} turns; at most {reader.setting.most:,} are "
                "replayed"
            )
            faults.append(Wrong("limit", message, start, start + len(stripped)))
            break
        claims.append(stated)
    return tuple(claims)


def _read_stated(line: str, start: int, phrases: int | None, reader: Reader) -> Stated:
    rest, negated, when = _prefixes(line, phrases)
    body = line[rest:]
    if not body:
        raise bad_check("a claim is missing here")
    own = reader.apart()
    try:
        claim = read_claim(body, own, line[:rest])
    except Wrong as wrong:
        raise wrong.moved(rest) from None
    finally:
        reader.faults.extend(wrong.moved(start + rest) for wrong in own.faults)
        reader.spacings.extend(spacing.moved(start + rest) for spacing in own.spacings)
    if when:
        _ask_moment(claim, *when)
    return Stated(line, start, start + len(line), body, claim, when and when[0], negated)


def _prefixes(line: str, phrases: int | None) -> tuple[int, bool, tuple[int, str] | None]:
    """Where the claim itself begins, whether it is denied, and the line it is judged after.

    That line is given with what names it; None where nothing does.
    """
    rest, negated, when = 0, False, None
    while found := _PREFIX.match(line, rest):
        if found[1]:
            negated = not negated
        else:
            prefix = found[0].strip()
            if when is not None:
                both = f"`{when[1]}` and `{prefix}`"
                raise bad_check(
                    f"{both} each name a moment; a claim is judged at one: take one out"
                )
            when = 0 if found[2] else _line_number(found, phrases), prefix
        rest = found.end()
    return rest, negated, when


def _ask_moment(claim: Claim, line: int, prefix: str) -> None:
    """Complain of a claim that is not judged at one moment alone, or not at the first."""
    if claim.about == "moves" or (claim.about == "change" and line == 0):
        speaks = "the moves as a whole" if claim.about == "moves" else "before and after the moves"
        raise bad_check(f"`{prefix}` means nothing here: the claim speaks of {speaks}")


def _line_number(found: re.Match[str], phrases: int | None) -> int:
    number = found[3]
    line = int(number) if is_number(number) and len(number) < 9 else 0
    if line and (phrases is None or line <= phrases):
        return line
    if phrases is None:
        raise bad_check(f"`{number}` is no line of the moves; they are counted from 1")
    lines = "1 line" if phrases == 1 else f"{phrases or 'no'} lines"
    hint = "; a comment alone on its line is not counted" if line else ""
    raise bad_check(f"the moves have {lines}, and `{number}` is none of them{hint}")


_MARKS: Final = re.compile(r"(?:[-*+]\s+)+")
"""What begins the items of a list."""

_AND: Final = re.compile(r",?\s+(?:and|&)\s+|\s*[,;]\s*")
_EXCEPT: Final = re.compile(r"(?!solved\b).*\bexcept\b")
_NO_EXCEPT: Final = (
    "`except` stands in `solved except PLACES` alone, of the whole cube; elsewhere name the places "
    "that are meant"
)


_CENTRES: Final = "`centres` is spelt so here"


def read_claim(line: str, reader: Reader, before: str) -> Claim:
    """Read a claim without what may stand before it.

    Args:
        line: the claim.
        reader: the cube and its names.
        before: what stands before it, `not ` say, and stays there in what is offered.

    Raises:
        Wrong: with its place in the line.
    """
    if "center" in line and (ours := _with_centres(line)) != line:
        is_claim = partial(_is_claim, reader, before)
        if offer := ours if is_claim(ours) else reworded(ours, is_claim):
            raise bad_check(f"{_CENTRES}; write `{before}{offer}`")
    try:
        claim = _read_form(line, reader)
    except Wrong as wrong:
        if wrong.rule != "bad-check":
            raise
        raise bad_check(_instead(line, reader, before) or wrong.message) from None
    if claim is None:
        raise bad_check(_instead(line, reader, before) or _no_claim(line, reader, before))
    return claim


def _with_centres(line: str) -> str:
    return re.sub(r"\bcenters?\b", "centres", line)


def _instead(line: str, reader: Reader, before: str) -> str:
    """What to write instead of a line that is no claim; "" where that cannot be told."""
    is_claim = partial(_is_claim, reader, before)
    several = _AND.split(_MARKS.sub("", line))
    if len(several) > 1 and all(map(is_claim, several)):
        claims = ", ".join(f"`{before}{claim}`" for claim in several)
        return f"a line holds one claim; write each on a line of its own: {claims}"
    if offer := reworded(line, is_claim):
        return f"this is no claim; write `{before}{offer}`"
    if before and (offer := reworded(line, partial(_is_claim, reader, ""))):
        return f"this is no claim; write `{offer}`, with no moment before it"
    if _EXCEPT.match(line):
        return _NO_EXCEPT
    return _words_amiss(line, reader, before)


def _words_amiss(line: str, reader: Reader, before: str) -> str:
    """What is wrong with an item of a list, or with other words for `goes to`, `centres`; or ""."""
    if marks := _MARKS.match(line):
        ours = line[marks.end() :]
        first = f"no `{marks[0].strip()}` stands before a claim; without it"
    elif arrow := re.fullmatch(TO, line):
        ours = f"{arrow[1]} goes to {arrow[2]}"
        first = "`goes to` stands between two stickers; with it"
    else:
        ours = _with_centres(line)
        first = f"{_CENTRES}; with it"
    if ours == line:
        return ""
    try:
        read_claim(ours, reader.apart(), before)
    except Wrong as wrong:
        return f"{first}: {wrong.message}"
    return f"{first}, this is one"


def _read_form(line: str, reader: Reader) -> Claim | None:
    """The claim, or None where a line looks like no form of any."""
    found = ((row, row.pattern.fullmatch(line)) for row in CLAIMS)
    return next((row.read(match, reader) for row, match in found if match), None)


def _is_claim(reader: Reader, before: str, line: str) -> bool:
    text = before + line
    try:
        rest, _, when = _prefixes(text, None)
        claim = _read_form(text[rest:], reader.apart())
        if claim and when:
            _ask_moment(claim, *when)
    except Wrong:
        return False
    return claim is not None


def _no_claim(line: str, reader: Reader, before: str) -> str:
    """What claims there are, for a line that looks like no form of any."""
    first, _, rest = line.partition(" ")
    shapes = [form.shape for row in CLAIMS for form in row.forms]
    starts = dict.fromkeys(word for shape in shapes if (word := shape.split()[0]).islower())
    if first not in starts:
        near = meant(first, starts)
        text = f"{near} {rest}".strip()
        if near and _is_claim(reader, before, text):
            return f"this is no claim; did you mean `{before}{text}`?"
        listed = ", ".join(f"`{word}`" for word in starts)
        named = ", ".join(f"`{shape}`" for shape in shapes if shape.split()[0].isupper())
        return f"this is no claim; claims begin with {listed}, or with what they speak of: {named}"
    listed = ", ".join(f"`{shape}`" for shape in shapes if shape.split()[0] == first)
    return f"this is no claim; `{first}` stands in {listed}"

"""The lines of `check`: each read as a claim, or told what it was probably meant to be."""

from __future__ import annotations

import re
from functools import partial
from typing import TYPE_CHECKING, Final

from sitegen.block.claims.claim import Stated, bad_check, is_number
from sitegen.block.claims.other_words import GOES_TO, reworded
from sitegen.block.claims.table import CLAIMS
from sitegen.cube.address import looks_like_address
from sitegen.notation.read import read_moves
from sitegen.problem import Wrong
from sitegen.wording import meant

if TYPE_CHECKING:
    from sitegen.block.claims.claim import Claim, Reader

MOST_CLAIMS: Final = 500
"""How many claims a block may state."""

_COMMENT: Final = re.compile(r"//|\s#\s")
_PREFIX: Final = re.compile(r"\s*(?:(not)|(at\s+first)|after\s+line\s+(\S*[^\s:,]))(?:\s+|$)")

_MARKS: Final = re.compile(r"(?:[-*+]\s+)+")
"""What begins the items of a list."""

_AND: Final = re.compile(r",?\s+(?:and|&)\s+|\s*[,;]\s*")
_EXCEPT: Final = re.compile(r"(?!solved\b).*\bexcept\b")
_NO_EXCEPT: Final = (
    "`except` stands in `solved except PLACES` alone, of the whole cube; elsewhere name the places "
    "that are meant"
)

_CENTRES: Final = "`centres` is spelt so here"


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
                hint = "; comments stand among moves alone" if _COMMENT.search(stripped) else ""
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
        claim = _read_claim(body, own, line[:rest])
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


def _read_claim(line: str, reader: Reader, before: str) -> Claim:
    """Read a claim without what may stand before it.

    Args:
        line: the claim.
        reader: the cube and its names.
        before: what stands before it, `not ` say, and stays there in what is offered.

    Raises:
        Wrong: with its place in the line.
    """
    if "center" in line and (ours := _with_centres(line)) != line:
        is_claim = partial(reads_as_claim, reader, before)
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
    is_claim = partial(reads_as_claim, reader, before)
    several = _AND.split(_MARKS.sub("", line).strip("[]"))
    if len(several) > 1 and all(map(is_claim, several)):
        claims = ", ".join(f"`{before}{claim}`" for claim in several)
        return f"a line holds one claim; write each on a line of its own: {claims}"
    if offer := reworded(line, is_claim):
        return f"this is no claim; write `{before}{offer}`"
    if before and (offer := reworded(line, partial(reads_as_claim, reader, ""))):
        return f"this is no claim; write `{offer}`, with no moment before it"
    if _EXCEPT.match(line):
        return _NO_EXCEPT
    return _words_amiss(line, reader, before)


def _words_amiss(line: str, reader: Reader, before: str) -> str:
    """What is wrong with an item of a list, or with other words for `goes to`, `centres`; or ""."""
    if marks := _MARKS.match(line):
        ours = line[marks.end() :]
        first = f"no `{marks[0].strip()}` stands before a claim; without it"
    elif arrow := re.fullmatch(GOES_TO, line):
        ours = f"{arrow[1]} goes to {arrow[2]}"
        first = "`goes to` stands between two stickers; with it"
    else:
        ours = _with_centres(line)
        first = f"{_CENTRES}; with it"
    if ours == line:
        return ""
    try:
        _read_claim(ours, reader.apart(), before)
    except Wrong as wrong:
        return f"{first}: {wrong.message}"
    return f"{first}, this is one"


def _read_form(line: str, reader: Reader) -> Claim | None:
    """The claim, or None where a line looks like no form of any."""
    found = ((row, row.pattern.fullmatch(line)) for row in CLAIMS)
    return next((row.read(match, reader) for row, match in found if match), None)


def reads_as_claim(reader: Reader, before: str, line: str) -> bool:
    """Whether a line, with what may stand before it, is a claim."""
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
        if _are_moves(line):
            return "this is no claim but moves, which stand below `moves:`"
        near = meant(first, starts)
        text = f"{near} {rest}".strip()
        if near and reads_as_claim(reader, before, text):
            return f"this is no claim; did you mean `{before}{text}`?"
        first = next(filter(starts.__contains__, rest.split()), "")
    if not first:
        listed = ", ".join(f"`{word}`" for word in starts)
        named = ", ".join(f"`{shape}`" for shape in shapes if shape.split()[0].isupper())
        return f"this is no claim; claims begin with {listed}, or with what they speak of: {named}"
    listed = ", ".join(f"`{shape}`" for shape in shapes if first in shape.split())
    return f"this is no claim; `{first}` stands in {listed}"


def _are_moves(line: str) -> bool:
    """Whether a line reads as moves, and not as places."""
    faults: list[Wrong] = []
    moves = read_moves(line, faults)
    return (
        bool(moves.phrases)
        and not faults
        and not any(map(looks_like_address, re.findall(r"\w+", line)))
    )

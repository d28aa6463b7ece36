"""What was probably meant by what is nearly a turn."""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from sitegen.cube.turn import MIDDLES
from sitegen.notation.tree import FACE, LAYERED, PLAIN
from sitegen.problem import Wrong

_NO_TURN: Final = re.compile(r"\d+(?:-\d*)?'*|.")


class TurnParts(NamedTuple):
    """What stands in the place of a turn, taken apart.

    Attributes:
        text: all of it.
        pre: what stands before the letter: `3`, `2-4`, or "".
        letter: any letter.
        wide: `w`, `W` or "".
        digits: right after that.
        primes: after those.
        late: digits after the primes.
        start: offset of its first character.
        end: offset past its last.
    """

    text: str
    pre: str
    letter: str
    wide: str
    digits: str
    primes: str
    late: str
    start: int
    end: int


def nearly(parts: TurnParts) -> Wrong:
    """The error for what is no turn, with an offer where one can be guessed."""
    return Wrong("notation", _why(parts), parts.start, parts.end)


def _why(parts: TurnParts) -> str:
    if parts.letter in "wW":
        return "`w` stands right after its face: `Rw`"
    if parts.letter == "i":
        return f"`{parts.text}` is no turn; a turn back is written `R'`"
    count = parts.digits or parts.late
    # elsewhere `x3` and `3x` are three times
    often = parts.text.replace("x", "", 1) if parts.letter == "x" else ""
    is_count = often.isdecimal() and often.strip("0")
    times = f"; a group so often is `(R U){often}`" if is_count else ""
    is_known = parts.letter in f"{LAYERED}{PLAIN}mesXYZ"
    if is_known and count and _quarters(count) == 0:
        return f"`{parts.text}` turns nothing; take it out{times}"
    offers = [offer for offer in _offers(parts) if offer != parts.text] if is_known else []
    if offers:
        choice = " or ".join(f"`{offer}`" for offer in offers)
        return f"`{parts.text}` is no turn; probably {choice} was meant{_middles(parts)}{times}"
    letter = f": there is no `{parts.letter}`" if parts.letter != parts.text else ""
    turns = "turns are U D L R F B, the middle layers M E S and the rotations x y z"
    return f"`{parts.text}` is no turn{letter}; {turns}"


def _middles(parts: TurnParts) -> str:
    """What may be meant by a wide `M`, `E` or `S`, if there is a middle layer or none."""
    face = MIDDLES.get(parts.letter.upper()) if parts.wide else None
    if face is None:
        return ""
    turn = f"{face}{_amount(parts.digits or parts.late, parts.primes)}"
    return f", or the layers at the middle together: `2-3{turn}` on a 4x4, `2-4{turn}` on a 5x5"


def _offers(parts: TurnParts) -> list[str]:
    """What could be meant by a letter that turns something, or would in the other case."""
    pre = "-".join(sorted(parts.pre.split("-"), key=int)) if "-" in parts.pre else parts.pre
    letter, wide = parts.letter, "w" if parts.wide else ""
    amount = _amount(parts.digits or parts.late, parts.primes)
    if letter in FACE:
        if wide and "-" in pre:
            return [f"{pre}{letter}{amount}", f"{pre.split('-')[1]}{letter}w{amount}"]
        return [f"{pre}{letter}{wide}{amount}"]
    if letter in LAYERED:
        upper = letter.upper()
        if "-" in pre or wide:
            return [f"{pre}{upper}{wide if '-' not in pre else ''}{amount}"]
        if pre:
            return [f"{pre}{upper}{amount}", f"{pre}{upper}w{amount}"]
        return [f"{letter}{amount}"]
    proper = letter if letter in PLAIN else letter.swapcase()
    misplaced = pre if pre in ("2", "3") and not parts.digits else ""
    return [f"{proper}{_amount(misplaced, parts.primes) if misplaced else amount}"]


def _amount(digits: str, primes: str) -> str:
    """A count and primes as the turn they come to: `3` is a quarter turn back."""
    if not digits:
        return "'" if primes else ""
    quarters = _quarters(digits)
    if quarters == 2:
        return "2'" if primes else "2"
    return {1: "'" if primes else "", 3: "" if primes else "'"}[quarters]


def _quarters(digits: str) -> int:
    """The quarter turns that are left of so many: four are none."""
    return int(digits[-9:]) % 4


def no_turn(run: str, place: int) -> Wrong:
    """The error for digits, a prime or a hyphen where a turn should begin."""
    found = _NO_TURN.match(run, place)
    assert found  # noqa: S101 - the last branch takes any character
    what = found[0]
    if what == "'":
        message = "no turn stands before this prime; it follows right after one, `R'`"
    elif what == "-":
        message = "a hyphen stands only in a range of layers, `2-4R`; a turn back is written `R'`"
    else:
        message = (
            f"`{what}` has no face to turn; a layer's number stands before its face, `2R`, and a "
            "count right after a turn or a bracket, `R2`, `(R U)3`"
        )
    return Wrong("notation", message, place, place + len(what))

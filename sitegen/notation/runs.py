"""The turns in a run of letters, digits, primes and hyphens, written with no space between."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from sitegen.notation.meant import TurnParts, nearly, no_turn
from sitegen.notation.tree import FACE, LAYERED, PLAIN, Spacing, TurnWord, Written
from sitegen.problem import Wrong

LONGEST_KNOWN: Final = 40
"""Characters of the longest run that is remembered: the same turns come again and again."""

MOST_DIGITS: Final = 9
"""Digits of the largest count or layer that is read as a number at all."""

SUFFIX: Final = re.compile(r"(?P<count>\d*)(?P<prime>'*)(?P<late>\d*)")
"""What may stand after a turn or a bracket: a count, primes, and a count too late."""

NEXT: Final = re.compile(rf"\d*(?:-\d+)?[{LAYERED}]")
"""What a following turn of layers begins with."""

_NEXT_FACE: Final = re.compile(rf"\d*(?:-\d+)?[{FACE}]")
_TURN: Final = re.compile(r"(?P<pre>\d+(?:-\d+)?)?(?P<letter>[A-Za-z])(?P<wide>[wW]?)")
_FOLLOWS: Final = re.compile(r"[\d-]*[A-Z]w?")
_LATE_WIDE: Final = re.compile(r"(?P<number>[2-9]|[12]\d)w(?P<amount>2?'?)")


def split_run(run: str) -> tuple[tuple[Written, ...], tuple[Spacing, ...]]:
    """The turns in a run, and where it could be meant otherwise, places counted in the run.

    Raises:
        Wrong: `notation` or `limit`, for the first thing in it that is no turn.
    """
    return _known(run) if len(run) <= LONGEST_KNOWN else _split(run)


def _split(run: str) -> tuple[tuple[Written, ...], tuple[Spacing, ...]]:
    words: list[Written] = []
    spacings: list[Spacing] = []
    place = 0
    while place < len(run):
        parts, ambiguous = _parts(run, place)
        place = parts.end
        longest = max(map(len, (*parts.pre.split("-"), parts.digits)))
        if longest > MOST_DIGITS:
            what = f"a number of {longest} digits is no layer and no count"
            message = f"{what}; at most {MOST_DIGITS} digits are read"
            raise Wrong("limit", message, parts.start, parts.end)
        if not _is_turn(parts):
            raise nearly(parts)
        words.append(Written(_word(parts), parts.start, parts.end))
        if ambiguous:
            spacings.append(_spacing(run, words[-1]))
    return tuple(words), tuple(spacings)


_known: Final = lru_cache(maxsize=8192)(_split)


def _parts(run: str, place: int) -> tuple[TurnParts, bool]:
    """What stands at a place as one turn, and whether what follows could claim its 2.

    A 2 straight after a turn belongs to it; other digits there begin the turn that follows, if one
    does. After a prime nothing but a following turn can begin, so `R'2U` is `R' 2U`.
    """
    found = _TURN.match(run, place)
    if not found:
        raise no_turn(run, place)
    if wrong := _late_wide(run, found):
        raise wrong
    tail = SUFFIX.match(run, found.end())
    assert tail  # noqa: S101 - it matches the empty string
    digits, primes, late = tail["count"], tail["prime"], tail["late"]
    end, ambiguous = tail.end(), False
    if late and NEXT.match(run, tail.start("late")):
        end = tail.start("late")
        half_after_prime = not digits and primes == "'" and late == "2"
        ambiguous = half_after_prime and bool(_NEXT_FACE.match(run, end))
        late = ""
    elif digits and not primes and NEXT.match(run, end):
        ranged = run[end] == "-" and len(digits) == 1  # R2-4U: only a range can be meant
        ambiguous = digits == "2" and not ranged and bool(_NEXT_FACE.match(run, end))
        digits = "2" if digits[0] == "2" and not ranged else ""
        end = found.end() + len(digits)
    letters = found["pre"] or "", found["letter"], found["wide"]
    return TurnParts(run[place:end], *letters, digits, primes, late, place, end), ambiguous


def _late_wide(run: str, found: re.Match[str]) -> Wrong | None:
    """The error for a `w` after a number that stands behind its face: `R2w`, `R3w`."""
    late = _LATE_WIDE.match(run, found.end())
    if late is None or found["wide"] or found["letter"] not in FACE:
        return None
    turn, number, amount = found[0], late["number"], late["amount"]
    if number == "2":  # a half turn
        offer = f"{turn}w2{amount.lstrip('2')}"
    elif found["pre"]:
        return None
    else:
        offer = f"{number}{turn}w{amount}"
    start, end = found.start(), late.end()
    message = f"`{run[start:end]}` is no turn; probably `{offer}` was meant"
    return Wrong("notation", message, start, end)


def _is_turn(parts: TurnParts) -> bool:
    amount = parts.digits in ("", "2") and len(parts.primes) < 2 and not parts.late
    if parts.letter in FACE:
        layers = not parts.wide or (parts.wide == "w" and "-" not in parts.pre)
    else:
        layers = parts.letter in LAYERED + PLAIN and not parts.wide and not parts.pre
    return amount and layers


def _word(parts: TurnParts) -> TurnWord:
    first, _, last = parts.pre.partition("-")
    if parts.wide:
        first, last = "", first
    return TurnWord(
        parts.text,
        parts.letter,
        int(first) if first else None,
        int(last) if last else None,
        bool(parts.wide),
        2 if parts.digits else 3 if parts.primes else 1,
    )


def _spacing(run: str, written: Written) -> Spacing:
    follows = _FOLLOWS.match(run, written.end)
    assert follows  # noqa: S101 - it is ambiguous only before such a turn
    turn, text = follows[0], written.word.text
    after_prime = f"{text[:-1]}2' {turn.lstrip('2')}"  # R'2U
    other = f"{text[:-1]} 2{turn}" if text.endswith("2") else after_prime
    return Spacing(f"{text} {turn}", other, written.start, written.end + len(turn))

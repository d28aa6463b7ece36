"""Text to tree: moves as authors write them, with every problem found in one reading."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from sitegen.notation.tree import Group, Moves, Name, Node, Phrase, Spacing, Word, Written
from sitegen.problem import Wrong

DEEPEST: Final = 50
"""How deep brackets may stand in one another; more is refused, before anything recurses."""

LARGEST_COUNT: Final = 9
"""Digits of the largest count or layer that is read as a number at all."""

FACE: Final = "UDLRFB"
LAYERED: Final = FACE + FACE.lower()
PLAIN: Final = "MESxyz"

_PRIMES: Final = str.maketrans("’′´`", "''''")
_TOKEN: Final = re.compile(
    r"(?P<plain>[A-Za-z0-9' -]+)|(?P<line>\n)|(?P<comment>//[^\n]*)|(?P<space>[^\S\n]+)"
    r"|(?P<open>[(\[])|(?P<close>[)\]])|(?P<split>[,:])|(?P<name>\{[^}\n]*\}?)|(?P<other>.)"
)
_TURN: Final = re.compile(r"(?P<pre>\d+(?:-\d+)?)?(?P<letter>[A-Za-z])(?P<wide>[wW]?)")
_SUFFIX: Final = re.compile(r"(?P<count>\d*)(?P<prime>'*)(?P<late>\d*)")
_NEXT: Final = re.compile(rf"\d*(?:-\d+)?[{LAYERED}]")
_NEXT_FACE: Final = re.compile(rf"\d*(?:-\d+)?[{FACE}]")
_NAME: Final = re.compile(r"[A-Za-z0-9-]+")


def read_moves(text: str, faults: list[Wrong], spacings: list[Spacing] | None = None) -> Moves:
    """Read moves, one phrase a line.

    Args:
        text: any number of lines.
        faults: every problem found is put here; what is wrong is left out of the tree.
        spacings: readings that could be meant otherwise are put here.
    """
    return _Reader(text.translate(_PRIMES), faults, spacings).read()


class _Open:
    """A bracket not closed yet."""

    __slots__ = ("mark", "parts", "start")

    def __init__(self, mark: str, start: int) -> None:
        self.mark = mark
        self.start = start
        self.parts: list[list[Node]] = [[]]


class _Reader:
    def __init__(self, text: str, faults: list[Wrong], spacings: list[Spacing] | None) -> None:
        self.text = text
        self.faults = faults
        self.spacings = spacings
        self.phrases: list[Phrase] = []
        self.top: list[Node] = []
        self.nodes = self.top  # where the next node goes: the phrase, or the innermost bracket
        self.captions: list[str] = []
        self.opened: list[_Open] = []

    def fault(self, message: str, start: int, end: int, rule: str = "notation") -> None:
        self.faults.append(Wrong(rule, message, start, end))

    def read(self) -> Moves:
        place, text = 0, self.text
        while place < len(text):
            found = _TOKEN.match(text, place)
            assert found  # noqa: S101 - the last branch takes any character
            place = found.end()
            kind, piece = found.lastgroup, found[0]
            if kind == "plain":
                self.plain(piece, found.start())
            elif kind == "line":
                if not self.opened:
                    self.close_phrase()
            elif kind == "comment":
                self.captions.append(piece[2:].strip())
            elif kind == "open":
                self.open(piece, found.start())
            elif kind == "close":
                place = self.close(piece, found.start())
            elif kind == "split":
                self.split(piece, found.start())
            elif kind == "name":
                place = self.name(piece, found.start())
            elif kind == "other":
                self.fault(_strange(piece), found.start(), place)
        for left in self.opened:
            self.fault(f"this `{left.mark}` is never closed", left.start, left.start + 1)
        self.opened.clear()
        self.close_phrase()
        return Moves(tuple(self.phrases))

    def close_phrase(self) -> None:
        if self.top:
            caption = " ".join(filter(None, self.captions))
            start, end = self.top[0].start, self.top[-1].end
            self.phrases.append(Phrase(tuple(self.top), caption, start, end))
        self.top = self.nodes = []
        self.captions = []

    def plain(self, piece: str, start: int) -> None:
        """Read turns, spaced or not, with no bracket or sign among them."""
        nodes, end = self.nodes, start
        for run in piece.split(" "):
            start, end = end, end + len(run) + 1
            if not run:
                continue
            try:
                written, spacings = _split_run(run)
            except Wrong as wrong:
                self.faults.append(wrong.moved(start))
                continue
            for word, first, last in written:
                nodes.append(Written(word, start + first, start + last))
            if self.spacings is not None:
                self.spacings += [
                    s._replace(start=s.start + start, end=s.end + start) for s in spacings
                ]

    def open(self, mark: str, start: int) -> None:
        self.opened.append(_Open(mark, start))
        if len(self.opened) == DEEPEST + 1:
            self.fault(f"brackets stand more than {DEEPEST} deep here", start, start + 1, "limit")
        self.nodes = self.opened[-1].parts[0]

    def split(self, mark: str, start: int) -> None:
        if not self.opened or self.opened[-1].mark == "(":
            self.fault(
                f"`{mark}` stands only in square brackets: `[A, B]` is A B A' B', "
                "`[A: B]` is A B A'",
                start,
                start + 1,
            )
            return
        bracket = self.opened[-1]
        if len(bracket.parts) == 2:
            self.fault(
                f"a second `{mark}` in one bracket; put brackets inside: `[A, [B, C]]`",
                start,
                start + 1,
            )
            return
        bracket.mark = mark
        bracket.parts.append([])
        self.nodes = bracket.parts[-1]

    def close(self, mark: str, start: int) -> int:
        """Close the innermost bracket; the place after its count and prime."""
        if not self.opened:
            self.fault(f"this `{mark}` closes nothing", start, start + 1)
            return self.suffix(start + 1, start)[0]
        bracket = self.opened.pop()
        self.nodes = self.opened[-1].parts[-1] if self.opened else self.top
        place, count, undone = self.suffix(start + 1, bracket.start)
        wanted = ")" if bracket.mark == "(" else "]"
        whole = bracket.start, start + 1
        if mark != wanted:
            opener = self.text[bracket.start]
            self.fault(f"`{opener}` is closed by `{mark}`; it needs `{wanted}`", start, start + 1)
        elif bracket.mark == "[":
            inside = self.text[bracket.start + 1 : start].strip()
            offer = f": `({inside})`" if inside else ""
            self.fault(
                f"`[...]` needs two halves, `[A, B]` or `[A: B]`; a plain group is round{offer}",
                *whole,
            )
        elif not all(bracket.parts):
            if len(self.opened) < DEEPEST and not self.faulty_in(*whole):
                empty = "an empty group `()` turns nothing; take it out"
                half = "one half of this bracket is empty"
                self.fault(empty if bracket.mark == "(" else half, *whole)
        elif len(self.opened) < DEEPEST and count:
            parts = tuple(map(tuple, bracket.parts))
            self.nodes.append(Group(bracket.mark, parts, count, undone, bracket.start, place))
        return place

    def faulty_in(self, start: int, end: int) -> bool:
        """Whether something inside has been complained of already."""
        return any(start <= fault.start < end for fault in self.faults)

    def suffix(self, place: int, opened: int) -> tuple[int, int, bool]:
        """Read the count and prime that belong to what was opened and has just been closed.

        Returns:
            The place after them; the count, 0 where it is wrong; whether there is a prime.
        """
        what = self.text[opened:place]
        found = _SUFFIX.match(self.text, place)
        assert found  # noqa: S101 - it matches the empty string
        digits, primes, late = found["count"], found["prime"], found["late"]
        after = self.text[found.end() : found.end() + 8]
        shown = what if len(what) <= 24 else f"{what[0]}...{what[-1]}"
        if digits and not primes and re.match(r"-\d+[" + LAYERED + "]", after):
            return place, 1, False  # `(R U)3-4F`: a range of the turn that follows
        if late and _NEXT.match(self.text, found.start("late")):
            late = ""  # `(R U)'2F`: nothing but a turn can begin there
        end = found.end() - len(found["late"]) + len(late)
        if late or len(primes) > 1:
            count = digits or late
            self.fault(f"count before prime: `{shown}{count}'`", opened, end)
            return end, 0, False
        if len(digits) > LARGEST_COUNT:
            self.fault(f"a count of {len(digits)} digits", opened, end, "limit")
            return end, 0, False
        if digits and int(digits) == 0:
            self.fault(f"a count of 0 turns nothing; take `{shown}` out", opened, end)
            return end, 0, False
        follows = re.match(rf"[{FACE}]w?", after)
        if digits and not primes and follows and self.spacings is not None:
            turn = follows[0]
            self.spacings.append(
                Spacing(
                    f"{shown}{digits} {turn}", f"{shown} {digits}{turn}", place, end + len(turn)
                )
            )
        return end, int(digits or 1), bool(primes)

    def name(self, piece: str, start: int) -> int:
        """Read `{name}`; the place after its count and prime."""
        end = start + len(piece)
        if not piece.endswith("}"):
            self.fault("this `{` is never closed", start, start + 1)
            return end
        place, count, undone = self.suffix(end, start)
        name = piece[1:-1].strip()
        if not _NAME.fullmatch(name):
            self.fault(
                f"`{piece}` names no sequence; names are letters, digits and hyphens", start, end
            )
        elif count:
            self.nodes.append(Name(name, count, undone, start, place))
        return place


def _strange(piece: str) -> str:
    if piece == "}":
        return "this `}` closes nothing"
    if piece == "/":
        return "a comment begins with two strokes: `//`"
    if piece == "|" or piece == ";":
        return f"`{piece}` is no part of moves; a new line begins a new phrase"
    shown = piece if piece.isprintable() else f"U+{ord(piece):04X}"
    return f"`{shown}` is no part of moves"


@lru_cache(maxsize=8192)
def _split_run(run: str) -> tuple[tuple[Written, ...], tuple[Spacing, ...]]:
    """The turns in a run of letters, digits, primes and hyphens, places counted in the run.

    Raises:
        Wrong: `notation`, for the first thing in it that is no turn.
    """
    words: list[Written] = []
    spacings: list[Spacing] = []
    place = 0
    while place < len(run):
        written, ambiguous = _one_turn(run, place)
        words.append(written)
        place = written.end
        if ambiguous:
            spacings.append(_spacing(run, written))
    return tuple(words), tuple(spacings)


def _spacing(run: str, written: Written) -> Spacing:
    follows = re.match(r"[\d-]*[A-Z]w?", run[written.end :])
    assert follows  # noqa: S101 - it is ambiguous only before such a turn
    turn, text = follows[0], written.word.text
    if text.endswith("2"):
        read, other = f"{text} {turn}", f"{text[:-1]} 2{turn}"
    else:  # R'2U, R2-4U
        read, other = f"{text} {turn}", f"{_doubled(text)} {turn.lstrip('0123456789-')}"
    return Spacing(read, other, written.start, written.end + len(turn))


def _doubled(text: str) -> str:
    return text.removesuffix("'") + ("2'" if text.endswith("'") else "2")


def _one_turn(run: str, place: int) -> tuple[Written, bool]:
    """The turn at a place, and whether what follows it could claim its 2, or the other way."""
    found = _TURN.match(run, place)
    if not found:
        raise _no_turn(run, place)
    late_wide = re.match(r"2w(2?'?)", run[found.end() :]) if not found["wide"] else None
    if late_wide and found["letter"] in FACE:
        end = found.end() + late_wide.end()
        offer = f"{found[0]}w2{late_wide[1].lstrip('2')}"
        raise Wrong(
            "notation", f"`{run[place:end]}` is no turn; probably `{offer}` was meant", place, end
        )
    pre, letter, wide = found["pre"], found["letter"], found["wide"]
    tail = _SUFFIX.match(run, found.end())
    assert tail  # noqa: S101 - it matches the empty string
    digits, primes, late = tail["count"], tail["prime"], tail["late"]
    end, ambiguous = tail.end(), False
    if late and _NEXT.match(run, tail.start("late")):
        end = tail.start("late")
        ambiguous = primes == "'" and late == "2" and bool(_NEXT_FACE.match(run, end))
        late = ""
    elif digits and not primes and _NEXT.match(run, end):
        ambiguous = digits == "2" and bool(_NEXT_FACE.match(run, end))
        ranged = run[end] == "-" and len(digits) == 1  # R2-4U: only a range can be meant
        own = "2" if digits[0] == "2" and not ranged else ""
        end, digits = found.end() + len(own), own
    text = run[place:end]
    if (
        digits in ("", "2")
        and len(primes) < 2
        and not late
        and wide != "W"
        and len(pre or "") <= 2 * LARGEST_COUNT
        and (
            (letter in FACE and not (wide and pre and "-" in pre))
            or (letter in LAYERED and not wide and not pre)
            or (letter in PLAIN and not wide and not pre)
        )
    ):
        first, last = _numbers(pre, bool(wide))
        quarters = 2 if digits else 3 if primes else 1
        word = Word(text, letter, first, last, bool(wide), quarters)
        return Written(word, place, end), ambiguous
    raise _nearly(text, pre or "", letter, wide, digits, primes, late, place, end)


def _numbers(pre: str | None, wide: bool) -> tuple[int | None, int | None]:
    if not pre:
        return None, None
    first, _, last = pre.partition("-")
    if wide:
        return None, int(first)
    return int(first), int(last) if last else None


def _nearly(  # noqa: PLR0913 - the parts of what was written
    text: str,
    pre: str,
    letter: str,
    wide: str,
    digits: str,
    primes: str,
    late: str,
    start: int,
    end: int,
) -> Wrong:
    """What is nearly a turn, with what was probably meant."""
    if len(pre) > 2 * LARGEST_COUNT or len(digits) > LARGEST_COUNT:
        return Wrong("limit", "a number of that many digits is no layer and no count", start, end)
    amount = _amount(digits or late, primes)
    offers: list[str] = []
    upper = letter.upper()
    wide = "w" if wide else ""
    if letter in FACE:
        if wide and "-" in pre:
            offers = [f"{pre}{letter}{amount}", f"{pre.split('-')[1]}{letter}w{amount}"]
        else:
            offers = [f"{pre}{letter}{wide}{amount}"]
    elif letter in LAYERED:
        if pre and "-" in pre:
            offers = [f"{pre}{upper}{amount}"]
        elif pre and not wide:
            offers = [f"{pre}{upper}{amount}", f"{pre}{upper}w{amount}"]
        else:
            offers = [f"{pre}{upper}w{amount}" if wide else f"{letter}{amount}"]
    elif letter in PLAIN or letter in "mesXYZ":
        proper = letter if letter in PLAIN else letter.swapcase()
        if not amount and pre in ("2", "3"):
            amount = _amount(pre, "")
        offers = [f"{proper}{amount}"]
    elif letter in "wW":
        return Wrong("notation", "`w` stands right after its face: `Rw`", start, end)
    if not offers or offers == [text]:
        return Wrong("notation", _unknown(text, letter), start, end)
    choice = " or ".join(f"`{offer}`" for offer in offers)
    return Wrong("notation", f"`{text}` is no turn; probably {choice} was meant", start, end)


def _amount(digits: str, primes: str) -> str:
    """A count and primes as the turn they come to: `3` is a quarter turn back."""
    if not digits:
        return "'" if primes else ""
    quarters = int(digits) % 4
    if quarters == 2:
        return "2'" if primes else "2"
    return {0: "2", 1: "'" if primes else "", 3: "" if primes else "'"}[quarters]


def _unknown(text: str, letter: str) -> str:
    return (
        f"`{text}` is no turn: there is no `{letter}`; turns are U D L R F B, "
        "the middle layers M E S and the rotations x y z"
    )


def _no_turn(run: str, place: int) -> Wrong:
    rest = run[place:]
    if rest[0] == "'":
        return Wrong("notation", "a prime with no turn before it", place, place + 1)
    if rest[0] == "-":
        return Wrong(
            "notation", "a hyphen stands only in a range of layers: `2-4R`", place, place + 1
        )
    number = re.match(r"\d+(?:-\d*)?'*", rest)
    length = number.end() if number else 1
    return Wrong(
        "notation",
        f"`{rest[:length]}` has no face to turn; a layer's number stands before its face, `2R`, "
        "and a count right after a turn or a bracket, `R2`, `(R U)3`",
        place,
        place + length,
    )

"""Text to tree: moves as authors write them, with every problem found in one reading."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final

from sitegen.notation.runs import MOST_DIGITS, NEXT, SUFFIX, split_run
from sitegen.notation.tree import (
    FACE,
    LAYERED,
    PLAIN,
    Group,
    MoveTree,
    Name,
    Node,
    PhraseTree,
    Spacing,
    new_written,
)
from sitegen.problem import Wrong
from sitegen.wording import QUOTES, in_plain_signs

if TYPE_CHECKING:
    from collections.abc import Callable, Container, Iterable

DEEPEST: Final = 50
"""How deep brackets may stand in one another; more is refused, before anything recurses."""

COMMENT_LIKE: Final = "/#–—"
"""Signs that are no part of moves, and that a comment begins with elsewhere."""

FIRST_LETTERS: Final = 3
"""Among so many letters of a word of plain language one is that no turn has: our own guess."""

_PRIMES: Final = str.maketrans("’′´`", "''''")
_COMMENT: Final = re.compile(r"//[^\n]*")
_MAYBE_ODD: Final = re.compile(r"//[^\n]*|⁻\w*|[^\W_]+|[^\x00-\x7f]")
_LIKE_TURNS: Final = re.compile(rf"\d+|(?:\d*[{LAYERED}{PLAIN}]w?\d*)+|\W")
"""What words, and signs, of another script that look like ours can be read as among moves."""

_DASH: Final = re.compile(rf"(?<=\d)[\u2010-\u2015\u2212](?=\d{{1,6}}[{LAYERED}])")
"""What word processors make of the hyphen of a range."""

_TOKEN: Final = re.compile(
    r"(?P<plain>[A-Za-z0-9' -]+)|(?P<line>\n)|(?P<comment>//[^\n]*)|(?P<space>[^\S\n]+)"
    r"|(?P<open>[(\[])|(?P<close>[)\]])|(?P<split>[,:])|(?P<name>\{[^}\n]*\}?)"
    r"|(?P<power>[*^×·] ?(?:[-\u2010-\u2015\u2212]?\d+(?![A-Za-z])|[-'])|⁻\w*)"
    r"|(?P<entity>&#?\w{1,8};|%[0-9A-F]{2}|</?[A-Za-z]{1,8} ?/?>|\\')|(?P<other>.)"
)
_ITEM: Final = re.compile(
    r"[^\S\n]*(\d{1,3}[.):]|[-*+•‣◦▪·–—✓✔✅])(?=\s+[(\[{\d]|\s+[A-Za-z](?![a-vx-z]))"
)
"""What begins the items of a list, before turns."""

_ROUND_IN_SQUARE: Final = re.compile(r"\[[^\S\n]*\(([^()\[\]\n]*)\)[^\S\n]*\]")
_NAME: Final = re.compile(r"[A-Za-z0-9-]+")
_RANGE: Final = re.compile(rf"-\d{{1,6}}[{LAYERED}]")
_COUNT_OR_LAYER: Final = re.compile(rf"(?:(?P<count>\d+)|'2)(?P<turn>[{FACE}]w?)")
"""A number between a bracket and a turn: `(R U)2F`, `(R U)'2F`."""
_IN_BACKTICKS: Final = re.compile(r"^([^\S\n]*)(`+)([^`\n]*)\2(?=[^\S\n]*$)", re.MULTILINE)
_ENGLISH: Final = re.compile(r"[A-Za-z][a-z]{2,}")
_ANY_LANGUAGE: Final = re.compile(r"[^\W\d_]{3,}")


def read_moves(
    text: str,
    faults: list[Wrong],
    spacings: list[Spacing] | None = None,
    names: Container[str] = (),
) -> MoveTree:
    """Read moves, one phrase a line.

    Args:
        text: any number of lines.
        faults: every problem found is put here; what is wrong is left out of the tree.
        spacings: readings that could be meant otherwise are put here.
        names: those of the named sequences, which may have lost their braces.
    """
    return _Reader(text, faults, spacings, names).read()


def unclear(spacings: Iterable[Spacing], n: int) -> list[Wrong]:
    """Warnings for a 2 that could belong to either side.

    A 3x3 has no `2U` that anyone writes: there `R2U` is clear, and `R'2U` hardly what was meant.
    """
    return [
        Wrong(
            "spacing",
            f"read as `{s.read}`; `{s.other}` could be meant too: space it as you mean it",
            s.start,
            s.end,
        )
        for s in spacings
        if n >= 4 or s.read.split()[-1].startswith("2")
    ]


class _Open:
    """A bracket not closed yet."""

    __slots__ = ("faults", "is_told", "mark", "parts", "start")

    def __init__(self, mark: str, start: int, faults: int) -> None:
        self.mark = mark
        self.start = start
        self.faults = faults  # how many there were when it was opened
        self.is_told = False  # what is wrong with it, by what is told of a bracket in it
        self.parts: list[list[Node]] = [[]]


class _Reader:
    def __init__(
        self,
        text: str,
        faults: list[Wrong],
        spacings: list[Spacing] | None,
        names: Container[str],
    ) -> None:
        self.written = text
        self.faults = faults
        self.spacings = spacings
        self.names = names
        self.phrases: list[PhraseTree] = []
        self.top: list[Node] = []
        self.nodes = self.top  # where the next node goes: the phrase, or the innermost bracket
        self.captions: list[str] = []
        self.opened: list[_Open] = []
        self.told: set[str] = set()  # of signs that are no part of moves, in this line
        self.odd: dict[int, Wrong] = {}  # of signs that look like ours, where nothing else is told
        self.cut_at = 0  # where a line was last left unread, with brackets open
        self.text = _IN_BACKTICKS.sub(self.without_backticks, text).translate(_PRIMES)

    def fault(self, message: str, start: int, end: int, rule: str = "notation") -> None:
        self.odd.pop(start, None)  # what is told of a sign says as well which one it is
        self.faults.append(Wrong(rule, message, start, end))

    def read(self) -> MoveTree:
        # each takes what was found and its place, and gives back the place to go on at
        take: dict[str, Callable[[str, int], int]] = {
            "plain": self.plain,
            "space": self.space,
            "line": self.line,
            "comment": self.comment,
            "open": self.open,
            "close": self.close,
            "split": self.split,
            "name": self.name,
            "power": self.power,
            "entity": self.entity,
            "other": self.other,
        }
        text = self.text
        if not text.isascii() and not _COMMENT.sub("", text).isascii():
            text = self.text = _MAYBE_ODD.sub(self.in_plain_signs, text)
        place = self.item(0)
        while place < len(text):
            found = _TOKEN.match(text, place)
            assert found  # noqa: S101 - the last branch takes any character
            assert found.lastgroup  # noqa: S101 - every branch has a name
            place = take[found.lastgroup](found[0], place)
        for left in self.opened:
            if left.start < self.cut_at or left.is_told:
                continue  # what is unread may close it, or what closed the bracket in it
            opener = self.text[left.start]
            self.fault(f"this `{opener}` is never closed", left.start, left.start + 1)
        self.opened.clear()
        self.close_phrase()
        self.faults += self.odd.values()
        return MoveTree(tuple(self.phrases))

    def without_backticks(self, found: re.Match[str]) -> str:
        """What is read for a line in backticks, of which that is told: others are primes."""
        self.fault("moves stand here without backticks", found.start(2), found.end())
        blank = " " * len(found[2])
        return f"{found[1]}{blank}{found[3]}{blank}"

    def in_plain_signs(self, found: re.Match[str]) -> str:
        """What is read for a word or a sign: told where it only looks like one of moves."""
        word, near = found[0], in_plain_signs(found[0])
        if _DASH.match(self.text, found.start()):
            message = f"a range is written with a hyphen, `2-4R`, not with `{word}`"
            self.fault(message, *found.span())
            return "-"
        if near == word or word.startswith("//") or not _LIKE_TURNS.fullmatch(near):
            return word
        for at, (sign, plain) in enumerate(zip(word, near, strict=True), found.start()):
            if sign != plain:
                self.odd[at] = Wrong("notation", f"`{sign}` is no part of moves", at, at + 1)
        return near

    def close_phrase(self) -> None:
        if self.top:
            caption = " ".join(filter(None, self.captions))
            start, end = self.top[0].start, self.top[-1].end
            self.phrases.append(PhraseTree(tuple(self.top), caption, start, end))
            self.captions = []  # those of a line without moves go to the phrase after it
        self.top = self.nodes = []

    @staticmethod
    def space(piece: str, start: int) -> int:
        return start + len(piece)

    def line(self, piece: str, start: int) -> int:
        if not self.opened:
            self.close_phrase()
        self.told.clear()
        return self.item(start + len(piece))

    def item(self, start: int) -> int:
        """The place after the mark of a list that a line begins with, which is told."""
        found = _ITEM.match(self.text, start)
        if found is None:
            return start
        self.fault(f"a line of moves begins with no `{found[1]}`; take it out", *found.span(1))
        return found.end()

    def comment(self, piece: str, start: int) -> int:
        end = start + len(piece)
        self.captions.append(self.written[start + 2 : end].strip())  # words keep their own signs
        return end

    def other(self, piece: str, start: int) -> int:
        if piece in ";|" and self.opened and self.opened[-1].mark == "[":
            message = f"`{piece}` parts no bracket: `[A, B]` is A B A' B', `[A: B]` is A B A'"
            self.fault(message, start, start + 1)
            return self.split(",", start)
        if piece.isalpha() and (word := self.word_around(start)):
            self.fault(_no_turn(word[0]), *word.span())
            return word.end() if self.opened else self.end_of_line(start)
        self.fault_once(_strange(piece), start)
        if piece in COMMENT_LIKE:
            self.cut_at = start
            return self.end_of_line(start)
        if piece == "}":
            return self.suffix(start + 1, start)[0]
        found = SUFFIX.match(self.text, start + len(piece)) if piece.isalpha() else None
        return found.end() if found else start + len(piece)

    def fault_once(self, message: str, start: int) -> None:
        """Tell of a sign where it first stands in a line: with one, the others are seen."""
        if message in self.told:
            self.odd.pop(start, None)
        else:
            self.told.add(message)
            self.fault(message, start, start + 1)

    def power(self, piece: str, start: int) -> int:
        is_count = re.fullmatch(r". ?\d+", piece)
        count = "a count stands right behind a turn or a bracket, `R2`, `(R U)3`"
        hint = count if is_count else "a turn back is written `R'`, a group undone `(R U)'`"
        self.fault(f"`{piece}` is no part of moves; {hint}", start, start + len(piece))
        return start + len(piece)

    def entity(self, piece: str, start: int) -> int:
        # nothing else needs what names these signs
        from html import unescape  # noqa: PLC0415

        named = f"&#x{piece[1:]};" if piece[0] == "%" else piece
        sign = unescape(named.removeprefix("\\"))
        write = "write a space" if sign.isspace() else f"write `{sign}` itself"
        todo = "take it out" if sign == piece else write
        message = f"`{piece}` is no part of moves; {todo}"
        self.fault(message, start, start + len(piece))
        return start + len(piece)

    def word_around(self, place: int) -> re.Match[str] | None:
        """The word that a letter stands in which no turn has: `gelöst`."""
        while place and self.text[place - 1].isalpha():
            place -= 1
        return _ANY_LANGUAGE.match(self.text, place)

    def end_of_line(self, start: int) -> int:
        end = self.text.find("\n", start)
        return len(self.text) if end < 0 else end

    def plain(self, piece: str, start: int) -> int:
        """Read turns, spaced or not, with no bracket or sign among them."""
        nodes = self.nodes
        for run in piece.split(" "):
            if run:
                try:
                    written, spacings = split_run(run)
                except Wrong as wrong:
                    if run in self.names:
                        message = f"the sequence `{run}` is named in braces: `{{{run}}}`"
                        self.fault(message, start, start + len(run))
                    elif self.is_comment(run, wrong, start):
                        return self.end_of_line(start)
                else:
                    for word, first, last in written:
                        nodes.append(new_written((word, start + first, start + last)))
                    if spacings and self.spacings is not None:
                        self.spacings += [spacing.moved(start) for spacing in spacings]
            start += len(run) + 1
        return start - 1

    def is_comment(self, run: str, wrong: Wrong, start: int) -> bool:
        """Complain of a run that is no turns; whether the rest of its line goes on with it."""
        end = start + len(run)
        if self.text[end : end + 1].isalpha():
            return False  # the word goes on, and is told as a whole
        is_word = wrong.start < FIRST_LETTERS and _ENGLISH.fullmatch(run)
        if run.strip("-") and not is_word:
            self.faults.append(wrong.moved(start))
            return False
        self.fault(_no_turn(run), start, end)
        return not self.opened

    def open(self, mark: str, start: int) -> int:
        self.opened.append(_Open(mark, start, len(self.faults)))
        if len(self.opened) == DEEPEST + 1:
            self.fault(f"brackets stand more than {DEEPEST} deep here", start, start + 1, "limit")
        self.nodes = self.opened[-1].parts[0]
        return start + 1

    def split(self, mark: str, start: int) -> int:
        bracket = self.opened[-1] if self.opened else None
        if bracket is None or bracket.mark == "(":
            hint = "; between turns stand spaces" if mark == "," else ""
            if len(self.opened) > 1 and (around := self.opened[-2]).mark == "[":
                if not around.is_told:
                    hint = self.without_round(around) or hint
                around.is_told = True
            message = (
                f"`{mark}` stands only in square brackets: `[A, B]` is A B A' B', `[A: B]` is "
                f"A B A'{hint}"
            )
            self.fault_once(message, start)
        elif len(bracket.parts) == 2:
            other = "a second" if mark == bracket.mark else f"`{bracket.mark}` and"
            inside = f"[A{bracket.mark} [B{mark} C]]"
            message = f"{other} `{mark}` in one bracket; put brackets inside: `{inside}`"
            self.fault(message, start, start + 1)
        else:
            bracket.mark = mark
            bracket.parts.append([])
            self.nodes = bracket.parts[-1]
        return start + 1

    def without_round(self, bracket: _Open) -> str:
        """What to write for `[(A, B)]`; "" where that is not what stands there."""
        found = _ROUND_IN_SQUARE.match(self.text, bracket.start)
        return f"; without the round ones within: `[{found[1].strip()}]`" if found else ""

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
        if bracket.is_told:
            pass
        elif mark != wanted:
            opener = self.text[bracket.start]
            message, end = f"`{opener}` is closed by `{mark}`; it needs `{wanted}`", start + 1
            if self.opened:
                self.opened[-1].is_told = True
                if self.text.startswith(wanted, end):
                    message = f"{message}: the inner bracket is closed first, `{wanted}{mark}`"
                    end += 1
            self.fault(message, start, end)
        elif bracket.mark == "[":
            inside = self.text[bracket.start + 1 : start].strip()
            offer = f": `({inside})`" if inside else ""
            self.fault(
                f"`[...]` needs two halves, `[A, B]` or `[A: B]`; a plain group is round{offer}",
                *whole,
            )
        elif not all(bracket.parts):
            if len(self.opened) < DEEPEST and len(self.faults) == bracket.faults:
                empty = "an empty group `()` turns nothing; take it out"
                half = "one half of this bracket is empty; `[A, B]` and `[A: B]` need both"
                self.fault(empty if bracket.mark == "(" else half, *whole)
        elif len(self.opened) < DEEPEST and count:
            parts = tuple(map(tuple, bracket.parts))
            self.nodes.append(Group(bracket.mark, parts, count, undone, bracket.start, place))
        return place

    def suffix(self, place: int, opened: int) -> tuple[int, int, bool]:
        """Read the count and prime that belong to what was opened and has just been closed.

        Returns:
            The place after them; the count, 0 where it is wrong; whether there is a prime.
        """
        what = self.text[opened:place]
        found = SUFFIX.match(self.text, place)
        assert found  # noqa: S101 - it matches the empty string
        digits, primes, late = found["count"], found["prime"], found["late"]
        shown = what if len(what) <= 24 else f"{what[0]}...{what[-1]}"
        if digits and not primes and _RANGE.match(self.text, found.end()):
            return place, 1, False  # `(R U)3-4F`: a range of the turn that follows
        if late and NEXT.match(self.text, found.start("late")):
            late = ""  # `(R U)'2F`: nothing but a turn can begin there
        end = found.end() - len(found["late"]) + len(late)
        message, rule = "", "notation"
        if late:
            message = f"the count stands before the prime: `{shown}{digits or late}'`"
        elif len(primes) > 1:
            message = f"one prime is enough: `{shown}{digits}'`"
        elif len(digits) > MOST_DIGITS:
            large = f"a count of {len(digits)} digits is too large"
            message, rule = f"{large}; at most {MOST_DIGITS} digits are read", "limit"
        elif digits and int(digits) == 0:
            message = f"a count of 0 turns nothing; take `{shown}` out"
        if message:
            self.fault(message, opened, end, rule)
            return end, 0, False
        self.note_spacing(shown, place)
        return end, int(digits or 1), bool(primes)

    def note_spacing(self, shown: str, place: int) -> None:
        """Note a number that could count what was closed, or be the layer of what follows."""
        found = _COUNT_OR_LAYER.match(self.text, place)
        if found is None or self.spacings is None:
            return
        count, turn = found["count"], found["turn"]
        readings = f"{shown}{count} {turn}", f"{shown} {count}{turn}"
        if not count:
            readings = f"{shown}' 2{turn}", f"{shown}2' {turn}"
        self.spacings.append(Spacing(*readings, place, found.end()))

    def name(self, piece: str, start: int) -> int:
        """Read `{name}`; the place after its count and prime."""
        end = start + len(piece)
        if not piece.endswith("}"):
            self.fault("this `{` is never closed", start, start + 1)
            return end
        place, count, undone = self.suffix(end, start)
        name = piece[1:-1].strip()
        if not _NAME.fullmatch(name):
            hint = "; a group of turns is round: `(R U)`" if " " in name or "," in name else ""
            self.fault(
                f"`{piece}` names no sequence; names are letters, digits and hyphens{hint}",
                start,
                end,
            )
        elif count:
            self.nodes.append(Name(name, count, undone, start, place))
        return place


def _no_turn(word: str) -> str:
    what = "a hyphen alone" if word == "-" else f"`{word}`"
    return f"{what} is no turn; a comment begins with `//`"


def _strange(piece: str) -> str:
    if piece == "}":
        return "this `}` closes nothing"
    if piece in COMMENT_LIKE:
        return f"a comment begins with `//`, not with `{piece}`"
    if piece in "|;":
        return f"`{piece}` is no part of moves; a new line begins a new phrase"
    if piece in QUOTES:
        return "moves stand without quotation marks; a turn back is written `R'`"
    if piece.isprintable():
        hint = "" if piece.isalnum() else "; take it out: between turns stand spaces"
        return f"`{piece}` is no part of moves{hint}"
    named = f" ({known})" if (known := unicodedata.name(piece, "")) else ""
    return f"`U+{ord(piece):04X}`{named} is no part of moves, and not seen; take it out"

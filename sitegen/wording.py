"""What messages share: counts, lists of names, what was probably meant, signs that deceive."""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_left
from itertools import islice
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Sequence

UNSEEN: Final = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})
"""The general categories, in Unicode's own words, of characters that are not seen."""

QUOTES: Final = '"“”„«»‘‚‹›'
"""Quotation marks, straight and of word processors, those left out that may be a prime."""

_LOOKS: Final = str.maketrans(
    "АВЕКМНОРСТУХІЈЅавекмнорстухіјѕԁԝΑΒΕΖΗΙΚΜΝΟΡΤΥΧακνορτυχωʀʟʙᴅᴜꜰᴍᴇ" + "ʼʹ՚ꞌ‵‛" + "։׃ː",
    "ABEKMHOPCTYXIJSabekmhopctyxijsdwABEZHIKMNOPTYXakvoptuxwRLBDUFME" + "'" * 6 + ":" * 3,
)
"""Signs of other scripts, and those of ours that they look like: common practice, no source."""

_WORD_OR_SIGN: Final = re.compile(r"[^\W_]+|[^\x00-\x7f]")

MOST_HELD: Final = 40
"""How many names are held against one that is none: a page may name thousands in vain."""

MOST_NAMED: Final = 12
"""How many names a message lists: a page may have thousands, and each may be asked for in vain."""


def some_of(names: Collection[str], most: int = MOST_NAMED, between: str = ", ") -> str:
    """Names for a message; of many, the first."""
    listed = between.join(f"`{name}`" for name in islice(names, most))
    more = len(names) - most
    return f"{listed} and {more} more" if more > 0 else listed


def in_turn(names: Iterable[str], verb: str) -> str:
    """Names, each of which does something to the next: `a` uses `b`, which uses `c`."""
    first, *others = names
    return f"{first} {verb} " + f", which {verb} ".join(others)


def in_circle(length: int, name: Callable[[int], str], verb: str) -> str:
    """Names that go round in a circle, ended by the first again; of many, the first and the last.

    Args:
        length: how many there are.
        name: gives each by its number, from 0; the first has that of `length` as well.
        verb: what each does to the next.
    """
    if length <= MOST_NAMED:
        return in_turn(map(name, range(length + 1)), verb)
    begun, last, first = in_turn(map(name, range(3)), verb), name(length - 1), name(length)
    return f"{begun}, and so on through {length - 4} more to {last}, which {verb} {first}"


def counted(count: int, what: str) -> str:
    """How many there are of something, for a message: `1 block`, `2 blocks`."""
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def nothing_after(key: str) -> str:
    """The message about a key without a value."""
    return f"nothing stands after `{key}:`; write what it is, or take the line out"


def meant_or_known(name: str, known: Collection[str], lead: str, *, most: int = MOST_NAMED) -> str:
    """For a message about an unknown name: which was probably meant, or which names there are.

    Args:
        name: the unknown name.
        known: the names that there are.
        lead: what stands before the list of them.
        most: how many of them are listed.
    """
    near = meant(name, known)
    return f"did you mean `{near}`?" if near else f"{lead} {some_of(known, most)}"


def meant(name: str, known: Collection[str], least: float = 0.6) -> str:
    """The name that an unknown one was probably meant to be, or "".

    Args:
        name: the unknown name.
        known: the names that there are.
        least: how alike the two have to be, from 0 to 1.
    """
    folded = name.casefold()
    if same := next((one for one in known if one.casefold() == folded), ""):
        return same  # difflib finds nothing alike in `PAIRS` and `pairs`
    # every command loads this file, and `sitegen net` is to answer at once
    from difflib import get_close_matches  # noqa: PLC0415

    return next(iter(get_close_matches(name, known, 1, least)), "")


def begun_alike(name: str, known: Sequence[str]) -> Sequence[str]:
    """Of names in order those that begin most like one: few, for `meant` to look through."""
    first = bisect_left(known, name) - MOST_HELD // 2
    first = max(0, min(first, len(known) - MOST_HELD))
    return known[first : first + MOST_HELD]


def in_plain_signs(text: str) -> str:
    """A text with what only looks like one of our own letters, digits or signs written in these."""
    return text if text.isascii() else "".join(map(_in_plain_sign, text))


def _in_plain_sign(sign: str) -> str:
    if sign.isascii() or sign.isspace():
        return sign
    digit = unicodedata.decimal(sign, None)
    plain = unicodedata.normalize("NFKC", sign).translate(_LOOKS) if digit is None else str(digit)
    return plain if len(plain) == 1 and plain.isascii() and plain != " " else sign


def with_odd_signs(message: str, text: str) -> str:
    """A message about a text, with the signs in it that deceive, if it does not name them.

    These are what is not seen, and, in words that are none of another script, what looks like one
    of our own letters, digits or signs.
    """
    if text.isascii() and text.isprintable():
        return message
    signs = dict.fromkeys("".join(filter(_deceives, _WORD_OR_SIGN.findall(text))))
    told = [
        f"`{sign}` is {unicodedata.name(sign, 'another sign')}, not `{in_plain_signs(sign)}`"
        for sign in signs
        if not sign.isascii()
    ]
    blanks = UNSEEN | {"Zs"}
    found = dict.fromkeys(c for c in text if unicodedata.category(c) in blanks and c not in " \t\n")
    named = {f"U+{ord(c):04X}": unicodedata.name(c, "") for c in found}
    unseen = [f"{code} {what}".rstrip() for code, what in named.items() if code not in message]
    if unseen:
        told.append(f"unseen in it: {', '.join(unseen[:3])}")
    return "; ".join([message, *told[:3]])


def _deceives(word: str) -> bool:
    """Whether a word or sign looks as if it were written in our own signs, and is not.

    Of several letters some have to be ours: else it is a word of another script.
    """
    mixed = len(word) < 3 or any(map(str.isascii, word))
    return mixed and not word.isascii() and in_plain_signs(word).isascii()

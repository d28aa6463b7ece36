"""What a line of `check` that is no claim was probably meant to be."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final

from sitegen.cube.scheme import SIDES
from sitegen.notation.count import METRICS
from sitegen.wording import in_plain_signs

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

LONGEST: Final = 200
"""How many characters a line may have for its meaning to be looked for."""

GOES_TO: Final = r"(\w+) ?(?:\b(?:(?:go|goes|move|moves) )?to\b:?|[-=]+>|\u2192) ?(\w+)"
"""What is written for `goes to`."""

_OTHER_WORDS: Final = (
    (r"paired (in wings(?: \d+)?)", r"paired all \1"),
    (r"(at least )?(\d+|all)(?: edges?)? paired(?: (in wings(?: \d+)?))?", r"paired \1\2 \3"),
    (r"all 12(?: edges)? paired", "paired all"),
    (r"paired (?:edges )?(at least )?(\d+|all)(?: edges?)?", r"paired \1\2"),
    (
        r"(?:paired )?(in wings(?: \d+)?) (?:paired )?(at least )?(\d+|all)(?: paired)?",
        r"paired \2\3 \1",
    ),
    (r"paired (?:(?:>=|\u2265) ?(\d+)|(\d+)\+)", r"paired at least \1\2"),
    (r"(\d+) ?(?:/|of|out of) ?12 (?:edges )?paired", r"paired \1"),
    (r"(still paired|paired .+?)(?: edges)?(?: in)? wings? (\d+)", r"\1 in wings \2"),
    (r"paired still", "still paired"),
    (r"(?:all )?(?:edges|wings) (?:all )?paired( in wings(?: \d+)?)?", r"paired all\1"),
    (r"wings (\d+)(?: all)? paired", r"paired all in wings \1"),
    (r"edges (.+?) paired", r"paired \1"),
    (r"(?:all )?centres finished|finished centres", "centres solved"),
    (r"(.+?) (?:unpaired|not paired)", r"not paired \1"),
    (r"(.+?) (?:unsolved|not solved)", r"not \1 solved"),
    (r"un(paired|kept|joined) (.+)", r"not \1 \2"),
    (r"unsolved", "not solved"),
    (r"(.+?) (?:paired|complete|whole)", r"paired \1"),
    (r"(?:all )?(.+?) (?:kept|unchanged|untouched|unmoved)", r"kept \1"),
    (r"(?:all )?(.+?) (?:stay|remain)s?(?: put| in place)?", r"kept \1"),
    (r"(?:all )?(.+?) (?:do |does )?not (?:change|move)d?", r"kept \1"),
    (r"(?:kept|keeps?) (?:all )?(.+)", r"kept \1"),
    (r"(.+?) (alike|unlike|joined)", r"\2 \1"),
    (r"(.+?) only changed", r"only \1 changed"),
    (r"(?:only changed?|changed only) (.+)", r"only \1 changed"),
    (r"(?:only|nothing (?:but|except)) (.+?)(?: (?:change|move)[ds]?)?", r"only \1 changed"),
    (r"(.+?) (?:change|move)[ds]?", r"not kept \1"),
    (r"(?:(odd|even) parity|parity (odd|even)) (?:(?:of|in|for|on) )?(.+)", r"parity \3 \1\2"),
    (r"(odd|even) (.+?) parity", r"parity \2 \1"),
    (r"parity (odd|even)", r"parity wings \1"),
    (r"(?:parity of )?(.+?) (?:parity )?(odd|even)", r"parity \1 \2"),
    (r"wings parity (\d+) (odd|even)", r"parity wings \1 \2"),
    (r"3x3(?: stage)? (possible|impossible)", r"3x3 stage \1"),
    (r"(possible|impossible) 3x3 stage", r"3x3 stage \1"),
    (r"(?:it )?(?:at |ready for )?(?:a )?3x3(?: stage)?(?: reached)?", "3x3 stage possible"),
    (rf"(\d+) ({'|'.join(METRICS)})(?: turns)?", r"turns \1 \2"),
    (r"(\d+) (?:turns?|moves?)(?: (\S+))?", r"turns \1 \2"),
    (rf"turns ({'|'.join(METRICS)}) (\d+)", r"turns \2 \1"),
    (r"(?:turns?|moves?|length)(?: count)? (\d+)", r"turns \1"),
    (r"order of (\d+)|(\d+) order", r"order \1\2"),
    (r"same (?!as)(.+)", r"same as \1"),
    (r"solved (.+)", r"\1 solved"),
    (r"(?:all )?(.+?)(?: all)? solved", r"\1 solved"),
    (r"(?:all|everything|cube|it) (not )?solved", r"\1solved"),
    (
        r"(?:all|everything|cube)? ?(?:solved )?(?:except|but) (.+?)(?: solved)?",
        r"solved except \1",
    ),
    (r"(.+?) go(?:es)? (?!to )(.+)", r"\1 goes to \2"),
    (GOES_TO, r"\1 goes to \2"),
    (r"[!\u00ac] ?(.+)", r"not \1"),
    (r"(\w+) ?(!=|\u2260) ?(\w+)", r"unlike \1 \3"),
    (r"(\w+) ?={1,2} ?(\w+)", r"alike \1 \2"),
    (r"(\w+) match(?:es)? (\w+)|(\w+) (\w+) match", r"joined \1\3 \2\4"),
    (r"(?:cycles? )?(\([^()]*\).*?)(?: cycles?)?", r"cycles \1"),
    (r"(?:\d+[ -])?cycles? ([^()]+)", r"cycles (\1)"),
    (r"flip(?:s|ped)? ([ULFRBD])([ULFRBD])", r"cycles (\1\2 \2\1)"),
    (r"(?:edge )?([ULFRBD])([ULFRBD]) (?:flipped|turned (?:over|round))", r"cycles (\1\2 \2\1)"),
    (r"swaps? (\S+) (?:and )?(\S+)", r"cycles (\1 \2)"),
    (r"(\S+) (\S+) (?:swapped|exchanged|(?:change|trade) places)", r"cycles (\1 \2)"),
    (r"(\w+) ?(?:<[-=]+>|\u2194) ?(\w+)", r"cycles (\1 \2)"),
)
"""Claims in other words or another order, without the small words of sentences, and the right ones.

More than the right ones may come of a row: what cannot be read as a claim is not offered.
"""

_AT_FIRST: Final = r"at (?:start|beginning|first)|initially|first|before(?: moves)?"
_AFTER: Final = r"(?:(?:after|in) )?(?:line|phrase|step)s? ?(?P<line>\d+):?|after (?P<number>\d+)"
_AT_LAST: Final = r"(?:at|in) end|after(?: moves)?|before|finally"

_MOMENTS: Final = tuple(
    (shape.format(moment=moment), before)
    for moment, before in ((_AT_FIRST, "at first"), (_AFTER, "after line"), (_AT_LAST, ""))
    for shape in (r"(?:{moment}),? (?P<claim>.+)", r"(?P<claim>.+?),? (?:{moment})")
)
"""What is written for what may stand before a claim, there or behind it."""

_NUMBERS: Final = (
    *("one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)
_SMALL_WORDS: Final = re.compile(r"\b(?:[Tt]he|is|are) ")
_NUMBER: Final = re.compile(rf"\b(?:{'|'.join(_NUMBERS)})\b")
_NARROWED: Final = re.compile(
    r"\b(corners|edges|middles|wings(?: \d+)?|centres) (?:of|on|in|at) (?=[ULFRBD]|layer |face )"
)
_ONE_OF_MANY: Final = re.compile(r"\b(corner|edge|middle|wing)(?= (?:\d+ )?(?:parity|odd|even)\b)")
_OF_SIDE: Final = re.compile(rf"\b({'|'.join(SIDES)}) (layer|face|side|centre)s?\b")


def reworded(line: str, reads: Callable[[str], bool]) -> str:
    """The claim that a line was probably meant to be, or "".

    Args:
        line: one that is no claim.
        reads: whether a text can be read as a claim; nothing else is offered.
    """
    if len(line) > LONGEST:
        return ""
    return next((text for text in _rewordings(" ".join(line.split())) if reads(text)), "")


def _rewordings(line: str) -> Iterator[str]:
    """The line without the marks that lists and other languages put in it, then in other words."""
    if whole := re.fullmatch(r"[\[(]([a-z0-9].*)[\])]", line):
        yield whole[1]
    bare = " ".join(re.sub(r"^[-*+] |[.;]$|(?<=\w): ?|= ", " ", line).split())
    word, _, rest = bare.partition(" ")
    small = f"{word.lower()} {rest}".strip(), bare.lower()
    plain = [_in_plain_words(text) for text in (bare, *small, *_in_signs_of_claims(line))]
    together = re.sub(r",? (?:and|&) ", " ", plain[0])
    tidy = dict.fromkeys((bare, *plain[:3], together, *plain[3:]))
    yield from (text for text in tidy if text != line)
    yield from _in_our_words(tidy)
    for text in tidy:
        for pattern, before in _MOMENTS:
            if found := re.fullmatch(pattern, text):
                named = found.groupdict()
                moment = " ".join(filter(None, (before, named.get("line"), named.get("number"))))
                for claim in (named["claim"], *_in_our_words([named["claim"]])):
                    yield f"{moment} {claim}".lstrip()


def _in_plain_words(line: str) -> str:
    """The line without small words, with pieces, sides and numbers in the words of claims."""
    line = re.sub(r"\b(centre|corner|edge|middle)s? pieces?\b", r"\1s", line)
    line = _OF_SIDE.sub(_in_letters, _SMALL_WORDS.sub("", line))
    line = re.sub(r"\bcentre (?=[ULFRBD]\b)", "centres ", line)
    line = _ONE_OF_MANY.sub(r"\1s", _NARROWED.sub(r"\1 ", line))
    return _NUMBER.sub(_in_digits, line)


def _in_our_words(lines: Iterable[str]) -> Iterator[str]:
    """Lines that say a claim in other words or another order, in the right ones."""
    for text in lines:
        for pattern, offer in _OTHER_WORDS:
            if found := re.fullmatch(pattern, text):
                yield " ".join(found.expand(offer).split())


def _in_letters(of_side: re.Match[str]) -> str:
    """A side by its name, as places name it: `top layer` is `layer U`."""
    kind = {"side": "face", "centre": "centres"}.get(of_side[2], of_side[2])
    return f"{kind} {SIDES[of_side[1]]}"


def _in_digits(word: re.Match[str]) -> str:
    return str(_NUMBERS.index(word[0]) + 1)


def _in_signs_of_claims(line: str) -> Iterator[str]:
    """The line in the signs that claims are written in, without those of lists and of quotes.

    Twice: with a space in the place of each that is left out, and with none; but `4.0` is no `40`.
    """
    plain = re.sub(r"^\s*(?:\d{1,3}[.)]|\[.?\])\s+", "", in_plain_signs(line))
    if "(" in plain:
        plain = re.sub(r"[-=]+>|\u2192", " ", plain)
    for between in (" ",) if re.search(r"\d[.,]\d", plain) else (" ", ""):
        bare = "".join(between if _is_left_out(sign) else sign for sign in plain)
        yield " ".join(re.sub(r"(?<!\w)-(?!\w)|(?<!\d)\+", " ", bare).split())


def _is_left_out(sign: str) -> bool:
    """Whether a sign says nothing in a claim; those of mathematics do."""
    says = sign.isalnum() or sign.isspace() or unicodedata.category(sign) == "Sm"
    return sign == "|" or not (says or sign in "()'!-")

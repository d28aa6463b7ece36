"""What a line of `check` that is no claim was probably meant to be."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final

from sitegen.notation.count import METRICS
from sitegen.wording import in_plain_signs

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

LONGEST: Final = 200
"""How many characters a line may have for its meaning to be looked for."""

TO: Final = r"(\w+) ?(?:\b(?:(?:go|goes|move|moves) )?to\b:?|[-=]+>|\u2192) ?(\w+)"
"""What is written for `goes to`."""

_ORDERS: Final = (
    (r"paired (in wings(?: \d+)?)", r"paired all \1"),
    (r"(at least )?(\d+|all)(?: edges?)? paired", r"paired \1\2"),
    (r"paired (at least )?(\d+|all) edges?", r"paired \1\2"),
    (r"(at least )?(\d+|all)(?: edges?)? paired (in wings(?: \d+)?)", r"paired \1\2 \3"),
    (r"paired (in wings(?: \d+)?) (at least )?(\d+|all)", r"paired \2\3 \1"),
    (r"(in wings(?: \d+)?) (?:paired )?(at least )?(\d+|all)(?: paired)?", r"paired \2\3 \1"),
    (r"paired edges (\d+|all)", r"paired \1"),
    (r"paired (?:is|are) (.+)", r"paired \1"),
    (r"paired (?:(?:>=|\u2265) ?(\d+)|(\d+)\+)", r"paired at least \1\2"),
    (
        r"(still paired|paired (?:at least )?(?:\d+|all))(?: edges)?(?: in)? wings? (\d+)",
        r"\1 in wings \2",
    ),
    (r"(paired .+) in wing (\d+)", r"\1 in wings \2"),
    (r"paired still", "still paired"),
    (r"(?:all )?(?:the )?edges (?:are )?(?:all )?paired", "paired all"),
    (r"wings (\d+)(?: are)?(?: all)? paired", r"paired all in wings \1"),
    (r"edges (.+?) (?:are |is )?paired", r"paired \1"),
    (r"(?:all )?(?:the )?centres (?:are )?finished|finished centres", "centres solved"),
    (r"(.+?) (?:are |is )?(?:unpaired|not paired)", r"not paired \1"),
    (r"(.+?) (?:are |is )?(?:unsolved|not solved)", r"not \1 solved"),
    (r"un(paired|kept|joined) (.+)", r"not \1 \2"),
    (r"unsolved", "not solved"),
    (r"(.+?) (?:are |is )?paired", r"paired \1"),
    (r"(?:all )?(.+?) (?:are |is )?(?:kept|unchanged|untouched)", r"kept \1"),
    (r"(?:kept|keeps?) (?:all )?(.+)", r"kept \1"),
    (r"(.+?) (?:are |is )?(alike|unlike|joined)", r"\2 \1"),
    (r"(.+?) only changed", r"only \1 changed"),
    (r"changed only (.+)", r"only \1 changed"),
    (r"only changed? (.+)", r"only \1 changed"),
    (r"only (.+?)", r"only \1 changed"),
    (r"(odd|even) parity (?:of |in )?(.+)", r"parity \2 \1"),
    (r"(.+?) parity (odd|even)", r"parity \1 \2"),
    (r"parity (odd|even) (?:of |in |for )?(.+)", r"parity \2 \1"),
    (r"(.+?) (?:are |is )?(odd|even)", r"parity \1 \2"),
    (r"parity wing (\d+) (odd|even)", r"parity wings \1 \2"),
    (r"(?:the )?3x3(?: stage)? (?:is )?(possible|impossible)", r"3x3 stage \1"),
    (r"(possible|impossible) 3x3 stage", r"3x3 stage \1"),
    (rf"(\d+) ({'|'.join(METRICS)})(?: turns)?", r"turns \1 \2"),
    (r"(\d+) (?:turns?|moves?)", r"turns \1"),
    (r"(\d+) turns? (\S+)", r"turns \1 \2"),
    (rf"turns ({'|'.join(METRICS)}) (\d+)", r"turns \2 \1"),
    (r"(?:turns?|moves?|length)(?: count)? (?:is )?(\d+)", r"turns \1"),
    (r"order (?:is |of )(\d+)", r"order \1"),
    (r"(\d+) order", r"order \1"),
    (r"(?:is )?(?:the )?same (?!as)(.+)", r"same as \1"),
    (r"solved (.+)", r"\1 solved"),
    (r"(?:all )?(.+?)(?: are| is)?(?: all)? solved", r"\1 solved"),
    (r"(?:all|everything|cube)(?: is)? solved", "solved"),
    (
        r"(?:all|everything|cube) (?:is )?(?:solved )?except (.+?)(?: is)?(?: solved)?",
        r"solved except \1",
    ),
    (r"(.+?) go(?:es)? (?!to )(.+)", r"\1 goes to \2"),
    (TO, r"\1 goes to \2"),
    (r"[!\u00ac] ?(.+)", r"not \1"),
    (r"(\w+) ?(?:<[-=]+>|\u2194) ?(\w+)", r"cycles (\1 \2)"),
    (r"(\([^()]*\)(?: ?\([^()]*\))*)", r"cycles \1"),
    (r"(\d+) ?(?:/|of|out of) ?12 (?:edges )?paired", r"paired \1"),
    (r"(\w+) ?(!=|\u2260) ?(\w+)", r"unlike \1 \3"),
    (r"(\w+) ?={1,2} ?(\w+)", r"alike \1 \2"),
    (r"cycles? (\([^()]*\).*)", r"cycles \1"),
    (r"cycles? ([^()]+)", r"cycles (\1)"),
    (r"(\([^()]*\).*) cycles?", r"cycles \1"),
    (r"flip(?:s|ped)? ([ULFRBD])([ULFRBD])", r"cycles (\1\2 \2\1)"),
    (r"([ULFRBD])([ULFRBD]) (?:is )?flipped", r"cycles (\1\2 \2\1)"),
    (r"(\d+)[ -]cycles? (.+)", r"cycles (\2)"),
    (r"swaps? (\S+) (?:and )?(\S+)", r"cycles (\1 \2)"),
)
"""Claims in other words or another order, and the right ones."""

_MOMENTS: Final = (
    (r"(?:at (?:the )?(?:start|beginning)|first|initially) (.+)", r"at first \1"),
    (r"(?:after |in )?(?:line|phrase|step) (\d+):? (.+)", r"after line \1 \2"),
    (r"after (\d+) (.+)", r"after line \1 \2"),
    (r"before(?: the moves)?,? (.+)", r"at first \1"),
    (r"(?:(?:at|in) (?:the )?end|after(?: the moves)?|before|finally),? (.+)", r"\1"),
)
"""What is written for what may stand before a claim."""


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
    bare = " ".join(re.sub(r"^[-*+] |[.;]$|(?<=\w): ?|= ", " ", line).split())
    word, _, rest = bare.partition(" ")
    plain = re.sub(r"\b(centre|corner|edge|middle)s? pieces?\b", r"\1s", bare)
    plain = re.sub(r"\b[Tt]he ", "", plain)
    together = re.sub(r",? (?:and|&) ", " ", plain)
    typed = _in_signs_of_claims(line)
    tidy = dict.fromkeys((bare, f"{word.lower()} {rest}".strip(), plain, together, *typed))
    yield from (text for text in tidy if text != line)
    for text in tidy:
        for pattern, offer in (*_ORDERS, *_MOMENTS):
            found = re.fullmatch(pattern, text)
            if found:
                yield " ".join(found.expand(offer).split())


def _in_signs_of_claims(line: str) -> Iterator[str]:
    """The line in the signs that claims are written in, without those of lists and of quotes.

    Twice: with a space in the place of each that is left out, and with none.
    """
    plain = re.sub(r"^\s*(?:\d{1,3}[.)]|\[.?\])\s+", "", in_plain_signs(line))
    if "(" in plain:
        plain = re.sub(r"[-=]+>|\u2192", " ", plain)
    for between in (" ", ""):
        bare = "".join(between if _is_left_out(sign) else sign for sign in plain)
        yield " ".join(re.sub(r"(?<!\w)-(?!\w)|(?<!\d)\+", " ", bare).split())


def _is_left_out(sign: str) -> bool:
    """Whether a sign says nothing in a claim; those of mathematics do."""
    says = sign.isalnum() or sign.isspace() or unicodedata.category(sign) == "Sm"
    return sign == "|" or not (says or sign in "()'!-")

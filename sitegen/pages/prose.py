"""Code spans in the prose: places and moves checked and set, facts filled in."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from sitegen.block.facts import FACTS, words_of
from sitegen.block.hangs import as_plain_as_any, true_of_any
from sitegen.cube.address import looks_like_address, read_address
from sitegen.cube.size import read_size
from sitegen.notation.read import read_moves, unclear
from sitegen.notation.setting import MoveSetting
from sitegen.notation.spell import measure
from sitegen.notation.tree import nodes_of
from sitegen.notation.write import tokens
from sitegen.pages.site import Word
from sitegen.problem import Wrong

if TYPE_CHECKING:
    from collections.abc import Iterable
    from collections.abc import Set as AbstractSet

    from sitegen.block.model import Context
    from sitegen.notation.setting import Lowercase
    from sitegen.notation.tree import Node, Spacing

LONGEST_KNOWN: Final = 60
"""Characters of the longest span that is remembered."""

_FORCED: Final = re.compile(r"(text|moves|cube\s+(\S+)):\s*(\S.*)", re.DOTALL)
_ANY_CASE: Final = re.compile(_FORCED.pattern, re.DOTALL | re.IGNORECASE)
_FACT: Final = re.compile(
    r"(?P<page>[^#\s]+\.md)?#(?P<id>[A-Za-z0-9-]+)\s+(?P<asked>\S.*)", re.DOTALL
)
_TURN_LIKE: Final = re.compile(
    r"(?:\d+(?:-\d+)?)?[UDLRFBMESxyzudlrfb][wW]?[\d'’′´]*|\{[A-Za-z0-9-]+\}.*"
)
_CUBE: Final = re.compile(r"([0-9]+)x\1")
"""A cube by its size, whose `x` is no rotation."""

_BRACKETS: Final = re.compile(r"[(\[].*[)\]]")
_TOKENS: Final = re.compile(r"[^\s()\[\],:;，、：；]+")


class FactAsked(Struct, frozen=True):
    """A fact that a span asks for: the page as written ("" for this one), the block, the words."""

    page: str
    id: str
    words: tuple[str, ...]


class ReadSpan(Struct, frozen=True):
    """What a code span is.

    Attributes:
        kind: `text`, `place`, `moves` or `fact`.
        text: what is printed, for a text and a place.
        words: of moves.
        asked: of a fact.
    """

    kind: str
    text: str = ""
    words: tuple[Word, ...] = ()
    asked: FactAsked | None = None


def unmarked(text: str) -> str:
    """What a code span says, without the words that say how it is meant."""
    forced = _FORCED.fullmatch(text)
    return forced[3].rstrip() if forced else text


def asks_for_fact(text: str) -> bool:
    """Whether a code span of this text would be replaced by what a block answers."""
    fact = _FACT.fullmatch(text)
    return fact is not None and words_of(fact["asked"])[0] in FACTS


def read_span(text: str, context: Context, faults: list[Wrong]) -> ReadSpan:
    """Tell what a code span is, and check it.

    Args:
        text: what stands between its marks.
        context: the page's cube and readings.
        faults: what is wrong with it is put here: errors, and as warnings `near-moves`, `spacing`.
    """
    setting, unread = context.setting(context.n), context.unread.keys()
    if unread or "{" in text or len(text) > LONGEST_KNOWN:  # a name means what its page says
        return _read_with(text, context.largest, setting, unread, faults)
    said, found = _read_remembered(
        text, context.largest, setting.n, setting.lowercase, setting.most
    )
    faults += found
    return said


@lru_cache(maxsize=4096)
def _read_remembered(
    text: str, largest: int, n: int, lowercase: Lowercase, most: int
) -> tuple[ReadSpan, tuple[Wrong, ...]]:
    """A span that names no sequence, and its faults: the same few stand on a site many times."""
    faults: list[Wrong] = []
    said = _read_with(text, largest, MoveSetting(n, lowercase, most=most), frozenset(), faults)
    return said, tuple(faults)


def _read_with(
    text: str, largest: int, setting: MoveSetting, unread: AbstractSet[str], faults: list[Wrong]
) -> ReadSpan:
    fact = _FACT.fullmatch(text)
    if fact:
        asked = FactAsked(fact["page"] or "", fact["id"], words_of(fact["asked"]))
        return ReadSpan("fact", text, asked=asked)
    forced = _FORCED.fullmatch(text)
    if forced is None:
        if (lead := _ANY_CASE.fullmatch(text)) and _may_be_read(lead[3], setting, unread):
            offer = f"{lead[1].lower()}{text[lead.end(1) :]}"
            message = (
                f"how a span is meant is said in small letters: write `{offer}`, or "
                f"`text: {text}` to have it printed as it is"
            )
            faults.append(Wrong("near-moves", message, *lead.span(1)))
            return ReadSpan("text", text)
        return _read_unforced(text, setting, unread, faults)
    inner, at = forced[3].rstrip(), forced.start(3)
    if forced[1] == "text":
        return ReadSpan("text", inner)
    found: list[Wrong] = []
    if forced[1] == "moves":
        said = _read_moves_span(inner, setting, unread, found)
    else:
        try:
            given = replace(setting, n=read_size(forced[2], largest))
            said = _read_unforced(inner, given, unread - {"cube"}, found)
        except Wrong as wrong:
            faults.append(wrong.moved(forced.start(2)))
            return ReadSpan("text", inner)
    faults += [wrong.moved(at) for wrong in found]
    return said


def _read_unforced(
    text: str, setting: MoveSetting, unread: AbstractSet[str], faults: list[Wrong]
) -> ReadSpan:
    if looks_like_address(text):
        try:
            read_address(text, setting.n)
        except Wrong as wrong:
            as_moves: list[Wrong] = []
            _read_moves_span(text, setting, unread, as_moves)
            hint = "" if as_moves else f"; if moves are meant, write `moves: {text}`"
            told = wrong.saying(wrong.message + hint)
            faults += true_of_any([told], unread)
        return ReadSpan("place", text)
    found: list[Wrong] = []
    said = _read_moves_span(text, setting, unread, found)
    if all(wrong.rule in ("layer-range", "limit", "spacing") for wrong in found):
        faults += found
        return said
    if _is_almost_moves(text, found):
        first = found[0]
        message = (
            f"this almost reads as moves: {first.message}; mend it, or write `text: {text}` to "
            "have it printed as it is"
        )
        faults.append(Wrong("near-moves", message, first.start, first.end))
    return ReadSpan("text", text)


def _may_be_read(text: str, setting: MoveSetting, unread: AbstractSet[str]) -> bool:
    """Whether a span is more than text, or was probably meant to be."""
    found: list[Wrong] = []
    return _read_unforced(text, setting, unread, found).kind != "text" or bool(found)


def _read_moves_span(
    text: str, setting: MoveSetting, unread: AbstractSet[str], faults: list[Wrong]
) -> ReadSpan:
    found: list[Wrong] = []
    spacings: list[Spacing] = []
    moves = read_moves(text, found, spacings)
    nodes = nodes_of(moves.phrases)
    if not found and not nodes:
        found.append(Wrong("notation", "no moves stand here", 0, max(1, len(text))))
    if not found:
        measure(nodes, setting, found)
    found = found or unclear(spacings, as_plain_as_any(setting.n, unread))
    faults += true_of_any(found, unread)
    return ReadSpan("moves", text, as_words(nodes))


def _is_almost_moves(text: str, found: list[Wrong]) -> bool:
    """Whether a span that is no moves was probably meant to be some."""
    words = _TOKENS.findall(text)
    if not words:
        return bool(_BRACKETS.fullmatch(text.strip()))
    if len(words) == 1:
        is_whole = text.strip() == words[0] or _BRACKETS.fullmatch(text.strip())
        return bool(is_whole and _TURN_LIKE.fullmatch(words[0])) and not _CUBE.fullmatch(words[0])
    wrong = [word for word in words if not _is_legal(word)]
    every_lowercase = all(fault.rule == "lowercase" for fault in found)
    return len(wrong) <= 1 or every_lowercase


def _is_legal(word: str) -> bool:
    faults: list[Wrong] = []
    moves = read_moves(word, faults)
    if faults or not moves.phrases:
        return False
    written = [token for token, _ in tokens(moves.phrases[0].nodes)]
    return not any(token[-1].islower() and token[-1] in "udlrfb" for token in written)


def as_words(nodes: Iterable[Node]) -> tuple[Word, ...]:
    """Nodes as words ready to be set."""
    return tuple([_word(token, glue) for token, glue in tokens(nodes)])


_word: Final = lru_cache(maxsize=4096)(Word)

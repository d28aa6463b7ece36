"""Turns in words, for those who hear a page."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final

from sitegen.notation.read import read_moves
from sitegen.notation.tree import PLAIN, Written
from sitegen.said import Plain, number_in_words

if TYPE_CHECKING:
    from sitegen.notation.tree import TurnWord
    from sitegen.problem import Wrong
    from sitegen.said import Say, Value

_AMOUNTS: Final = {1: "clockwise", 2: "half", 3: "anticlockwise"}
_SIGNS: Final = {"(": "open_group", "[": "open_bracket", ",": "with", ":": "around"}


@lru_cache(maxsize=4096)
def spoken(token: str, say: Say) -> str:
    """A turn, bracket or sign in words: `3Rw'` is "wide right, three layers, anticlockwise"."""
    return say(_said(token))


def _said(token: str) -> Value:
    if token in _SIGNS:
        return Plain(f"turns.{_SIGNS[token]}")
    if token[0] in ")]{":
        return _closing(token)
    faults: list[Wrong] = []
    moves = read_moves(token, faults)
    node = moves.phrases[0].nodes[0] if moves.phrases else None
    return _turn(node.word) if isinstance(node, Written) else token


def _turn(word: TurnWord) -> Value:
    amount: Value = Plain(f"turns.{_AMOUNTS[word.quarters]}")
    if word.letter in PLAIN:
        return Plain(f"turns.{word.letter}", {"amount": amount})
    values = {"side": Plain(f"turns.{word.letter.upper()}"), "amount": amount}
    if word.wide:
        return Plain("turns.wide", {**values, "count": number_in_words(word.last or 2)})
    if word.letter.islower():
        return Plain("turns.small", values)
    if word.first and word.last:
        layers = {"first": number_in_words(word.first), "last": number_in_words(word.last)}
        return Plain("turns.layers", {**values, **layers})
    if word.first:
        return Plain("turns.layer", {**values, "layer": number_in_words(word.first)})
    return Plain("turns.face", values)


def _closing(token: str) -> Value:
    body = token.rstrip("'")
    name, _, count = body.rpartition("}") if "}" in body else ("", "", body[1:])
    if name:
        said: Value = Plain("turns.sequence", {"name": name[1:]})
    else:
        said = Plain("turns.close_group" if token[0] == ")" else "turns.close_bracket")
    if body != token:
        said = Plain("turns.undone", {"what": said})
    return (
        Plain("turns.times", {"what": said, "count": number_in_words(int(count))})
        if count
        else said
    )

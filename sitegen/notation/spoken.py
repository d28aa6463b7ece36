"""Turns in words, for those who hear a page."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final

from sitegen.notation.read import read_moves
from sitegen.notation.tree import Written

if TYPE_CHECKING:
    from sitegen.problem import Wrong

_NAMES: Final = {
    "U": "up",
    "D": "down",
    "L": "left",
    "R": "right",
    "F": "front",
    "B": "back",
    "M": "middle layer as left",
    "E": "middle layer as down",
    "S": "middle layer as front",
    "x": "whole cube as right",
    "y": "whole cube as up",
    "z": "whole cube as front",
}
_AMOUNTS: Final = {1: "clockwise", 2: "half turn", 3: "anticlockwise"}
_COUNTS: Final = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_SIGNS: Final = {"(": "open group", "[": "open bracket", ",": "with", ":": "around"}


@lru_cache(maxsize=4096)
def spoken(token: str) -> str:
    """A turn, bracket or sign in words: `3Rw'` is "wide right, three layers, anticlockwise"."""
    if token in _SIGNS:
        return _SIGNS[token]
    if token[0] in ")]}{":
        return _closing(token)
    faults: list[Wrong] = []
    moves = read_moves(token, faults)
    node = moves.phrases[0].nodes[0] if moves.phrases else None
    if not isinstance(node, Written):
        return token
    word, amount = node.word, _AMOUNTS[node.word.quarters]
    name = _NAMES.get(word.letter) or _NAMES[word.letter.upper()]
    if word.wide:
        return f"wide {name}, {_count(word.last or 2)} layers, {amount}"
    if word.letter in "udlrfb":
        return f"small {name}, {amount}"
    if word.first and word.last:
        return f"{name}, layers {_count(word.first)} to {_count(word.last)}, {amount}"
    if word.first:
        return f"{name}, layer {_count(word.first)} alone, {amount}"
    return f"{name} {amount}" if word.letter in "UDLRFB" else f"{name}, {amount}"


def _closing(token: str) -> str:
    body = token.rstrip("'")
    undone = ", undone" if body != token else ""
    name, _, count = body.rpartition("}") if "}" in body else ("", "", body[1:])
    times = f", {_count(int(count))} times" if count else ""
    if name:
        return f"sequence {name[1:]}{undone}{times}"
    return f"close {'group' if token[0] == ')' else 'bracket'}{undone}{times}"


def _count(number: int) -> str:
    return _COUNTS[number] if 0 < number < len(_COUNTS) else str(number)

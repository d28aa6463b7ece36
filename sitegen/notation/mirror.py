"""The same moves seen from the other side: undone, or in a mirror that exchanges left and right.

The tree keeps its shape, so that a commutator comes out as a commutator.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from sitegen.notation.tree import Group, Moves, Name, Node, Written

_OTHER: Final = str.maketrans("LRlr", "RLrl")
_SAME_WAY: Final = "Mx"
"""Turns about the axis from left to right look the same way round in the mirror."""


def undone(moves: Moves) -> Moves:
    """The moves that undo moves, the last phrase first."""
    return Moves(
        tuple(replace(phrase, nodes=_undone(phrase.nodes)) for phrase in reversed(moves.phrases))
    )


def mirrored(moves: Moves) -> Moves:
    """The moves as a mirror between left and right shows them: `R` is `L'`, `U` is `U'`.

    Raises:
        ValueError: a named sequence is used, whose mirror image has no name.
    """
    return Moves(tuple(replace(phrase, nodes=_mirrored(phrase.nodes)) for phrase in moves.phrases))


def _undone(nodes: tuple[Node, ...]) -> tuple[Node, ...]:
    return tuple(_undo(node) for node in reversed(nodes))


def _undo(node: Node) -> Node:
    if isinstance(node, Written):
        return _other_way(node, node.word.letter)
    if isinstance(node, Name) or node.undone:
        return replace(node, undone=not node.undone)
    if node.mark == ",":
        return replace(node, parts=node.parts[::-1])
    if node.mark == ":":
        return replace(node, parts=(node.parts[0], _undone(node.parts[1])))
    return replace(node, parts=(_undone(node.parts[0]),))


def _mirrored(nodes: tuple[Node, ...]) -> tuple[Node, ...]:
    return tuple(_mirror(node) for node in nodes)


def _mirror(node: Node) -> Node:
    if isinstance(node, Name):
        raise ValueError(f"the mirror image of {{{node.name}}} has no name")  # noqa: TRY004 - a value
    if isinstance(node, Group):
        return replace(node, parts=tuple(map(_mirrored, node.parts)))
    if node.word.letter in _SAME_WAY:
        return node
    return _other_way(node, node.word.letter.translate(_OTHER))


def _other_way(node: Written, letter: str) -> Written:
    """A turn of these layers, seen from a face, the other way.

    A half turn is written without its prime, which would tell the hand the wrong way.
    """
    word = node.word
    before, after = word.text.split(word.letter, 1)
    wide = "w" if after.startswith("w") else ""
    amount = {1: "'", 2: "2", 3: ""}[word.quarters]
    text = f"{before}{letter}{wide}{amount}"
    return node._replace(word=word._replace(text=text, letter=letter, quarters=4 - word.quarters))

"""The same moves seen from the other side: undone, in a mirror, or from behind.

The tree keeps its shape, so that a commutator comes out as a commutator.
"""

from __future__ import annotations

from typing import Final, Literal

from msgspec.structs import replace

from sitegen.notation.tree import AMOUNTS, Group, MoveTree, Name, Node, Written

Mirror = Literal["LR", "FB"]
"""The two sides that a mirror exchanges."""

_OTHER: Final = {
    "LR": str.maketrans("LRlr", "RLrl"),
    "FB": str.maketrans("FBfb", "BFbf"),
}
_SAME_WAY: Final = {"LR": "Mx", "FB": "Sz"}
"""Turns about the axis through the mirror, of which no side gives the sense, look as they did."""


def undone(moves: MoveTree) -> MoveTree:
    """The moves that undo moves, the last phrase first."""
    return MoveTree(
        tuple(replace(phrase, nodes=_undone(phrase.nodes)) for phrase in reversed(moves.phrases))
    )


def mirrored(moves: MoveTree, mirror: Mirror) -> MoveTree:
    """The moves as a mirror shows them: between left and right `R` is `L'`, `U` is `U'`.

    Raises:
        ValueError: a named sequence is used, whose mirror image has no name.
    """
    return MoveTree(
        tuple(replace(phrase, nodes=_mirrored(phrase.nodes, mirror)) for phrase in moves.phrases)
    )


def from_behind(moves: MoveTree) -> MoveTree:
    """The moves that do at the back what these do in front: `R` is `L`, `F` is `B`, `U` is `U`.

    Both mirrors after one another are half a turn of the cube.

    Raises:
        ValueError: as `mirrored`.
    """
    return mirrored(mirrored(moves, "LR"), "FB")


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


def _mirrored(nodes: tuple[Node, ...], mirror: Mirror) -> tuple[Node, ...]:
    return tuple(_mirror(node, mirror) for node in nodes)


def _mirror(node: Node, mirror: Mirror) -> Node:
    if isinstance(node, Name):
        raise ValueError(f"the mirror image of {{{node.name}}} has no name")  # noqa: TRY004 - a value
    if isinstance(node, Group):
        return replace(node, parts=tuple(_mirrored(part, mirror) for part in node.parts))
    if node.word.letter in _SAME_WAY[mirror]:
        return node
    return _other_way(node, node.word.letter.translate(_OTHER[mirror]))


def _other_way(node: Written, letter: str) -> Written:
    """A turn of these layers, seen from a face, the other way.

    A half turn is written without its prime, which would tell the hand the wrong way.
    """
    word = node.word
    before, after = word.text.split(word.letter, 1)
    wide = "w" if after.startswith("w") else ""
    quarters = 4 - word.quarters
    text = f"{before}{letter}{wide}{AMOUNTS[quarters]}"
    return node._replace(word=word._replace(text=text, letter=letter, quarters=quarters))

"""Tree to text: one space between turns, primes as `'`; read again, it is the same tree."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from sitegen.cube.turn import MIDDLES, ROTATIONS
from sitegen.notation.tree import AMOUNTS, MoveTree, Name, Node, Written, outer

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from sitegen.cube.turn import Turn

_ROTATIONS: Final = {face: letter for letter, face in ROTATIONS.items()}
_MIDDLES: Final = {face: letter for letter, face in MIDDLES.items()}


def write_nodes(nodes: Iterable[Node]) -> str:
    """Nodes on one line, comments left out."""
    text = ""
    for token, glue in tokens(nodes):
        text += token if glue or not text else f" {token}"
    return text


def write_moves(moves: MoveTree) -> str:
    """Moves, a line a phrase, comments left out."""
    return "\n".join(write_nodes(phrase.nodes) for phrase in moves.phrases)


def write_turn(turn: Turn, n: int) -> str:
    """One turn on n layers, as a word; rotations and middle layers by their own letters."""
    face, first, last, quarters = turn
    tail = AMOUNTS[quarters]
    if turn.is_rotation(n):
        return _ROTATIONS[face] + tail
    if first == last and 2 * first == n + 1 and face in _MIDDLES:
        return _MIDDLES[face] + tail
    if first == 1:
        return outer(face, last) + tail
    return f"{first}{face}{tail}" if first == last else f"{first}-{last}{face}{tail}"


def tokens(nodes: Iterable[Node], *, close: bool = False) -> Iterator[tuple[str, bool]]:
    """The words and signs of nodes, each with whether it stands close to the one before.

    Args:
        nodes: the nodes.
        close: whether the first stands close.
    """
    for node in nodes:
        if isinstance(node, Written):
            yield node.word.text, close
        elif isinstance(node, Name):
            yield f"{{{node.name}}}{suffix(node.count, undone=node.undone)}", close
        else:
            yield ("(" if node.mark == "(" else "["), close
            first, *second = node.parts
            yield from tokens(first, close=True)
            for part in second:
                yield node.mark, True
                yield from tokens(part)
            closed = ")" if node.mark == "(" else "]"
            yield closed + suffix(node.count, undone=node.undone), True
        close = False


def suffix(count: int, *, undone: bool) -> str:
    """What is written after a bracket or a name."""
    return ("" if count == 1 else str(count)) + ("'" if undone else "")

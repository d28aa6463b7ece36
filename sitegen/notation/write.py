"""Tree to text: one space between turns, primes as `'`; read again, it is the same tree."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.notation.tree import Group, Moves, Name, Node, Written

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator


def write_nodes(nodes: Iterable[Node]) -> str:
    """Nodes on one line, comments left out."""
    text = ""
    for token, glue in tokens(nodes):
        text += token if glue or not text else f" {token}"
    return text


def write_moves(moves: Moves) -> str:
    """Moves, a line a phrase, comments left out."""
    return "\n".join(write_nodes(phrase.nodes) for phrase in moves.phrases)


def tokens(nodes: Iterable[Node]) -> Iterator[tuple[str, bool]]:
    """The words and signs of nodes, each with whether it stands close to the one before."""
    close = False
    for node in nodes:
        if isinstance(node, Written):
            yield node.word.text, close
        elif isinstance(node, Name):
            yield f"{{{node.name}}}{_suffix(node)}", close
        else:
            yield ("(" if node.mark == "(" else "["), close
            first, *second = node.parts
            yield from _closely(first)
            for part in second:
                yield node.mark, True
                yield from tokens(part)
            yield (")" if node.mark == "(" else "]") + _suffix(node), True
        close = False


def _closely(nodes: tuple[Node, ...]) -> Iterator[tuple[str, bool]]:
    inner = tokens(nodes)
    yield next(inner)[0], True
    yield from inner


def _suffix(node: Group | Name) -> str:
    return ("" if node.count == 1 else str(node.count)) + ("'" if node.undone else "")

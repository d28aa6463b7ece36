"""The shapes that written moves have, each with its place in the text.

Nothing here knows how many layers the cube has: `spell` puts a tree on a cube.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct

from sitegen.cube.turn import MIDDLES, ROTATIONS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

FACE: Final = "UDLRFB"
LAYERED: Final = FACE + FACE.lower()
"""The letters that turn some layers of a side, which a number may choose."""

PLAIN: Final = "".join((*MIDDLES, *ROTATIONS))
"""The letters that say by themselves which layers turn."""

AMOUNTS: Final = {1: "", 2: "2", 3: "'"}
"""What is written after a turn's letters, by its quarter turns."""


def outer(face: str, count: int) -> str:
    """What is written for a turn of so many outer layers, but its amount: `R`, `Rw`, `3Rw`."""
    return face if count == 1 else f"{face}w" if count == 2 else f"{count}{face}w"


class TurnWord(NamedTuple):
    """A turn as it is written, wherever it stands.

    Attributes:
        text: as it is printed: primes as `'`, nothing else changed.
        letter: one of `LAYERED` or of `PLAIN`.
        first: the layer or the first of a range, or None: `3` in `3R` and in `3-4R`.
        last: the last of a range, or None; the count of a wide turn stands here: `3` in `3Rw`.
        wide: written with `w`.
        quarters: 1, 2 or 3, clockwise.
    """

    text: str
    letter: str
    first: int | None
    last: int | None
    wide: bool
    quarters: int


class Written(NamedTuple):
    """A turn in its place: the offsets of its first character and past its last."""

    word: TurnWord
    start: int
    end: int


new_written: Final[Callable[[tuple[TurnWord, int, int]], Written]] = partial(tuple.__new__, Written)
"""A `Written`, for where thousands are made: its own `__new__` takes twice as long."""


class Group(Struct, frozen=True):
    """`(A)`, a commutator `[A, B]` or a conjugate `[A: B]`.

    Attributes:
        mark: "(", "," or ":".
        parts: one list of nodes for "(", two for the others.
        count: how many times over.
        undone: written with a prime: the whole is undone, then repeated.
        start: offset of the opening bracket.
        end: offset past the count and prime.
    """

    mark: str
    parts: tuple[tuple[Node, ...], ...]
    count: int
    undone: bool
    start: int
    end: int


class Name(Struct, frozen=True):
    """A named sequence, `{name}`; fields as in `Group`."""

    name: str
    count: int
    undone: bool
    start: int
    end: int


Node = Written | Group | Name


class PhraseTree(Struct, frozen=True):
    """A line of moves; a bracket left open joins the next line to it.

    Attributes:
        nodes: what it says.
        caption: its comment, or "".
        start: offset of the line's first move.
        end: offset past its last.
    """

    nodes: tuple[Node, ...]
    caption: str
    start: int
    end: int


class MoveTree(Struct, frozen=True):
    """Moves as they were written: phrases that hold at least one move each."""

    phrases: tuple[PhraseTree, ...]


def nodes_of(phrases: Iterable[PhraseTree]) -> tuple[Node, ...]:
    """The nodes of phrases, one after another."""
    return tuple([node for phrase in phrases for node in phrase.nodes])


def all_nodes(phrases: Iterable[PhraseTree]) -> Iterator[Node]:
    """The nodes of phrases and those within their brackets, in no order of the text."""
    waiting = [*nodes_of(phrases)]
    while waiting:
        node = waiting.pop()
        yield node
        if isinstance(node, Group):
            waiting += [inner for part in node.parts for inner in part]


class Spacing(NamedTuple):
    """A place where a 2 was read with what stands before it, and could belong to what follows.

    Attributes:
        read: the two words as they were read, spaced.
        other: the two words in the other reading, spaced.
        start: offset of the first of them.
        end: offset past the second.
    """

    read: str
    other: str
    start: int
    end: int

    def moved(self, by: int) -> Spacing:
        """The same, `by` characters further on."""
        return self._replace(start=self.start + by, end=self.end + by)

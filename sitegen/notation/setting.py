"""What moves are read with: the cube, the reading of small letters, the named sequences."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct, field

from sitegen.notation.read import read_moves

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sitegen.notation.tree import MoveTree
    from sitegen.problem import Wrong

Lowercase = Literal["wide", "slice", ""]

MOST_TURNS: Final = 100_000
"""How many turns moves may come to when every count is carried out."""


class Sequences(Struct, frozen=True):
    """Named sequences, as a page or a site gives them.

    Attributes:
        texts: name to moves.
        outer: where a name is looked for that is not here: a page's are the site's.
        lowercase: how lowercase turns in them are read.
        unread: whether there are more of them, which could not be read.
    """

    texts: Mapping[str, str] = field(default_factory=dict)
    outer: Sequences | None = None
    lowercase: Lowercase = ""
    unread: bool = False

    def __contains__(self, name: object) -> bool:
        """Whether a name can be used here."""
        return isinstance(name, str) and self.find(name) is not None

    def find(self, name: str) -> Sequences | None:
        """The sequences that hold a name, or None."""
        if name in self.texts:
            return self
        return self.outer.find(name) if self.outer else None

    def may_have_lost(self, name: str) -> bool:
        """Whether a name may be one of those that could not be read."""
        if name in self.texts:
            return False
        return self.unread or (self.outer is not None and self.outer.may_have_lost(name))

    def names(self) -> list[str]:
        """Every name that can be used here."""
        return sorted({*self.texts, *(self.outer.names() if self.outer else ())})

    def read(self, name: str, faults: list[Wrong]) -> MoveTree:
        """The moves of one of `texts`."""
        return read_moves(self.texts[name], faults)


class MoveSetting(Struct, frozen=True):
    """What moves are to be read with.

    Attributes:
        n: layers each way.
        lowercase: `wide`: `r` is `Rw`; `slice`: `r` is `2R`; "": `r` is an error.
        sequences: the named sequences.
        most: how many turns they may come to.
        typed: whether they are typed at a command, which knows no page and no site.
    """

    n: int
    lowercase: Lowercase = ""
    sequences: Sequences = Sequences()
    most: int = MOST_TURNS
    typed: bool = False

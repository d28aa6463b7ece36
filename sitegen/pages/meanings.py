"""What stands for something else in moves: named sequences, and small letters."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from sitegen.notation.spell import names_in
from sitegen.notation.tree import nodes_of
from sitegen.pages.prose import as_words
from sitegen.pages.site import Meaning, Word

if TYPE_CHECKING:
    from sitegen.notation.setting import Lowercase, Sequences
    from sitegen.notation.tree import MoveTree

_SMALL: Final = re.compile(r"[udlrfb]")
"""A turn that is read as the page or the site says; a rotation is read in one way."""


def small_letter(moves: MoveTree, lowercase: Lowercase) -> Meaning | None:
    """The first small letter in moves, and how it is read; None without one, or a reading."""
    if not lowercase:
        return None
    letters = (_SMALL.match(word.text) for word in as_words(nodes_of(moves.phrases)))
    letter = next(filter(None, letters), None)
    if letter is None:
        return None
    side = letter[0].upper()
    read = f"{side}w" if lowercase == "wide" else f"2{side}"
    return Meaning(letter[0], (Word(read, glue=False),))


class Meanings:
    """Collects the meaning of each name in moves, and of one small letter for each reading."""

    def __init__(self) -> None:
        self._named: dict[str, Meaning] = {}
        self._small: dict[Lowercase, Meaning] = {}

    @property
    def all(self) -> tuple[Meaning, ...]:
        """Names and what is within them, then letters."""
        return (*self._named.values(), *self._small.values())

    def add(self, moves: MoveTree, sequences: Sequences, lowercase: Lowercase) -> None:
        """Add what stands for something else in moves.

        Args:
            moves: the moves.
            sequences: what may be named in them.
            lowercase: how small letters in them are read.
        """
        if lowercase not in self._small and (letter := small_letter(moves, lowercase)):
            self._small[lowercase] = letter
        for name in names_in(moves.phrases):
            holder = sequences.find(name.name)
            if holder and name.name not in self._named:
                inner = holder.read(name.name, [])
                self._named[name.name] = Meaning(name.name, as_words(nodes_of(inner.phrases)))
                # a site that chooses no reading leaves it to the page
                self.add(inner, holder, holder.lowercase or lowercase)

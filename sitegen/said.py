"""What is said to readers: the name of one of the theme's texts, and what is filled in there.

The rooms that know what is to be said do not know in which words: they are given what says it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, Generic, TypeVar

from msgspec import Struct, field

V = TypeVar("V")

LARGEST_IN_WORDS: Final = 12
"""The theme has words for the numbers from two to this: of one thing a whole text speaks."""


class Plain(Struct, Generic[V], frozen=True):
    """Something to be said in plain words, which are the theme's.

    Attributes:
        name: of the text: its section in `words.toml`, a full stop, its name there.
        values: what is filled in, by the names in the text's braces.
    """

    name: str
    values: Mapping[str, V] = field(default_factory=dict)


Value = int | str | tuple["Value", ...] | Plain["Value"]
"""What can be said: a number, in digits; a text that is nobody's to translate, such as an address
or a name of the author's; several things in a row; a text of the theme's."""

Say = Callable[[Value], str]
"""What says it in a reader's language: always the same object for a language."""


def number_in_words(count: int) -> Value:
    """A number in words, if there are some for it."""
    return Plain(f"numbers.{count}") if 1 < count <= LARGEST_IN_WORDS else count

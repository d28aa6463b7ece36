"""What is to be seen in a picture: stickers, what changed, rings, focus."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from sitegen.said import Value


class Ring(Struct, frozen=True):
    """A piece pointed at.

    Attributes:
        stickers: its stickers, each a number 0 <= s < 6*n*n in the order of `Picture.colours`.
        label: a word printed at the ring, or "".
        at: the sticker the label is printed at.
    """

    stickers: tuple[int, ...]
    label: str
    at: int


class Picture(Struct, frozen=True):
    """One position, as a reader is to see it.

    Attributes:
        n: layers each way.
        colours: 6*n*n colour numbers (see `Scheme`), face after face in the order of `FACES`, each
            face row by row as the net of that face is read from outside, unfolded.
        title: what the picture shows, in a few words; "": the picture has no words at all.
        changed: 1 for each sticker that shows another colour than in the picture before, 0 for
            each that does not; empty where there is none before.
        rings: pieces pointed at.
        focus: stickers kept in colour, the rest drawn as bare outlines; None: all in colour.
        letters: print the colour's letter on each sticker.
    """

    n: int
    colours: bytes
    title: Value = ""
    changed: bytes = b""
    rings: tuple[Ring, ...] = ()
    focus: frozenset[int] | None = None
    letters: bool = False

"""Six letters, names and colours: what the stickers of a solved cube are called."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

FACES: Final = "ULFRBD"
"""The six faces in the order in which a net is read: U; L F R B in a row; D."""


class Scheme(Struct, frozen=True):
    """The colours of a solved cube held white up, green in front.

    Each field has six entries, in the order of `FACES`. A colour number, wherever one is met, is
    an index into them: 0 is the colour that U has on the solved cube.

    Attributes:
        letters: one letter a colour, as text nets write them.
        names: the colour in a word.
        values: `#rrggbb` for pictures, or "" where the theme's own colour is to be used.
    """

    letters: str = "WOGRBY"
    names: tuple[str, ...] = ("white", "orange", "green", "red", "blue", "yellow")
    values: tuple[str, ...] = ("", "", "", "", "", "")


DEFAULT: Final = Scheme()
"""White opposite yellow, green opposite blue, red opposite orange; red right of green.

White up and green in front is the grip of WCA Regulations 4d1; that these are opposite pairs, and
that red lies to the right, is common practice, no source.
"""

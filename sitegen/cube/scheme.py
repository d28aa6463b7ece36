"""Six letters, names and colours: what the stickers of a solved cube are called."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from sitegen.said import Plain

if TYPE_CHECKING:
    from sitegen.said import Say

FACES: Final = "ULFRBD"
"""The six faces in the order in which a net is read: U; L F R B in a row; D."""

SIDES: Final = {
    "top": "U",
    "up": "U",
    "upper": "U",
    "left": "L",
    "front": "F",
    "right": "R",
    "back": "B",
    "bottom": "D",
    "down": "D",
    "lower": "D",
}
"""What people call a side, and its letter."""

NO_COLOUR: Final = 255
"""Where a colour number stands elsewhere: of a cell that is not checked, of what does not count."""


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


@lru_cache(maxsize=64)
def in_words(scheme: Scheme, say: Say) -> Scheme:
    """A scheme with the names that a reader's language has for its colours.

    The theme has texts for the names of the default scheme; others are the site's own.
    """
    known = DEFAULT.names
    names = [say(Plain(f"colours.{name}") if name in known else name) for name in scheme.names]
    return replace(scheme, names=tuple(names))

"""STYLES: the ways in which a position can be drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Protocol

from msgspec import Struct

from sitegen.draw import corner, unfolded

if TYPE_CHECKING:
    from sitegen.cube.scheme import Scheme
    from sitegen.draw.picture import Picture
    from sitegen.told import Say


class Draw(Protocol):
    """A position to SVG markup; what the arguments mean is said at `unfolded.draw`."""

    def __call__(self, picture: Picture, scheme: Scheme, say: Say, *, standalone: bool) -> str:
        """Draw it."""


class Style(Struct, frozen=True):
    """A way of drawing.

    Attributes:
        draw: the drawing itself.
        meaning: what it shows, in a line for the reference page.
    """

    draw: Draw
    meaning: str


STYLES: Final[dict[str, Style]] = {
    "net": Style(unfolded.draw, "all six faces, unfolded"),
    "corner": Style(corner.draw, "three faces, seen over the corner of up, front and right"),
}
"""The word that asks for a style in a block, to the style."""

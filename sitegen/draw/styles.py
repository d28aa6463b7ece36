"""STYLES: the ways in which a position can be drawn, and the drawing that all share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.cube.scheme import FACES
from sitegen.draw import corner, unfolded
from sitegen.draw.palette import stylesheet
from sitegen.draw.rings import covered, draw_rings
from sitegen.draw.words import describe_picture

if TYPE_CHECKING:
    from collections.abc import Callable

    from sitegen.cube.scheme import Scheme
    from sitegen.draw.ink import Canvas
    from sitegen.draw.picture import Picture
    from sitegen.draw.rings import CornersOf
    from sitegen.said import Say


class Style(NamedTuple):
    """A way of drawing.

    Attributes:
        name: the word that asks for it in a block, and the name of the text in `[picture]` of the
            theme's table that tells its faces row by row.
        meaning: what it shows, in a line for the reference page.
        faces: the faces that it shows, in the order in which they are told.
        canvas: what a cube of so many layers is drawn on.
        place: where stickers are on it.
        lay: lays the faces there, as markup; some stickers have no letter in any case.
    """

    name: str
    meaning: str
    faces: str
    canvas: Callable[[int], Canvas]
    place: CornersOf
    lay: Callable[[Picture, Scheme, frozenset[int]], str]

    def draw(self, picture: Picture, scheme: Scheme, say: Say, *, standalone: bool = False) -> str:
        """A position as SVG markup.

        Args:
            picture: what is shown; without a title it has no words and is hidden from screen
                readers.
            scheme: letters for words and stickers; which of its colours are dark. Their values
                only where the picture stands alone, since a page has them in its stylesheet.
            say: says the theme's texts.
            standalone: a file for itself, with stylesheet and paper, not a part of an HTML page.
        """
        n, rings, place, canvas = picture.n, picture.rings, self.place, self.canvas(picture.n)
        unlettered = covered(n, rings, place, canvas) if picture.letters else frozenset()
        return canvas.filled(
            self.lay(picture, scheme, unlettered) + draw_rings(n, rings, place, canvas),
            title=say(picture.title),
            desc=describe_picture(picture, scheme, say, self.name, self.faces)
            if picture.title
            else "",
            style=stylesheet(scheme, (n,)) if standalone else "",
        )


STYLES: Final = {
    style.name: style
    for style in (
        Style(
            "net",
            "all six faces, unfolded",
            FACES,
            unfolded.canvas,
            unfolded.place,
            unfolded.lay_faces,
        ),
        Style(
            "corner",
            "three faces, seen over the corner of up, front and right",
            "UFR",
            corner.canvas,
            corner.place,
            corner.lay_faces,
        ),
    )
}
"""Every style by its name, in the order of the reference page."""

"""Strokes, outlines and words on a sheet; the one door to svgwrite."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple
from xml.etree import ElementTree as ET

if TYPE_CHECKING:
    from collections.abc import Sequence

Point = tuple[float, float]

_UNWRITABLE: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What no XML document can hold (XML 1.0, production 2), escaped or not."""


@cache
def _made_by() -> dict[str, Any]:
    """The makers of elements, loaded when the first picture is drawn and not before."""
    # svgwrite takes 57 ms to load, which a check or a message on the terminal should not cost
    from svgwrite.base import Desc, Title  # noqa: PLC0415
    from svgwrite.container import SVG, Group, Style  # noqa: PLC0415
    from svgwrite.path import Path  # noqa: PLC0415
    from svgwrite.text import Text  # noqa: PLC0415

    makers = (Desc, Title, SVG, Group, Style, Path, Text)
    return {maker.elementname: maker for maker in makers}


def number(value: float) -> str:
    """A coordinate in two decimals at most, as short as can be: 0.50 is `.5`."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text


def outline(points: Sequence[Point]) -> str:
    """Path data of the closed polygon through the points."""
    return "M" + "L".join([f"{number(x)} {number(y)}" for x, y in points]) + "z"


class Box(NamedTuple):
    """A rectangle: left, top, right, bottom."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def corners(self) -> tuple[Point, ...]:
        """Clockwise from the left top."""
        return (
            (self.left, self.top),
            (self.right, self.top),
            (self.right, self.bottom),
            (self.left, self.bottom),
        )

    def overlap(self, other: Box) -> float:
        """The area the two share."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.bottom, other.bottom) - max(self.top, other.top)
        return max(wide, 0) * max(high, 0)

    def within(self, view: Box) -> Box:
        """The same box moved as little as brings it into view, left and top before all else."""
        right = max(min(0, view.right - self.right), view.left - self.left)
        down = max(min(0, view.bottom - self.bottom), view.top - self.top)
        return Box(self.left + right, self.top + down, self.right + right, self.bottom + down)


class Sheet:
    """One drawing, or a part of it with coordinates of its own."""

    def __init__(self, element: Any, root: Any) -> None:  # noqa: ANN401 - svgwrite has no types
        self._element = element
        self._root = root

    def path(self, kind: str, data: str, **more: str) -> None:
        """A path of a class of the stylesheet; `more` are attributes, `_` standing for `-`."""
        made = _made_by()["path"]
        self._element.add(made(data, class_=kind, factory=self._root, **more))

    def text(self, words: str, x: str, y: str, **more: str) -> None:
        """Words at x, y; x may be a list with blanks between, a number for each character."""
        text = _made_by()["text"](_writable(words), factory=self._root, **more)
        text.update({"x": x, "y": y})  # as arguments they would be taken apart digit by digit
        self._element.add(text)

    def part(self, **attributes: str) -> Sheet:
        """A part of this sheet with a class or a transform for all that is in it."""
        group = _made_by()["g"](factory=self._root, **attributes)
        return Sheet(self._element.add(group), self._root)

    def __str__(self) -> str:
        # the blank before "/>" is a byte an element; in words and attributes ">" is escaped
        markup = ET.tostring(self._element.get_xml(), encoding="unicode")
        return markup.replace(" />", "/>")


def sheet(  # noqa: PLR0913 - what every drawing says of itself
    kind: str,
    view: Box,
    scale: float,
    *,
    title: str,
    desc: str,
    style: str = "",
) -> Sheet:
    """An empty drawing.

    Args:
        kind: its classes.
        view: what is seen of it.
        scale: CSS pixels to a unit, where the page says nothing.
        title: its name; without one it has no words at all.
        desc: what it shows, in words.
        style: a stylesheet to carry along, which makes it a file that stands alone.
    """
    made = _made_by()
    wide, high = view.right - view.left, view.bottom - view.top
    box = " ".join([number(value) for value in (view.left, view.top, wide, high)])
    root = made["svg"](debug=False, class_=kind, viewBox=box, width=str(round(wide * scale)))
    root.elements.clear()  # the empty <defs> that svgwrite puts first
    if title:
        # no id is needed, so any number of drawings can stand on a page
        root["role"] = "img"
        root.set_desc(_writable(title), _writable(desc))
    drawn = Sheet(root, root)
    if style:
        root["xmlns"] = "http://www.w3.org/2000/svg"
        root.add(made["style"](style, factory=root))
        drawn.path("paper", outline(view.corners))
    return drawn


def _writable(words: str) -> str:
    return _UNWRITABLE.sub("\ufffd", words)

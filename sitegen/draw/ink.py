"""Strokes, outlines and words as SVG markup; the one door to svgwrite.

An element of each kind is made by svgwrite once, with `%` fields where one differs from the next,
and that markup is filled in as often as it is needed: a page has hundreds of elements of ten kinds.
Whoever keeps these (`ELEMENTS`) for the next start has no need to load svgwrite.
"""

from __future__ import annotations

from functools import cache, lru_cache
from html import escape
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final, NamedTuple, TypeVarTuple

from sitegen.in_xml import in_xml

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

MadeFrom = TypeVarTuple("MadeFrom")

Point = tuple[float, float]

ELEMENTS: Final[dict[tuple[Any, ...], str]] = {}
"""The markup of all elements made so far, by what they were made from: a few for each N. Plain
values all of them, and the same wherever sitegen and svgwrite are the same."""


def _kept(make: Callable[[*MadeFrom], str]) -> Callable[[*MadeFrom], str]:
    """Have a function make each element once; what it made is looked up in `ELEMENTS`."""

    def kept(*made_from: *MadeFrom) -> str:
        what = make.__name__, *made_from
        if what not in ELEMENTS:
            ELEMENTS[what] = make(*made_from)
        return ELEMENTS[what]

    return kept


@cache
def _made_by() -> dict[str, Any]:
    """The classes of svgwrite, by the names of their elements; loaded when one is first drawn."""
    # svgwrite takes 50 ms to load, which a check or a message on the terminal should not cost
    from svgwrite.base import Desc, Title  # noqa: PLC0415
    from svgwrite.container import SVG, Group, Style  # noqa: PLC0415
    from svgwrite.path import Path  # noqa: PLC0415
    from svgwrite.text import Text  # noqa: PLC0415

    makers = (Desc, Title, SVG, Group, Style, Path, Text)
    return {maker.elementname: maker for maker in makers}


@lru_cache(maxsize=4096)
def number(value: float) -> str:
    """A coordinate in two decimals at most, as short as can be: 0.50 is `.5`."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text


def after(number: str) -> str:
    """A number as path data has it after another: a minus parts them as well as a blank does."""
    return number if number.startswith("-") else f" {number}"


def outlines(polygons: Iterable[Sequence[Point]]) -> str:
    """Path data of the closed polygons through points, each side by how far it leads."""
    words: list[str] = []
    pen: Point | None = None
    for points in polygons:
        x, y = points[0]
        ways = [f"M{_pair(points[0])}"]
        if pen:  # closing a polygon has led it back to where that begins
            ways.append(f"m{_pair((x - pen[0], y - pen[1]))}")
        words.append(min(ways, key=len))
        words += [_side(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points)]
        words.append("z")
        pen = x, y
    return "".join(words)


def _side(right: float, down: float) -> str:
    if not down:
        return f"h{number(right)}"
    return f"l{_pair((right, down))}" if right else f"v{number(down)}"


def _pair(point: Point) -> str:
    return number(point[0]) + after(number(point[1]))


class Rectangle(NamedTuple):
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

    def overlap(self, other: Rectangle) -> float:
        """The area the two share."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        if wide <= 0:
            return 0
        return wide * max(min(self.bottom, other.bottom) - max(self.top, other.top), 0)

    def within(self, view: Rectangle) -> Rectangle:
        """The same box moved as little as brings it into view, left and top before all else."""
        right = max(min(0, view.right - self.right), view.left - self.left)
        down = max(min(0, view.bottom - self.bottom), view.top - self.top)
        return Rectangle(self.left + right, self.top + down, self.right + right, self.bottom + down)


def path(kind: str, data: str) -> str:
    """A path of a class of the stylesheet."""
    return _path(kind) % data


@_kept
def _path(kind: str) -> str:
    return _markup(_made_by()["path"]("%s", class_=kind, debug=False))


def text(words: str, **attributes: str) -> str:
    """Words at `x`, `y`; `x` may be a list with blanks between, a number for each character."""
    return _text(tuple(attributes)) % {**attributes, "words": _written(words)}


@_kept
def _text(names: tuple[str, ...]) -> str:
    element = _made_by()["text"]("%(words)s", debug=False)
    element.update({name: f"%({name})s" for name in names})
    return _markup(element)


def group(inside: str, **attributes: str) -> str:
    """Markup with a class or a transform for all that is in it."""
    return _group(tuple(attributes.items())) % inside


@_kept
def _group(attributes: tuple[tuple[str, str], ...]) -> str:
    return _markup(_made_by()["g"](debug=False, **dict(attributes)), "%s")


class Canvas(NamedTuple):
    """What a drawing is drawn on.

    Attributes:
        classes: of its root element, for stylesheets.
        view: what is seen of it.
        scale: CSS pixels to a unit where it is shown at its own size.
    """

    classes: str
    view: Rectangle
    scale: float

    def filled(self, inside: str, *, title: str, desc: str, style: str = "") -> str:
        """The whole drawing.

        Args:
            inside: what is drawn, as markup.
            title: its name; without one it has no words at all.
            desc: what it shows, in words.
            style: a stylesheet to carry along, which makes it a file that stands alone.
        """
        words = ""
        if title:
            words = _words("title") % _written(title) + _words("desc") % _written(desc)
        if style:
            carried = _words("style") % style
            inside = carried + path("paper", outlines([self.view.corners])) + inside
        classes, view, scale = self
        return _root(classes, (*view,), scale, bool(title), bool(style)) % (words + inside)


@_kept
def _root(classes: str, view: tuple[float, ...], scale: float, has_words: bool, alone: bool) -> str:
    left, top, right, bottom = view
    wide, high = right - left, bottom - top
    box = " ".join([number(value) for value in (left, top, wide, high)])
    root = _made_by()["svg"](debug=False, class_=classes, viewBox=box)
    root.elements.clear()  # the empty <defs> that svgwrite puts first
    if alone:
        root["width"] = str(round(wide * scale))
        root["xmlns"] = "http://www.w3.org/2000/svg"
    if has_words:
        root["role"] = "img"  # no id is needed, so any number of drawings can stand on a page
    elif not alone:
        root["aria-hidden"] = "true"  # labels at rings would be read out, and nothing else
    return _markup(root, "%s")


@_kept
def _words(name: str) -> str:
    return _markup(_made_by()[name]("%s"))


def _markup(element: Any, inside: str = "") -> str:  # noqa: ANN401 - svgwrite has no types
    """An element as svgwrite has it written; `inside` is put into one that holds others."""
    from xml.etree import ElementTree as ET  # noqa: PLC0415 - loaded with svgwrite

    xml = element.get_xml()
    if inside:
        xml.text = inside
    # the blank before "/>" is a byte an element; nothing an author wrote is in it yet
    return ET.tostring(xml, encoding="unicode").replace(" />", "/>")


def _written(words: str) -> str:
    """An author's words as XML can hold them."""
    return escape(in_xml(words), quote=False)

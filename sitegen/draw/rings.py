"""Rings round pieces, and the words at them, placed where they fit."""

from __future__ import annotations

from functools import lru_cache
from itertools import chain
from math import inf
from typing import TYPE_CHECKING
from unicodedata import combining, east_asian_width

from sitegen.draw.ink import Rectangle, number, outlines, path, text
from sitegen.draw.sizes import font_size, size

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from sitegen.draw.ink import Canvas, Point
    from sitegen.draw.picture import Ring

    CornersOf = Callable[[int, int], tuple[Point, ...] | None]
    """A sticker's four corners on the canvas, by the cube's layers and its number; None where the
    picture does not show it."""


@lru_cache(maxsize=512)
def draw_rings(n: int, rings: tuple[Ring, ...], place: CornersOf, canvas: Canvas) -> str:
    """All rings, then all labels, so that no ring crosses a word, as markup.

    Args:
        n: layers each way.
        rings: what is drawn.
        place: where stickers are.
        canvas: what they are drawn on.
    """
    stickers = list(chain.from_iterable(_shown(n, rings, place)))
    if not stickers:
        return ""
    data = outlines(stickers)
    drawn = path("halo", data) + path("ring", data)
    em = font_size(n, canvas.scale)
    # said only where it is not what the stylesheet has
    sized = {} if em == font_size(n) else {"font_size": number(em)}
    for label, box in _labels(n, rings, place, canvas):
        drawn += _label(label, box, em, sized)
    return drawn


@lru_cache(maxsize=512)
def covered(n: int, rings: tuple[Ring, ...], place: CornersOf, canvas: Canvas) -> frozenset[int]:
    """The stickers whose letter a label would hide or touch; the arguments are `draw_rings`'s."""
    beyond = size(n).unit / 4  # half of a letter
    boxes = [
        Rectangle(box.left - beyond, box.top - beyond, box.right + beyond, box.bottom + beyond)
        for _, box in _labels(n, rings, place, canvas)
    ]
    stickers = range(6 * n * n) if boxes else ()
    middles = {sticker: _center(at) for sticker in stickers if (at := place(n, sticker))}
    return frozenset(
        sticker
        for sticker, (x, y) in middles.items()
        if any(box.left < x < box.right and box.top < y < box.bottom for box in boxes)
    )


@lru_cache(maxsize=512)
def _labels(
    n: int, rings: tuple[Ring, ...], place: CornersOf, canvas: Canvas
) -> tuple[tuple[str, Rectangle], ...]:
    """Every label that is shown, and the box that it stands in."""
    shown = _shown(n, rings, place)
    taken = [_bounds(corners) for corners in chain.from_iterable(shown)]
    em, view = font_size(n, canvas.scale), canvas.view
    found = []
    for ring, seen in zip(rings, shown, strict=True):
        if ring.label and seen:
            at = _bounds(place(n, ring.at) or seen[0])
            wide = min(width(ring.label) * em, view.right - view.left)
            boxes = _inside(at, wide, em) or _around(at, wide, em)
            best = _freest((box.within(view) for box in boxes), taken)
            taken.append(best)
            found.append((ring.label, best))
    return tuple(found)


def _shown(n: int, rings: tuple[Ring, ...], place: CornersOf) -> list[list[tuple[Point, ...]]]:
    """The corners of each ring's stickers, of those that are seen."""
    return [[corners for s in ring.stickers if (corners := place(n, s))] for ring in rings]


def _freest(boxes: Iterable[Rectangle], taken: list[Rectangle]) -> Rectangle:
    """The first of the boxes that overlap least with those taken."""
    least = inf
    for box in boxes:
        hidden = sum([box.overlap(other) for other in taken])
        if hidden < least:
            least, best = hidden, box
        if not hidden:
            break
    return best


def _label(label: str, box: Rectangle, em: float, sized: Mapping[str, str]) -> str:
    """A label in the middle of a box, squeezed where it would not fit."""
    room = box.right - box.left
    fits = width(label) * em <= room + 1e-9
    squeezed = {} if fits else {"textLength": number(room), "lengthAdjust": "spacingAndGlyphs"}
    x, y = number((box.left + box.right) / 2), number(box.bottom - 0.27 * em)
    return text(label, class_="tag", **sized, x=x, y=y, **squeezed)


def _inside(at: Rectangle, wide: float, em: float) -> tuple[Rectangle, ...]:
    """A box for a word within the sticker, if it fits there."""
    box = _middle(at, wide, em)
    inside = box.within(at) == box and wide < 0.8 * (at.right - at.left)
    return (box,) if inside else ()


def _around(at: Rectangle, wide: float, em: float) -> Iterable[Rectangle]:
    """Boxes for a word above, below, right and left of the sticker."""
    left, top, right, bottom = _middle(at, wide, em)
    space = 0.1 * em
    for x, y in (
        (left, at.top - space - bottom + top),
        (left, at.bottom + space),
        (at.right + space, top),
        (at.left - space - wide, top),
    ):
        yield Rectangle(x, y, x + right - left, y + bottom - top)


def _middle(at: Rectangle, wide: float, em: float) -> Rectangle:
    x, y = (at.left + at.right) / 2, (at.top + at.bottom) / 2
    return Rectangle(x - wide / 2, y - 0.58 * em, x + wide / 2, y + 0.58 * em)


def _center(corners: tuple[Point, ...]) -> Point:
    return sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners)


def _bounds(corners: tuple[Point, ...]) -> Rectangle:
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return Rectangle(min(xs), min(ys), max(xs), max(ys))


def width(words: str) -> float:
    """About how wide words are in bold, in ems, rather too wide than cut off."""
    return 0.3 + sum(_advance(letter) for letter in words)


def _advance(letter: str) -> float:
    if combining(letter):
        return 0
    if east_asian_width(letter) in "WF" or letter in "MWmw@%":
        return 1
    return 0.45 if letter in "fijlrtI.,:;'|!() " else 0.78 if letter.isupper() else 0.68

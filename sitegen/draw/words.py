"""What a picture shows, in words, for those who do not see it."""

from __future__ import annotations

from functools import lru_cache
from operator import itemgetter
from typing import TYPE_CHECKING, Final

from sitegen.cube.address import write_sticker
from sitegen.cube.pieces import pieces
from sitegen.cube.scheme import FACES

if TYPE_CHECKING:
    from collections.abc import Callable

    from sitegen.cube.scheme import Scheme
    from sitegen.draw.picture import Picture, Ring

NAMES: Final = ("Up", "Left", "Front", "Right", "Back", "Down")
"""The faces in words, in the order of `FACES`."""


def letters(picture: Picture, scheme: Scheme, out: str) -> str:
    """The colour letter of every sticker, in the order of `Picture.colours`; `out` of focus."""
    text = picture.colours.decode("latin-1").translate(dict(enumerate(scheme.letters)))
    focus = picture.focus
    if focus is None:
        return text
    return "".join([letter if place in focus else out for place, letter in enumerate(text)])


def describe(picture: Picture, scheme: Scheme, faces: str = FACES) -> str:
    """The faces row by row, then what changed and what is ringed: `Up: WWW WWW WWW. Left: ...`.

    A sticker out of focus is a hyphen.

    Args:
        picture: what is shown.
        scheme: the letters of the colours.
        faces: the faces that the picture shows, as letters.
    """
    n = picture.n
    area = n * n
    text = letters(picture, scheme, "-")
    shown = [FACES.index(face) for face in faces]
    parts = [_sentences(n, faces) % _rows(n, faces)(text)]
    if 1 in picture.changed:
        counts = [picture.changed.count(1, face * area, (face + 1) * area) for face in shown]
        parts.append(f"Changed: {_changes(counts, shown, area)}")
    parts += [_ring_words(ring, n, shown) for ring in picture.rings]
    return ". ".join(parts) + "."


def _changes(counts: list[int], shown: list[int], area: int) -> str:
    """How many stickers changed on which faces; of all there are, where most of them did."""
    changed, every = sum(counts), area * len(shown)
    if 2 * changed > every:
        return f"{changed} of {every}"
    listed = zip(shown, counts, strict=True)
    return ", ".join([f"{NAMES[face]} {count}" for face, count in listed if count]) or "none"


@lru_cache(maxsize=64)
def _sentences(n: int, faces: str) -> str:
    """A sentence for each face, to be filled in with its rows."""
    rows = " ".join(["%s"] * n)
    return ". ".join([f"{NAMES[FACES.index(face)]}: {rows}" for face in faces])


@lru_cache(maxsize=64)
def _rows(n: int, faces: str) -> Callable[[str], tuple[str, ...]]:
    """What cuts the letters of a whole net into the rows of some faces."""
    firsts = [(FACES.index(face) * n + row) * n for face in faces for row in range(n)]
    return itemgetter(*(slice(first, first + n) for first in firsts))


def _ring_words(ring: Ring, n: int, shown: list[int]) -> str:
    """The addresses of the pieces in a ring; of a sticker, where not all of its piece are."""
    held, ringed = pieces(n), {*ring.stickers}
    places = [
        write_sticker(min(piece) if ringed.issuperset(piece) else sticker, n)
        for sticker in ring.stickers
        if sticker // (n * n) in shown
        for piece in [held.all[held.of[sticker]].stickers]
    ]
    name = f"Ringed {ring.label}" if ring.label else "Ringed"
    return f"{name}: {', '.join(dict.fromkeys(places)) or 'out of sight'}"

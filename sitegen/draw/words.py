"""What a picture shows, in words, for those who do not see it."""

from __future__ import annotations

from functools import lru_cache
from operator import itemgetter
from typing import TYPE_CHECKING, Final

from sitegen.cube.address import write_sticker
from sitegen.cube.pieces import pieces
from sitegen.cube.scheme import FACES
from sitegen.said import Plain

if TYPE_CHECKING:
    from collections.abc import Callable

    from sitegen.cube.scheme import Scheme
    from sitegen.draw.picture import Picture, Ring
    from sitegen.said import Say, Value

_TEXTS: Final = ("up", "left", "front", "right", "back", "down")
"""What the theme's texts call the faces, in the order of `FACES`."""


def _letters(picture: Picture, scheme: Scheme) -> str:
    """The colour letter of every sticker, in the order of `Picture.colours`; `-` out of focus."""
    text = picture.colours.decode("latin-1").translate(dict(enumerate(scheme.letters)))
    focus = picture.focus
    if focus is None:
        return text
    return "".join([letter if place in focus else "-" for place, letter in enumerate(text)])


def describe_picture(picture: Picture, scheme: Scheme, say: Say, style: str, faces: str) -> str:
    """The faces row by row, then what changed and what is ringed: `Up: WWW WWW WWW. Left: ...`.

    A sticker out of focus is a hyphen.

    Args:
        picture: what is shown.
        scheme: the letters of the colours.
        say: says the theme's texts.
        style: the name of the text that tells the faces row by row.
        faces: the faces that the picture shows, as letters.
    """
    n = picture.n
    shown = [FACES.index(face) for face in faces]
    rows = _rows(n, faces)(_letters(picture, scheme))
    said: list[Value] = [
        Plain(
            f"picture.{style}",
            {_TEXTS[face]: " ".join(rows[i * n : i * n + n]) for i, face in enumerate(shown)},
        )
    ]
    if 1 in picture.changed:
        area = n * n
        counts = {face: picture.changed.count(1, face * area, (face + 1) * area) for face in shown}
        said.append(_changes(counts, area))
    said += [_ringed(ring, n, shown) for ring in picture.rings]
    return " ".join(map(say, said))


def _changes(counts: dict[int, int], area: int) -> Value:
    """How many stickers changed on which faces; of all there are, where most of them did."""
    changed, every = sum(counts.values()), area * len(counts)
    if 2 * changed > every:
        return Plain("picture.changed_most", {"count": changed, "all": every})
    if not changed:
        return Plain("picture.changed_unseen")
    listed: list[Value] = [
        Plain(f"picture.changed_{_TEXTS[face]}", {"count": count})
        for face, count in counts.items()
        if count
    ]
    return Plain("picture.changed", {"faces": tuple(listed)})


@lru_cache(maxsize=64)
def _rows(n: int, faces: str) -> Callable[[str], tuple[str, ...]]:
    """What cuts the letters of a whole net into the rows of some faces."""
    firsts = [(FACES.index(face) * n + row) * n for face in faces for row in range(n)]
    return itemgetter(*(slice(first, first + n) for first in firsts))


def _ringed(ring: Ring, n: int, shown: list[int]) -> Value:
    """The addresses of the pieces in a ring; of a sticker, where not all of its piece are."""
    cube_pieces, ringed = pieces(n), {*ring.stickers}
    places = [
        write_sticker(min(piece) if ringed.issuperset(piece) else sticker, n)
        for sticker in ring.stickers
        if sticker // (n * n) in shown
        for piece in [cube_pieces.at(sticker).stickers]
    ]
    name = "picture.ringed_as" if ring.label else "picture.ringed"
    values: dict[str, Value] = {"label": ring.label, "places": tuple(dict.fromkeys(places))}
    return Plain(name if places else f"{name}_unseen", values)

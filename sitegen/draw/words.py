"""What a picture shows, in words, for those who do not see it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from sitegen.cube.scheme import FACES

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.cube.scheme import Scheme
    from sitegen.draw.picture import Picture

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
    parts = [
        f"{NAMES[face]}: "
        + " ".join([text[row : row + n] for row in range(face * area, (face + 1) * area, n)])
        for face in shown
    ]
    if picture.changed:
        parts.append(f"Changed: {_counted(picture.changed, area, shown)}")
    parts.extend(_ring_words(picture, shown))
    return ". ".join(parts) + "."


def _counted(stickers: Iterable[int], area: int, shown: list[int]) -> str:
    counts = [0] * len(FACES)
    for sticker in stickers:
        counts[sticker // area] += 1
    return ", ".join([f"{NAMES[face]} {counts[face]}" for face in shown if counts[face]]) or "none"


def _ring_words(picture: Picture, shown: list[int]) -> Iterable[str]:
    n = picture.n
    for ring in picture.rings:
        places = [
            f"{NAMES[face]} row {place // n + 1} column {place % n + 1}"
            for face, place in (divmod(sticker, n * n) for sticker in ring.stickers)
            if face in shown
        ]
        name = f"Ringed {ring.label}" if ring.label else "Ringed"
        yield f"{name}: {', '.join(places) or 'out of sight'}"

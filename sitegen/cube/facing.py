"""A face that is drawn as if it were seen from another side."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING, Final

from sitegen.cube.geometry import OPPOSITE
from sitegen.cube.position import Position
from sitegen.cube.possible import is_possible
from sitegen.cube.scheme import FACES

if TYPE_CHECKING:
    from collections.abc import Callable

    from sitegen.cube.textnet import Net

    _Way = Callable[[int, int, int], tuple[int, int]]

_WAYS: Final[dict[str, _Way]] = {
    "with left and right exchanged": lambda n, row, column: (row, n - 1 - column),
    "with top and bottom exchanged": lambda n, row, column: (n - 1 - row, column),
    "turned upside down": lambda n, row, column: (n - 1 - row, n - 1 - column),
}
"""How a face may be drawn, and where each of its cells belongs then."""

_STANDS: Final = {
    "U": "with its bottom row at F",
    "D": "with its top row at F",
    "B": "with its left column at R",
}
"""How the faces are drawn that do not stand below U."""


def seen_otherwise(net: Net, position: Position) -> str:
    """What a message adds about a net of which one face is right but for how it is seen; or "".

    The others have to be right, and one beside it to show several colours: what a wrong turn does
    to a face it does to those as well.
    """
    n = position.n
    drawn: dict[int, dict[int, int]] = {}
    for cell in net.stated:
        face, place = divmod(cell.sticker, n * n)
        drawn.setdefault(face, {})[place] = cell.colour
    wrong = [
        face
        for face, cells in drawn.items()
        if not cells.items() <= dict(enumerate(position.face(face))).items()
    ]
    if len(wrong) != 1 or len(drawn[wrong[0]]) < n * n:
        return ""
    (face,) = wrong
    letter = FACES[face]
    beside = (cells for one, cells in drawn.items() if FACES[one] not in (letter, OPPOSITE[letter]))
    if all(len({*cells.values()}) == 1 for cells in beside):
        return ""
    cells = bytes(drawn[face][at] for at in range(n * n))
    ways = (how for how, way in _WAYS.items() if _seen(position, face, way) == cells)
    return next((f"; {_drawn(face, how)}" for how in ways), "")


def possible_otherwise(position: Position) -> str:
    """Which one face has to be seen otherwise for a picture to be possible, and how; or ""."""
    n = position.n
    size = n * n
    found = []
    for face, (how, way) in product(range(6), _WAYS.items()):
        turned = _seen(position, face, way)
        colours = position.colours[: face * size] + turned + position.colours[(face + 1) * size :]
        if colours != position.colours and is_possible(Position.showing(n, colours)):
            found.append(_drawn(face, how))
    return found[0] if len(found) == 1 else ""


def _seen(position: Position, face: int, way: _Way) -> bytes:
    """The colours of a face, cell by cell as it is drawn in some way."""
    n, shown = position.n, position.face(face)
    places = (way(n, *divmod(at, n)) for at in range(n * n))
    return bytes(shown[row * n + column] for row, column in places)


def _drawn(face: int, how: str) -> str:
    letter = FACES[face]
    seen = _STANDS.get(letter, "with U above it")
    return f"the face {letter} is drawn {how}: it is seen from outside, {seen}"

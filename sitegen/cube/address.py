"""A piece's address, `UF2R`, read and written: its layers, named in the words of the turns."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from msgspec import Struct

from sitegen.cube.geometry import AXIS, OPPOSITE, geometry
from sitegen.cube.pieces import ORDER, adjacent, pieces
from sitegen.cube.size import a_cube
from sitegen.cube.turn import MIDDLES
from sitegen.problem import Wrong
from sitegen.wording import in_plain_signs

_PART: Final = re.compile(r"([0-9]*)([A-Za-z])")
_WHOLE: Final = re.compile(r"[UDLRFB](?:[0-9]{0,9}[UDLRFB]){1,2}")
"""Nine digits of a layer are read, as in turns: of thousands Python makes no number."""


class Address(Struct, frozen=True):
    """An address on a cube of n layers.

    Attributes:
        is_edge: whether it is a whole edge, `UF`, be it of one piece alone, as on a 3x3.
        sticker: the sticker meant, on the face named first; of a whole edge of more than one
            piece, -1.
        stickers: all stickers of the piece, or of all pieces of the whole edge.
    """

    is_edge: bool
    sticker: int
    stickers: tuple[int, ...]


def looks_like_address(text: str) -> bool:
    """Whether a word has the shape of an address, whatever the cube: see `read_address`."""
    if not _WHOLE.fullmatch(text):
        return False
    parts = _PART.findall(text)
    faces = "".join(face for _, face in parts)
    numbered = [bool(number) for number, _ in parts]
    return adjacent(faces) and numbered in (
        [False, False],
        [False, False, False],
        [False, False, True],
        [False, True, True],
    )


def read_address(text: str, n: int) -> Address:
    """Read an address: `UFR`, `UF`, `UF2R`, `U2F3R`.

    Raises:
        Wrong: `layer-range` for a piece that this cube does not have, or that is named from the
            far side; `bad-value` for what is no address at all.
    """
    if not looks_like_address(text):
        raise Wrong("bad-value", _no_address(text), 0, len(text))
    parts = [(int(number or 1), face) for number, face in _PART.findall(text)]
    faces = [face for _, face in parts]
    _check_layers(text, parts, n)
    if len(parts) == 2:
        return _whole_edge(faces, n)
    sticker = _sticker(parts, n)
    return Address(is_edge=False, sticker=sticker, stickers=pieces(n).at(sticker).stickers)


def _sticker(parts: list[tuple[int, str]], n: int) -> int:
    """The sticker on the first face of the piece in three layers, the face's own the first."""
    cube, cell = geometry(n), [0, 0, 0]
    for layer, face in parts:
        cell[AXIS[face]] = cube.coordinate(layer, face)
    return cube.sticker_at[(cell[0], cell[1], cell[2]), parts[0][1]]


def _check_layers(text: str, parts: list[tuple[int, str]], n: int) -> None:
    if len(parts) == 2 and n == 2:
        raise _out(text, f"a 2x2 has corners only, so `{text}` is no place")
    for (written, _), (layer, _) in zip(_PART.findall(text), parts, strict=True):
        if written and not 2 <= layer <= n - 1:
            lie = {2: "no layer lies", 3: "only layer 2 lies"}.get(n, f"layers 2 to {n - 1} lie")
            is_there = layer == 1 and all(1 <= number <= n for number, _ in parts)
            plain = write_sticker(_sticker(parts, n), n) if is_there else ""
            offer = f"; the piece in layer 1 is `{plain}`" if plain else ""
            where = f"on it {lie} between two faces"
            raise _out(text, f"{a_cube(n)} has no place `{text}`: {where}{offer}")
    better = [
        (n + 1 - layer, OPPOSITE[face]) if 2 * layer > n + 1 else (layer, face)
        for layer, face in parts
    ]
    if better != parts:
        near = "".join(f"{'' if layer == 1 else layer}{face}" for layer, face in better)
        raise _out(text, f"`{text}` is named from the far side of {a_cube(n)}; write `{near}`")


def _out(text: str, message: str) -> Wrong:
    return Wrong("layer-range", message, 0, len(text))


def _whole_edge(faces: list[str], n: int) -> Address:
    members = pieces(n).edges[frozenset(faces)]
    stickers = tuple(s for piece in members for s in piece.stickers)
    single = pieces(n).side(members[0], faces[0]) if len(members) == 1 else -1
    return Address(is_edge=True, sticker=single, stickers=stickers)


def _no_address(text: str) -> str:
    upper = text.upper()
    if upper != text and looks_like_address(upper):
        return f"`{text}` is no place; faces are capital letters: `{upper}`"
    bare = re.sub(r"[\W_]", "", in_plain_signs(upper))
    if looks_like_address(bare):
        return f"`{text}` is no place; a place is written bare: `{bare}`"
    swapped = re.fullmatch(r"([UDLRFB])([UDLRFB])([UDLRFB])(\d+)", text)
    if swapped:
        a, b, c, number = swapped.groups()
        if looks_like_address(f"{a}{b}{number}{c}"):
            return f"`{text}` is no place; the layer stands before its face: `{a}{b}{number}{c}`"
    faces = re.sub(r"[^UDLRFB]", "", text)
    if _WHOLE.fullmatch(text) and not adjacent(faces):
        is_twice = len(set(faces)) < len(faces)
        why = "a side is named twice" if is_twice else "opposite sides never meet in a piece"
        return f"`{text}` is no place: {why}"
    return (
        f"`{text}` is no place; places are corners `UFR`, edges `UF`, "
        "pieces of an edge `UF2R`, centre pieces `U2F3R`"
    )


def layer_name(number: int, face: str, n: int) -> str:
    """How a layer is named, from the nearer side: `R`, `2R`, `M`."""
    if 2 * number == n + 1:
        return next(m for m, side in MIDDLES.items() if face in (side, OPPOSITE[side]))
    if 2 * number > n:
        number, face = n + 1 - number, OPPOSITE[face]
    return f"{number}{face}" if number > 1 else face


@lru_cache(maxsize=8192)
def write_sticker(sticker: int, n: int) -> str:
    """The address of a piece with this sticker named first, as `read_address` reads it."""
    cube, cube_pieces = geometry(n), pieces(n)
    piece = cube_pieces.at(sticker)
    first = cube.faces[sticker]
    others = sorted((cube.faces[s] for s in piece.stickers if s != sticker), key=ORDER.index)
    if piece.kind == "corner" or (n == 3 and piece.kind == "middle"):
        return first + "".join(others)
    rest = [f for f in cube_pieces.near(sticker) if f != first and f not in others]
    inner = "".join(f"{cube.layer_of(sticker, f)}{f}" for f in rest)
    return first + "".join(others) + inner

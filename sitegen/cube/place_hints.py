"""What a word that is no place was probably meant to be."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from sitegen.cube.address import layer_name, looks_like_address, read_address
from sitegen.cube.classes import BY_COLOUR, CLASSES
from sitegen.cube.geometry import OPPOSITE
from sitegen.cube.scheme import FACES
from sitegen.cube.size import a_cube
from sitegen.problem import Wrong
from sitegen.wording import MOST_NAMED, meant

if TYPE_CHECKING:
    from sitegen.cube.scheme import Scheme

JOINING: Final = ("and", "or", "&", "+")
"""What some write between places."""

_SAID: Final = {
    "wing": "the class is called `wings`",
    **dict.fromkeys(("center", "centre", "centers"), "the class is called `centres`"),
    **dict.fromkeys(
        ("side", "slice"), "a side's stickers are `face U`, the pieces of one layer `layer 2R`"
    ),
    **dict.fromkeys(JOINING, "between places stand spaces or commas"),
    **dict.fromkeys(
        ("except", "but", "without"),
        "only the claim `solved except PLACES` leaves places out; elsewhere name those meant",
    ),
    **dict.fromkeys(("all", "every", "-", "*", "\u2022"), "take it out"),
}
"""What is said of words that are written among places, or for a class, and are none."""

_BLOCK: Final = re.compile(
    r"(?:(?P<first>[0-9]{1,2})-(?P<last>[0-9]{1,2})|(?P<count>[0-9]{0,2}))(?P<face>[UDLRFB])w?"
)
_HALF_SAID: Final = re.compile(r"[ULFRBD]{2}[0-9]{1,2}")
_OUT_OF_ORDER: Final = re.compile(
    r"(?P<before>[ULFRBD]?)(?P<layer>[0-9]{1,2}[ULFRBD])(?P<after>[ULFRBD]{1,2})"
)


def each_layer(block: str, n: int) -> str:
    """The layers that a turn of several has, `3Rw` or `2-4R`, to be named one by one."""
    found = _BLOCK.fullmatch(block)
    if not found:
        return ""
    first, last = int(found["first"] or 1), int(found["last"] or found["count"] or 2)
    if not 1 <= first < last < n or last - first >= MOST_NAMED:
        return ""
    named = (layer_name(number, found["face"], n) for number in range(first, last + 1))
    return f"; name each: `{', '.join(f'layer {name}' for name in named)}`"


def no_layer(text: str, number: int, face: str, n: int) -> str:
    """Why a layer is none, and which may be meant."""
    offers = {
        1: f"; the face layer is `layer {face}`",
        n: f"; its layer {n} is `layer {OPPOSITE[face]}`",
    }
    inner = f"`2{face}` to `{n - 1}{face}`" if n > 3 else f"`2{face}`" if n == 3 else "none"
    return f"{a_cube(n)} has no `layer {text}`{offers.get(number, '')}; its inner layers: {inner}"


def colours_of(letters: str, wanted: int, scheme: Scheme) -> tuple[int, ...] | None:
    """The colour numbers of some letters, if there are so many and they meet in a piece."""
    if len(letters) != wanted or any(letter not in scheme.letters for letter in letters):
        return None
    numbers = tuple(scheme.letters.index(letter) for letter in letters)
    return numbers if looks_like_address("".join(FACES[i] for i in numbers)) else None


def hint(text: str, n: int, scheme: Scheme) -> str:
    """What a word that is no place was probably meant to be."""
    if text in _SAID:
        return f"; {_SAID[text]}"
    for length, name in ((2, "edge"), (3, "corner")):
        if colours_of(text, length, scheme) is not None:
            return f"; a piece by its colours is `{name} {text}`"
    if re.fullmatch("[ULFRBD]", text):
        return f"; its stickers are `face {text}`, all its pieces `layer {text}`"
    if text in scheme.names:
        face = FACES[scheme.names.index(text)]
        of_side = f"`face {face}` or `centres {face}`"
        return f"; a side is named by its letter, as {of_side}; {text} lies there when solved"
    if pieces_meant := _pieces_meant(text, n):
        return f"; did you mean {' or '.join(f'`{one}`' for one in pieces_meant)}?"
    if re.fullmatch(r"\d+[ULFRBD]|[MES]", text):
        return f"; the pieces of a layer are `layer {text}`"
    near = meant(text, (*CLASSES, "layer", "face", *BY_COLOUR), 0.7)
    return f"; did you mean `{near}`?" if near else ""


def _pieces_meant(text: str, n: int) -> list[str]:
    """The pieces of an edge that two sides and a layer may name, out of order or half said."""
    if _HALF_SAID.fullmatch(text):
        offers = [f"{text}{face}" for face in FACES]
    elif astray := _OUT_OF_ORDER.fullmatch(text):
        offers = [f"{astray['before']}{astray['after']}{astray['layer']}"]
    else:
        return []
    return [one for one in offers if _is_address(one, n)]


def _is_address(text: str, n: int) -> bool:
    try:
        read_address(text, n)
    except Wrong:
        return False
    return True

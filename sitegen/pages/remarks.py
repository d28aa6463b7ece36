"""Claims in plain words, ready to be set: what is filled into the theme's sentences."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from sitegen.notation.tree import MoveTree, nodes_of
from sitegen.pages.prose import as_words
from sitegen.pages.site import Bit, Remark, RemarkMoves
from sitegen.said import Plain

if TYPE_CHECKING:
    from sitegen.block.claims.claim import ClaimValue, Class
    from sitegen.cube.places import Place
    from sitegen.cube.scheme import Scheme
    from sitegen.pages.site import RemarkValue

_PLACE: Final = re.compile(r"wings\s+0*(?P<layer>\d+)|(?P<word>[a-z]+)|\S+")


def remark(plain: Plain[ClaimValue], scheme: Scheme) -> Remark:
    """A claim in plain words, ready to be set."""
    values = tuple((gap, _value(value, scheme)) for gap, value in plain.values.items())
    return Remark(plain.name, values)


def _value(value: ClaimValue, scheme: Scheme) -> RemarkValue:
    if isinstance(value, Plain):
        return remark(value, scheme)
    if isinstance(value, MoveTree):
        return RemarkMoves(as_words(nodes_of(value.phrases)))
    if isinstance(value, tuple):
        return tuple(
            _ring(one, scheme) if isinstance(one, tuple) else _place(one, scheme) for one in value
        )
    return ((Bit("text", str(value)),),)


def _ring(places: tuple[Place, ...], scheme: Scheme) -> tuple[Bit, ...]:
    """Places that lead to one another, the last of them back to the first."""
    closed = (*places, places[0]) if len(places) > 1 else places
    bits = [bit for place in closed for bit in (Bit("word", "to"), *_place(place, scheme))]
    return tuple(bits[1:])


def _place(place: Place | Class, scheme: Scheme) -> tuple[Bit, ...]:
    """A place in words: classes the theme's, addresses as they are, colours by their names."""
    bits, text = [], place.text
    if place.colours:  # their letters stand last; any letters may, those of a word among them
        text = text.rsplit(maxsplit=1)[0]
    for found in _PLACE.finditer(text):
        if found["layer"]:
            bits.append(Bit("wings", found["layer"]))
        elif found["word"]:
            bits.append(Bit("word", found["word"]))
        else:
            bits.append(Bit("place", found[0].rstrip(",")))
    if place.colours:
        bits.append(Bit("text", "-".join(scheme.names[colour] for colour in place.colours)))
    return tuple(bits)

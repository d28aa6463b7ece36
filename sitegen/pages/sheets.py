"""Lists that are too long for one page, cut into sheets that lead to one another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Generic, TypeVar

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

T = TypeVar("T")

ROOM: Final = 400
"""Pictures on one sheet: of a 7x7 about half a megabyte, before the server packs it."""


class Sheet(Struct, Generic[T], frozen=True):
    """A part of a list.

    Attributes:
        number: from 1.
        count: how many sheets there are.
        address: where it is published.
        previous: the address of the sheet before, or "".
        next: the address of the sheet after, or "".
        items: what is on it.
    """

    number: int
    count: int
    address: str
    previous: str
    next: str
    items: Sequence[T]


def sheets(items: Sequence[T], address: str) -> Iterator[Sheet[T]]:
    """A list on as many sheets as it takes.

    Args:
        items: the list.
        address: of the first sheet; the others' have `-2` and so on before the ending.
    """
    count = -(-len(items) // ROOM)
    stem = address.removesuffix(".html")
    places = ["", address, *(f"{stem}-{number}.html" for number in range(2, count + 1)), ""]
    for number in range(1, count + 1):
        part = items[(number - 1) * ROOM : number * ROOM]
        yield Sheet(number, count, places[number], places[number - 1], places[number + 1], part)

"""A solved cube taken apart and put together otherwise: what each change does to its stickers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.cube.address import read_address
from sitegen.cube.position import Position

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

Swap = tuple[str, str]
"""Two addresses whose stickers are exchanged; a sticker is the one named first."""


def edge(n: int, faces: str, end: str, far_end: str) -> list[str]:
    """The pieces of a whole edge from one end to the other, each named from its nearer end."""
    if n == 3:
        return [faces]
    near = [f"{faces}{layer}{end}" for layer in range(2, n // 2 + 1)]
    far = [f"{faces}{layer}{far_end}" for layer in range(n // 2, 1, -1)]
    return [*near, *([f"{faces}{n // 2 + 1}{end}"] if n % 2 else []), *far]


def two_corners(_: int) -> Iterator[Swap]:
    yield from [("UFR", "UBL"), ("RUF", "LUB"), ("FUR", "BUL")]  # as a half turn of U would


def two_edges(n: int) -> Iterator[Swap]:
    for one, other in (("UF", "UB"), ("FU", "BU")):  # as a half turn of U would
        yield from zip(edge(n, one, "R", "L"), edge(n, other, "L", "R"), strict=True)


def edge_flipped(n: int) -> Iterator[Swap]:
    yield from zip(edge(n, "UF", "R", "L"), edge(n, "FU", "L", "R"), strict=True)


def middle_flipped(n: int) -> Iterator[Swap]:
    yield ("UF", "FU") if n == 3 else (f"UF{n // 2 + 1}R", f"FU{n // 2 + 1}R")


SWAPS: dict[str, Callable[[int], Iterable[Swap]]] = {
    "one middle flipped": middle_flipped,
    "two corners swapped": two_corners,
    "two edges swapped": two_edges,
    "one edge flipped": edge_flipped,
    "two wings swapped": lambda _: [("UF2R", "UB2L"), ("FU2R", "BU2L")],
    "two corners and two edges swapped": lambda n: [*two_corners(n), *two_edges(n)],
    "a corner's mirror image": lambda _: [("FUR", "RUF")],
    "a wing the other way round": lambda _: [("UF2R", "FU2R")],
    "two fixed centres swapped": lambda n: [
        (f"U{n // 2 + 1}F{n // 2 + 1}R", f"F{n // 2 + 1}U{n // 2 + 1}R")
    ],
    "centres of two orbits swapped": lambda _: [("U2F2R", "F2U3R")],
}


def sticker(address: str, n: int) -> int:
    return read_address(address, n).sticker


def put_together(n: int, *changes: str) -> Position:
    """The solved cube with these changes made, each to what stands there by then."""
    shown = bytearray(Position.solved(n).colours)
    for change in changes:
        if change == "one corner twisted":
            u, r, f = (sticker(address, n) for address in ("URF", "RUF", "FUR"))
            shown[u], shown[r], shown[f] = shown[f], shown[u], shown[r]
        elif change == "a sticker of another colour":
            shown[0] = 1
        else:
            for one, other in SWAPS[change](n):
                a, b = sticker(one, n), sticker(other, n)
                shown[a], shown[b] = shown[b], shown[a]
    return Position.showing(n, bytes(shown))


def grown(small: Position, n: int) -> Position:
    """A 3x3 as an n-cube with finished centres and paired edges shows it."""
    part = [0, *[1] * (n - 2), 2]
    colours = small.colours
    return Position.showing(
        n,
        bytes(
            colours[9 * face + 3 * row + column]
            for face in range(6)
            for row in part
            for column in part
        ),
    )

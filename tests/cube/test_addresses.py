"""An address is the layers that a piece lies in, in the words of the turns."""

from __future__ import annotations

import re

import pytest

from sitegen.cube.address import read_address, write_sticker
from sitegen.cube.pieces import pieces
from sitegen.cube.position import Motion
from sitegen.cube.turn import Turn
from sitegen.problem import Wrong

SIZES = [*range(2, 10), 33]


@pytest.mark.parametrize("n", SIZES)
def test_every_sticker_is_written_and_read_again(n: int) -> None:
    names = [write_sticker(sticker, n) for sticker in range(6 * n * n)]
    assert [read_address(name, n).sticker for name in names] == list(range(6 * n * n))


@pytest.mark.parametrize("n", range(2, 8))
def test_a_piece_is_moved_by_the_layers_of_its_name_and_by_no_others(n: int) -> None:
    moved: dict[int, set[tuple[str, int]]] = {sticker: set() for sticker in range(6 * n * n)}
    for face in "UDLRFB":
        for layer in range(1, n + 1):
            for start, goal in enumerate(Motion.of(n, [Turn(face, layer, layer, 1)]).goals):
                if start != goal:
                    moved[start].add((face, layer))
    for sticker, layers in moved.items():
        parts = re.findall(r"(\d*)([UDLRFB])", write_sticker(sticker, n))
        named = [(face, int(number or 1)) for number, face in parts]
        turned_in_place = len(pieces(n).all[pieces(n).of[sticker]].stickers) == 1
        if turned_in_place and (*named[0],) not in layers:  # a fixed centre, in its own face's turn
            named = named[1:]
        assert set(named) <= layers, write_sticker(sticker, n)


@pytest.mark.parametrize(
    ("address", "other"),
    [("UFR", "URF"), ("UF4R", "UF4L"), ("U2F3R", "U3R2F"), ("U4F4R", "U4R4F"), ("U4F4R", "U4B4L")],
)
def test_the_order_after_the_first_letter_is_free_and_a_middle_has_two_names(
    address: str, other: str
) -> None:
    # the 7x7: a corner, a middle piece, a centre piece, a fixed centre; common practice, no source
    assert read_address(address, 7).sticker == read_address(other, 7).sticker


def test_the_first_letter_names_the_sticker() -> None:
    one, other = read_address("UF2R", 7), read_address("FU2R", 7)
    assert set(one.stickers) == set(other.stickers)
    assert one.sticker // 49 == 0  # U is the first face of the net, F the third
    assert other.sticker // 49 == 2


def test_an_edge_of_a_7x7_is_one_middle_two_inner_and_two_outer_wings() -> None:
    # common practice, no source: what the trade calls an edge group of the 7x7
    names = {"UF2R", "UF3R", "UF4R", "UF3L", "UF2L"}
    whole = read_address("UF", 7)
    assert set(whole.stickers) == {s for name in names for s in read_address(name, 7).stickers}
    orbits = [piece.orbit for piece in pieces(7).edges[frozenset("UF")]]
    assert sorted((kind, layer) for kind, layer, *_ in orbits) == [
        ("middle", 0),
        *[("wing", 2)] * 2,
        *[("wing", 3)] * 2,
    ]


@pytest.mark.parametrize("digits", [2, 9, 10, 5000])
def test_a_layer_of_many_digits_is_told_as_any_other_that_is_not_there(digits: int) -> None:
    with pytest.raises(Wrong, match="no place"):
        read_address(f"UF{'9' * digits}R", 33)

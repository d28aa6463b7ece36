"""The first law of cubology: which pictures turns can reach, and which they cannot.

Bandelow 1982 for the 3x3; Bonzio, Loi, Peruzzi, doi 10.1515/ms-2016-0290 for the 4x4 and
doi 10.1515/ms-2017-0158 for any number of layers.
"""

from __future__ import annotations

from functools import cache
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sympy.combinatorics import Permutation, PermutationGroup

from laws.by_hand import SWAPS, grown, put_together
from laws.chance import motions, positions, sizes
from sitegen.cube.address import read_address
from sitegen.cube.position import Position
from sitegen.cube.possible import REASONS, broken_law, can_finish
from sitegen.cube.scheme import DEFAULT
from tables import Row, motion_of, rows_of

LAWS = rows_of("laws")


def reasons(position: Position) -> list[str]:
    broken = broken_law(position, DEFAULT)
    return [broken.reason] if broken else []


@given(sizes.flatmap(positions))
def test_no_law_is_broken_where_turns_lead(position: Position) -> None:
    assert reasons(position) == []


@pytest.mark.parametrize("row", LAWS, ids=lambda row: f"{row.n} {row.fact}")
@settings(max_examples=10)  # each of the many rows
@given(st.data())
def test_what_is_made_by_hand_stays_what_it_is_whatever_is_turned(
    row: Row, data: st.DataObject
) -> None:
    position = put_together(row.n, row.fact).after(data.draw(motions(row.n)))
    assert position != Position.solved(row.n)
    assert reasons(position) == ([row.value] if row.value else [])


def test_every_reason_and_every_change_is_in_the_table() -> None:
    assert {row.value for row in LAWS} == {"", *REASONS}
    changes = {*SWAPS, "one corner twisted", "a sticker of another colour"}
    assert {row.fact for row in LAWS} == changes


@pytest.mark.parametrize("n", [2, 3, 4, 5, 6, 7])
def test_a_cube_put_together_blindly_is_right_once_in_twelve_or_in_three(n: int) -> None:
    # the same sources: 12 classes on odd n; on even n only the twist is seen, so 3
    twists = [["one corner twisted"] * count for count in range(3)]
    flip = "one middle flipped" if n % 2 else "one edge flipped"
    flips = [[], [flip]] if n > 2 else [[]]
    swaps = [[], ["two corners swapped"]]
    made = [put_together(n, *a, *b, *c) for a, b, c in product(twists, flips, swaps)]
    right = [position for position in made if not reasons(position)]
    assert len(made) / len(right) == (12 if n % 2 else 3)


@cache
def turns_of_the_3x3() -> PermutationGroup:
    return PermutationGroup([Permutation(list(motion_of(3, face).goals)) for face in "ULFRBD"])


CORNERS = ["URF", "UFL", "ULB", "UBR", "DFR", "DLF", "DBL", "DRB"]  # each clockwise from outside
EDGES = ["UF", "UR", "UB", "UL", "FR", "FL", "BR", "BL", "DF", "DR", "DB", "DL"]


def reassembled(places: list[str], order: list[int], turned: list[int]) -> dict[int, int]:
    """Where the stickers of some pieces go when each is put where `order` says, turned so far."""
    sides = [[read_address(w[i:] + w[:i], 3).sticker for i in range(len(w))] for w in places]
    return {
        start: sides[goal][(i + twist) % len(sides[goal])]
        for piece, goal, twist in zip(sides, order, turned, strict=True)
        for i, start in enumerate(piece)
    }


@st.composite
def assemblies(draw: st.DrawFn) -> tuple[int, ...]:
    """A 3x3 taken apart and put together again: where each sticker went."""
    goes = dict.fromkeys(range(54), -1) | {centre: centre for centre in range(4, 54, 9)}
    for places, ways in ((CORNERS, 3), (EDGES, 2)):
        order = draw(st.permutations(range(len(places))))
        turned = draw(
            st.lists(st.integers(0, ways - 1), min_size=len(places), max_size=len(places))
        )
        if draw(st.booleans()):  # else one in twelve would be right, and few of those drawn
            turned[-1] = -sum(turned[:-1]) % ways
        goes |= reassembled(places, order, turned)
    return tuple(goes[s] for s in range(54))


def shown_by(goals: tuple[int, ...]) -> Position:
    colours = bytearray(54)
    for start, goal in enumerate(goals):
        colours[goal] = start // 9
    return Position.showing(3, bytes(colours))


@given(assemblies())
def test_the_laws_agree_with_membership_in_the_group_of_the_turns(goals: tuple[int, ...]) -> None:
    reached = turns_of_the_3x3().contains(Permutation(list(goals)))
    assert (reasons(shown_by(goals)) == []) == reached


@pytest.mark.parametrize("n", [5, 7, 9])
@given(assemblies())
def test_an_odd_cube_that_turns_reach_always_has_a_legal_3x3_stage(
    n: int, goals: tuple[int, ...]
) -> None:
    # common practice, no source: middles and corners obey the laws of the 3x3 on every odd cube
    small = shown_by(goals)
    big = grown(small, n)
    assert can_finish(big) == (not reasons(small)) == (not reasons(big))


@pytest.mark.parametrize("n", [4, 6, 8])
@given(assemblies())
def test_an_even_cube_need_not(n: int, goals: tuple[int, ...]) -> None:
    # common practice, no source: the 3x3 stage of an even cube can show a flip or a swap
    small = shown_by(goals)
    big = grown(small, n)
    assert can_finish(big) == (not reasons(small))
    assert reasons(big) == [reason for reason in reasons(small) if reason == "twist"]


@pytest.mark.parametrize("change", ["one edge flipped", "two edges swapped", "two corners swapped"])
@pytest.mark.parametrize("n", [4, 6, 8])
def test_such_a_stage_is_reached_and_is_impossible(n: int, change: str) -> None:
    position = put_together(n, change)
    assert reasons(position) == []
    assert can_finish(position) is False

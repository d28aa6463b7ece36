"""The turns against permutation groups that others have published or programmed."""

from __future__ import annotations

import re
from functools import cache

import pytest
from sympy.combinatorics import Permutation, PermutationGroup
from sympy.combinatorics.generators import rubik

from sitegen.cube.position import Motion
from sitegen.cube.turn import Turn
from tables import Row, motion_of, rows_of

NUMBERED = [sticker for sticker in range(54) if sticker % 9 != 4]
"""GAP's facelets 1 to 48: face after face in the order U L F R B D, centres left out."""

OUR_FACES = "ULFRBD"
SYMPY_FACES = "UFRBLD"
"""The order of faces in `rubik`'s source; each is a matrix read row by row, unfolded as our net."""


@pytest.mark.parametrize("row", rows_of("facelets"), ids=lambda row: row.moves)
def test_a_turn_has_the_published_cycles(row: Row) -> None:
    goes: dict[int, int] = {}
    for ring in re.findall(r"\(([^)]*)\)", row.value):
        cycle = [NUMBERED[int(word) - 1] for word in ring.split()]
        goes.update(zip(cycle, [*cycle[1:], cycle[0]], strict=True))
    goals = motion_of(row.n, row.moves).goals
    assert {start: goal for start, goal in enumerate(goals) if start != goal} == goes


@pytest.mark.parametrize("n", range(2, 8))
def test_every_generator_of_sympy_is_one_of_our_turns(n: int) -> None:
    ours = [OUR_FACES.index(f) * n * n + i for f in SYMPY_FACES for i in range(n * n)]
    turns = [Turn(face, layer, layer, 1) for face in "FRD" for layer in range(1, n)]
    for turn, generator in zip(turns, rubik(n), strict=True):
        # the array tells for each place which facelet has come there: the inverse of our `goals`
        came = dict(zip(ours, (ours[there] for there in generator.array_form), strict=True))
        assert Motion.of(n, [turn]).sources == tuple(came[s] for s in range(6 * n * n)), turn


@cache
def group(n: int, faces: str) -> PermutationGroup:
    turns = [Motion.of(n, [Turn(face, 1, 1, 1)]) for face in faces]
    return PermutationGroup([Permutation(list(motion.goals)) for motion in turns])


def test_the_group_of_the_3x3_has_the_published_order() -> None:
    # GAP, example of Rubik's cube
    assert group(3, "ULFRBD").order() == 43252003274489856000 == 2**27 * 3**14 * 5**3 * 7**2 * 11


def test_the_group_of_the_2x2_held_by_one_corner_has_the_published_order() -> None:
    assert group(2, "URF").order() == 3674160  # OEIS A075152


@pytest.mark.parametrize(("sort", "order"), [("corner", 88179840), ("edge", 980995276800)])
def test_the_pieces_of_the_3x3_apart_have_the_published_orders(sort: str, order: int) -> None:
    # GAP, example of Rubik's cube: the product is twice the order of the whole
    places = [s for s in range(54) if s % 9 != 4 and (s % 9 % 2 == 0) == (sort == "corner")]
    turns = [motion_of(3, face).goals for face in "ULFRBD"]
    generators = [Permutation([places.index(goals[s]) for s in places]) for goals in turns]
    assert PermutationGroup(generators).order() == order


def test_all_edges_flipped_commutes_with_every_turn_and_is_no_more_than_itself() -> None:
    # GAP, example of Rubik's cube: the centre of the group has two elements; the moves are those of
    # Winter 1992, quoted by Reid in the Cube-Lovers archive
    flipped = motion_of(3, "F B U2 R F2 R2 B2 U' D F U2 R' L' U B2 D R2 U B2 U")
    still = motion_of(3, "")
    assert flipped != still
    assert flipped.then(flipped) == still
    for face in "ULFRBD":
        turn = motion_of(3, face)
        assert flipped.then(turn) == turn.then(flipped)
    assert motion_of(3, "R").then(motion_of(3, "U")) != motion_of(3, "U").then(motion_of(3, "R"))


def swapped(*exchanges: tuple[int, ...]) -> Permutation:
    """Facelets by GAP's numbers, each carried to the next of its ring."""
    goals = list(range(54))
    for ring in exchanges:
        for start, goal in zip(ring, [*ring[1:], ring[0]], strict=True):
            goals[NUMBERED[start - 1]] = NUMBERED[goal - 1]
    return Permutation(goals)


@pytest.mark.parametrize(
    ("what", "reached"),
    [
        (swapped((8, 25, 19)), False),  # a corner twisted
        (swapped((7, 18)), False),  # an edge flipped
        (swapped((8, 6), (25, 17), (19, 11)), False),  # two corners swapped: UFR and UFL
        (swapped((7, 5), (18, 26)), False),  # two edges swapped: UF and UR
        (swapped((7, 5), (18, 26), (8, 6), (25, 17), (19, 11)), True),  # both at once
    ],
    ids=["twist", "flip", "two corners", "two edges", "both"],
)
def test_the_group_of_our_turns_holds_what_it_should(what: Permutation, *, reached: bool) -> None:
    # GAP, example of Rubik's cube: which of these the group does not contain
    assert group(3, "ULFRBD").contains(what) == reached

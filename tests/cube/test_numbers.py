"""How many pieces, positions and spheres of positions there are."""

from __future__ import annotations

from math import comb, factorial, prod

import pytest

from sitegen.cube.geometry import BANK
from sitegen.cube.pieces import pieces
from sitegen.cube.position import Motion, Position
from sitegen.cube.turn import Turn
from tables import Row, rows_of


def pictures(n: int) -> int:
    """The number behind OEIS A075152, orbit by orbit, for the orbits that `pieces` finds."""
    ways = []
    for (kind, *_), members in pieces(n).orbits.items():
        if kind == "corner":  # on even n one corner is held still, as nothing else tells the grips
            ways.append(factorial(8) * 3**7 if n % 2 else factorial(7) * 3**6)
        elif kind == "middle":  # half: odd only where the corners are odd
            ways.append(factorial(12) * 2**11 // 2)
        elif kind == "wing":
            ways.append(factorial(len(members)))
        elif len(members) == 24:  # four of each colour look alike
            ways.append(prod(comb(left, 4) for left in range(24, 0, -4)))
    return prod(ways)


@pytest.mark.parametrize("row", rows_of("positions"), ids=lambda row: str(row.n))
def test_the_orbits_give_the_published_number_of_positions(row: Row) -> None:
    assert pictures(row.n) == int(row.value)


@pytest.mark.parametrize("n", [*range(2, 10), 33])
def test_the_orbits_have_the_sizes_that_the_count_rests_on(n: int) -> None:
    # OEIS A075152 (the formula's exponents); WCA guideline 3l1+: nine centre stickers on a 5x5
    sizes: dict[str, list[int]] = {"corner": [], "wing": [], "middle": [], "centre": []}
    for (kind, *_), members in pieces(n).orbits.items():
        sizes[kind].append(len(members))
    wings, centres = (n - 2) // 2, (n - 2) ** 2 // 4
    assert sizes["corner"] == [8]
    assert sizes["wing"] == [24] * wings
    assert sizes["middle"] == [12] * (n % 2)
    assert sorted(sizes["centre"]) == [6] * (n % 2) + [24] * centres
    assert len(pieces(n).all) == n**3 - (n - 2) ** 3


@pytest.mark.parametrize("n", range(2, 8))
def test_the_turns_join_each_orbit_and_no_two(n: int) -> None:
    joined = {piece.number: {piece.number} for piece in pieces(n).all}
    for face in "URF":
        for layer in range(1, n + 1):
            goals = Motion.of(n, [Turn(face, layer, layer, 1)]).goals
            for piece in pieces(n).all:
                there = pieces(n).of[goals[piece.stickers[0]]]
                if joined[there] is not joined[piece.number]:
                    joined[there] |= joined[piece.number]
                    for number in joined[piece.number]:
                        joined[number] = joined[there]
    found = {frozenset(one) for one in joined.values()}
    assert found == {frozenset(p.number for p in orbit) for orbit in pieces(n).orbits.values()}


def spheres(n: int, quarters: tuple[int, ...], most: int) -> list[int]:
    """Positions at each distance, the corner DBL kept still by turning blocks from U, R, F only."""
    turns = [Turn(f, 1, last, q) for f in "URF" for last in range(1, n) for q in quarters]
    tables = [bytes(Motion.of(n, [turn]).sources) for turn in turns]
    rest = bytes(BANK - 6 * n * n)
    shells: list[set[bytes]] = [set(), {Position.solved(n).colours}]
    while len(shells) <= most:
        before, last = shells[-2:]
        new = {table.translate(colours + rest) for colours in last for table in tables}
        shells.append(new - before - last)
    return [len(shell) for shell in shells[1:]]


@pytest.mark.parametrize("row", rows_of("spheres"), ids=lambda row: f"{row.n} {row.fact}")
def test_as_many_positions_are_so_far_away_as_published(row: Row) -> None:
    quarters = {"OBTM": (1, 2, 3), "QTM": (1, 3)}[row.fact]
    assert spheres(row.n, quarters, len(row.value)) == row.value

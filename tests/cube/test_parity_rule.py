"""Which layers are odd on which orbit, for every layer of every face."""

from __future__ import annotations

import pytest
from sympy.combinatorics import Permutation

from sitegen.cube.pieces import Piece, pieces
from sitegen.cube.position import Motion
from sitegen.cube.turn import Turn
from tables import motion_of, raw

RULE = {row["orbit"]: row["odd"] for row in raw("parity")}


def is_odd(members: tuple[Piece, ...], motion: Motion, n: int) -> bool:
    at = [piece.number for piece in members]
    images = [at.index(pieces(n).of[motion.goals[piece.stickers[0]]]) for piece in members]
    return bool(Permutation(images).parity())


def rule_of(orbit: tuple[str, int, int, int], n: int) -> str:
    """The row of the table that an orbit falls under."""
    kind, i, j, _ = orbit
    if kind in ("corner", "middle"):
        return f"{kind}s"
    if kind == "wing":
        return "wings j"
    middle = n + 1  # twice the middle layer
    if 2 * i == 2 * j == middle:
        return "fixed centres"
    if i == j:
        return "centres j, j"
    return "centres j, middle" if 2 * j == middle else "centres i, j"


@pytest.mark.parametrize("n", range(2, 10))
def test_a_quarter_turn_of_one_layer_is_odd_exactly_where_the_rule_says(n: int) -> None:
    used = set()
    for orbit, members in pieces(n).orbits.items():
        name = rule_of(orbit, n)
        used.add(name)
        i, j = (orbit[1], orbit[1]) if name in ("wings j", "centres j, middle") else orbit[1:3]
        layers = {"1": 1, "i": i, "j": j, "middle": (n + 1) / 2}
        odd = {layers[word] for word in RULE[name]}
        for face in "UDLRFB":
            for layer in range(1, n + 1):
                found = is_odd(members, Motion.of(n, [Turn(face, layer, layer, 1)]), n)
                assert found == (min(layer, n + 1 - layer) in odd), (orbit, face, layer)
                assert not is_odd(members, Motion.of(n, [Turn(face, layer, layer, 2)]), n)
    assert n != 9 or used == set(RULE)


def orbits_odd_after(n: int, moves: str) -> set[str]:
    motion = motion_of(n, moves)
    return {
        rule_of(orbit, n)
        for orbit, members in pieces(n).orbits.items()
        if not rule_of(orbit, n).startswith("centres") and is_odd(members, motion, n)
    }


def test_a_wide_turn_is_the_sum_of_its_layers() -> None:
    # the rule above, added up by hand
    assert orbits_odd_after(5, "Rw") == {"corners", "middles", "wings j"}
    assert orbits_odd_after(5, "3Rw") == {"corners", "wings j", "fixed centres"}


@pytest.mark.parametrize("rotation", ["x", "y", "z"])
@pytest.mark.parametrize("n", range(2, 8))
def test_a_rotation_is_odd_on_middles_and_fixed_centres_alone(n: int, rotation: str) -> None:
    # three rings of four middles, one ring of four fixed centres, everything else in even numbers
    assert orbits_odd_after(n, rotation) == ({"middles", "fixed centres"} if n % 2 else set())

"""Turns are a group: laws of mathematics, for cubes and turns by chance."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laws.chance import motions, positions, sizes, turns
from sitegen.cube.geometry import LONG
from sitegen.cube.hold import rotations
from sitegen.cube.measure import order_of
from sitegen.cube.position import Motion, Position
from sitegen.cube.turn import Turn
from tables import repeated

CARRIES = {"R": "FUBD", "U": "FLBR", "F": "URDL"}
"""Faces, each carried to the next by a turn as R, U, F (WCA Regulations 12a4: x, y, z)."""


def some(n: int, count: int) -> st.SearchStrategy[tuple[Motion, ...]]:
    return st.tuples(*[motions(n)] * count)


@given(st.data())
def test_the_inverse_undoes(data: st.DataObject) -> None:
    n = data.draw(sizes)
    made = data.draw(st.lists(turns(n), max_size=12))
    motion, still = Motion.of(n, made), Motion.of(n, [])
    assert motion.then(motion.inverse()) == motion.inverse().then(motion) == still
    assert Motion.of(n, [turn.inverse() for turn in reversed(made)]) == motion.inverse()


@given(st.data(), st.integers(1, 40))
def test_a_long_repetition_is_one_time_after_another(data: st.DataObject, length: int) -> None:
    n = data.draw(sizes)
    word = data.draw(st.lists(turns(n), min_size=length, max_size=length))
    ends = data.draw(st.lists(turns(n), max_size=3))
    times = 2 * LONG // length + data.draw(st.integers(1, 9))
    long = Motion.of(n, [*ends, *word * times, *ends])
    end = Motion.of(n, ends)
    assert long == end.then(repeated(Motion.of(n, word), times)).then(end)


@given(st.data())
def test_one_after_another_is_associative_and_goes_on_from_any_position(
    data: st.DataObject,
) -> None:
    n = data.draw(sizes)
    a, b, c = data.draw(some(n, 3))
    assert a.then(b).then(c) == a.then(b.then(c))
    start = data.draw(positions(n))
    assert start.after(a).after(b) == start.after(a.then(b))


@given(st.data())
def test_a_motion_carries_what_it_says(data: st.DataObject) -> None:
    n = data.draw(sizes)
    motion, start = data.draw(motions(n)), data.draw(positions(n))
    after = start.after(motion).colours
    assert all(after[goal] == start.colours[s] for s, goal in enumerate(motion.goals))
    assert all(motion.goals[source] == place for place, source in enumerate(motion.sources))
    walked = sorted(s for cycle in motion.cycles() for s in cycle)
    assert walked == [s for s, goal in enumerate(motion.goals) if s != goal]  # each once
    for cycle in motion.cycles():
        assert [motion.goals[s] for s in cycle] == [*cycle[1:], cycle[0]]
        assert cycle[0] == min(cycle)


@given(st.data())
def test_commutators_and_conjugates(data: st.DataObject) -> None:
    a, b, c = data.draw(sizes.flatmap(lambda n: some(n, 3)))

    def commutator(x: Motion, y: Motion) -> Motion:
        return x.then(y).then(x.inverse()).then(y.inverse())

    def conjugate(x: Motion, y: Motion) -> Motion:
        return x.then(y).then(x.inverse())

    assert commutator(a, b).inverse() == commutator(b, a)
    assert conjugate(a, b).inverse() == conjugate(a, b.inverse())
    assert conjugate(a, b.then(c)) == conjugate(a, b).then(conjugate(a, c))
    assert commutator(a, b) == a.then(conjugate(b, a.inverse()))


@given(st.data())
def test_a_turn_is_its_quarters_and_its_layers(data: st.DataObject) -> None:
    n = data.draw(sizes)
    turn = data.draw(turns(n))
    once = Motion.of(n, [turn._replace(quarters=1)])
    assert Motion.of(n, [turn]) == repeated(once, turn.quarters)
    assert repeated(once, 4) == Motion.of(n, [])
    assert repeated(once, 2) != Motion.of(n, [])
    layers = [turn._replace(first=k, last=k) for k in range(turn.first, turn.last + 1)]
    assert Motion.of(n, layers) == Motion.of(n, layers[::-1]) == Motion.of(n, [turn])


@pytest.mark.parametrize("n", [*range(2, 10), 33])
def test_a_layer_seen_from_the_other_side_turns_the_other_way(n: int) -> None:
    for near, far in ("RL", "UD", "FB"):
        for layer in {1, 2, n // 2, n}:
            other = Turn(far, n + 1 - layer, n + 1 - layer, 3)
            assert Motion.of(n, [Turn(near, layer, layer, 1)]) == Motion.of(n, [other])


@pytest.mark.parametrize("n", [*range(2, 8), 33])
def test_turning_the_cube_renames_the_turns(n: int) -> None:
    for held, ring in CARRIES.items():
        whole = Turn(held, 1, n, 1)
        for face, goal in zip(ring, ring[1:] + ring[0], strict=True):
            for layer in {1, 2, n - 1}:
                renamed = [whole, Turn(goal, layer, layer, 1), whole.inverse()]
                assert Motion.of(n, renamed) == Motion.of(n, [Turn(face, layer, layer, 1)])


@pytest.mark.parametrize("n", [*range(2, 10), 33])
def test_there_are_24_rotations_and_they_are_closed(n: int) -> None:
    ways = {motion.banks for motion in rotations(n)}
    assert len(ways) == len(rotations(n)) == 24
    assert rotations(n)[0] == Motion.of(n, [])
    assert {a.then(b).banks for a, b in product(rotations(n), repeat=2)} == ways
    assert {
        Motion.of(n, [Turn(face, 1, n, q)]).banks for face in "UDLRFB" for q in (1, 2, 3)
    } < ways


@given(st.data())
def test_an_order_is_what_repeating_finds(data: st.DataObject) -> None:
    n = data.draw(st.integers(2, 3))
    motion = data.draw(st.lists(turns(n), max_size=6).map(lambda made: Motion.of(n, made)))
    solved = Position.solved(n)
    position, times = solved.after(motion), 1
    while position != solved:
        position, times = position.after(motion), times + 1
    assert order_of(motion) == times

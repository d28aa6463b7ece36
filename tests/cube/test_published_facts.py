"""What sequences do, published or known in the trade, told as claims and found without them."""

from __future__ import annotations

import re

import pytest
from sympy import primefactors

from sitegen.block.claims.claim import Reader
from sitegen.block.claims.lines import read_claims
from sitegen.block.moment import Moment
from sitegen.cube.address import read_address
from sitegen.cube.position import Position
from sitegen.cube.scheme import DEFAULT
from sitegen.notation.count import METRICS, count_turns
from sitegen.notation.setting import MoveSetting
from tables import Row, motion_of, repeated, rows_of, steps_of

ROWS = [row for name in ("equal", "orders", "cycles", "turns", "looks") for row in rows_of(name)]
every_row = pytest.mark.parametrize(
    "row", ROWS, ids=lambda r: f"{r.n} {r.moves} {r.fact} {r.value}"
)


def claim_of(row: Row, value: object) -> str:
    return f"turns {value} {row.fact}" if row.fact in METRICS else f"{row.fact} {value}"


def holds(row: Row, line: str) -> bool:
    reader = Reader(row.n, DEFAULT, MoveSetting(row.n), "STM")
    (stated,) = read_claims(line, 1, reader)
    before, motion = Position.solved(row.n), motion_of(row.n, row.moves)
    steps = tuple(steps_of(row.n, row.moves))
    return stated.judge(
        Moment(before, before.after(motion), motion, steps, row.moves, DEFAULT)
    ).holds


@every_row
def test_the_fact_holds_as_a_claim(row: Row) -> None:
    assert holds(row, claim_of(row, row.value))


@every_row
def test_its_opposite_does_not(row: Row) -> None:
    assert not holds(row, f"not {claim_of(row, row.value)}")
    if isinstance(row.value, int):
        assert not holds(row, claim_of(row, row.value - 1 if row.value else 1))


@pytest.mark.parametrize("row", rows_of("turns"), ids=lambda r: f"{r.n} {r.moves} {r.fact}")
def test_moves_are_so_long(row: Row) -> None:
    turns = [step.turn for step in steps_of(row.n, row.moves)]
    assert count_turns(turns, row.n, row.fact) == row.value


@pytest.mark.parametrize("row", rows_of("equal"), ids=lambda r: f"{r.n} {r.moves} {r.value}")
def test_two_ways_to_write_it_do_the_same(row: Row) -> None:
    one, other = (Position.solved(row.n).after(motion_of(row.n, m)) for m in (row.moves, row.value))
    assert one.colours == other.colours


@pytest.mark.parametrize("row", rows_of("orders"), ids=lambda r: f"{r.n} {r.moves}")
def test_the_picture_comes_back_then_and_not_before(row: Row) -> None:
    motion, solved = motion_of(row.n, row.moves), Position.solved(row.n)
    assert solved.after(repeated(motion, row.value)) == solved
    for prime in primefactors(row.value):  # the repeats that bring it back are multiples of one
        assert solved.after(repeated(motion, row.value // prime)) != solved


@pytest.mark.parametrize("row", rows_of("cycles"), ids=lambda r: f"{r.n} {r.moves}")
def test_each_sticker_goes_to_the_next_of_its_cycle(row: Row) -> None:
    goals = motion_of(row.n, row.moves).goals
    for ring in re.findall(r"\(([^)]*)\)", row.value):
        places = [read_address(word, row.n).sticker for word in ring.split()]
        if -1 not in places:  # whole edges are the claim's business
            assert [goals[s] for s in places] == [*places[1:], places[0]]

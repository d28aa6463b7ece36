"""Processes that share work are gone with its last result: the next work starts its own."""

from __future__ import annotations

from itertools import islice
from multiprocessing import active_children

from sitegen.parallel import FEWEST, shared


def test_none_is_left_once_the_last_result_is_taken() -> None:
    count = 3 * FEWEST + 1
    squares = shared(lambda number: number**2, range(count), 2)
    taken = [*islice(squares, count)]
    assert taken == [number**2 for number in range(count)]
    assert not active_children()
    assert next(squares, None) is None

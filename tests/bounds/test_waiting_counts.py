"""How many blocks wait for a failed one: the counts that are summed are those that are searched."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sitegen.pages.leaning import waiting_on
from sitegen.pages.references import BlockKey, References


def keyed(table: dict[int, int]) -> dict[BlockKey, BlockKey]:
    return {("p.md", one): ("p.md", other) for one, other in table.items()}


def searched(key: BlockKey, found: References) -> int:
    reached = {key}
    while True:
        more = {
            one
            for table in (found.start, found.goal)
            for one, other in table.items()
            if other in reached
        }
        if more <= reached:
            return len(reached) - 1
        reached |= more


places = st.integers(0, 12)


@given(st.dictionaries(places, places), st.dictionaries(places, places, max_size=3))
def test_summed_is_searched(start: dict[int, int], goal: dict[int, int]) -> None:
    found = References(keyed(start), keyed(goal))
    everyone = {*found.start, *found.start.values(), *found.goal, *found.goal.values()}
    leaning = {key: found.leans_on(key) for key in everyone}
    assert waiting_on(everyone, leaning) == {key: searched(key, found) for key in everyone}

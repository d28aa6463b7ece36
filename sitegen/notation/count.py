"""How long moves are: OBTM, ETM, STM, QTM."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from sitegen.cube.turn import Turn


def _obtm(turn: Turn, n: int) -> int:
    if turn.is_rotation(n):
        return 0
    return 1 if turn.first == 1 else 2


class Metric(NamedTuple):
    """A way to count turns: the length of one turn on n layers, and what it counts in words."""

    weigh: Callable[[Turn, int], int]
    meaning: str


METRICS: Final = {
    "OBTM": Metric(
        _obtm,
        meaning="outer block turn metric, WCA Regulations 12a5: a turn of a face or of an outer "
        "block counts 1, a rotation 0; an inner layer or block, which the Regulations do not "
        "know, counts 2 by our own rule: it equals two outer-block turns and a rotation, and no "
        "one turn",
    ),
    "ETM": Metric(
        lambda _turn, _n: 1,
        meaning="execution turn metric, WCA Regulations 12a6: every turn and every rotation "
        "counts 1; so does an inner layer, by our own rule",
    ),
    "STM": Metric(
        lambda turn, n: 0 if turn.is_rotation(n) else 1,
        meaning="slice turn metric, common practice: one layer, or one block of layers side by "
        "side, turned by any angle counts 1, a rotation 0",
    ),
    "QTM": Metric(
        lambda turn, n: _obtm(turn, n) * (2 if turn.quarters == 2 else 1),
        meaning="quarter turn metric, common practice: as OBTM, a half turn counted twice",
    ),
}
"""The metrics, in the order of the reference page."""


def count_turns(turns: Iterable[Turn], n: int, metric: str) -> int:
    """How long turns are together, in one of `METRICS`."""
    weigh = METRICS[metric].weigh
    return sum(weigh(turn, n) * times for turn, times in Counter(turns).items())

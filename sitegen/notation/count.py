"""How long moves are: OBTM, ETM, STM, QTM."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from sitegen.cube.turn import Turn


def _obtm(turn: Turn, n: int) -> int:
    if turn.is_rotation(n):
        return 0
    return 1 if turn.is_outer(n) else 2


def _qtm(turn: Turn, n: int) -> int:
    return _obtm(turn, n) * (2 if turn.quarters == 2 else 1)


def _etm(turn: Turn, n: int) -> int:
    del turn, n
    return 1


def _stm(turn: Turn, n: int) -> int:
    return 0 if turn.is_rotation(n) else 1


METRICS: Final[dict[str, tuple[Callable[[Turn, int], int], str]]] = {
    "OBTM": (
        _obtm,
        "outer block turn metric, WCA Regulations 12a5: a turn of a face or of an outer block "
        "counts 1, a rotation 0; an inner layer or block, which the Regulations do not know, "
        "counts 2 by our own rule: it equals two outer-block turns and a rotation, and no one turn",
    ),
    "ETM": (
        _etm,
        "execution turn metric, WCA Regulations 12a6: every turn and every rotation counts 1; "
        "so does an inner layer, by our own rule",
    ),
    "STM": (
        _stm,
        "slice turn metric, common practice: one layer, or one block of layers side by side, "
        "turned by any angle counts 1, a rotation 0",
    ),
    "QTM": (
        _qtm,
        "quarter turn metric, common practice: as OBTM, a half turn counted twice",
    ),
}
"""How long one turn on n layers is, and what each metric counts."""


def count_turns(turns: Iterable[Turn], n: int, metric: str) -> int:
    """How long turns are together, in one of `METRICS`."""
    weigh = METRICS[metric][0]
    return sum(weigh(turn, n) for turn in turns)

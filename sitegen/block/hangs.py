"""What hangs on a key that could not be read: nothing that may be untrue is said of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from sitegen.notation.spell import LOST

if TYPE_CHECKING:
    from collections.abc import Container, Iterable

    from sitegen.problem import Wrong

UNCOUNTED: Final = "lost-metric"
"""The rule of turns counted in a metric that could not be read; never told, as `LOST` is not."""

HANGS_ON: Final = {
    "layer-range": "cube",
    "net-shape": "cube",
    "bad-check": "cube",
    "lowercase": "lowercase",
    LOST: "sequences",
    UNCOUNTED: "metric",
}
"""For each rule about what one cube has, or about what one reading makes of moves, the key that
says which: of a cube or a reading that nobody knows, it would be untrue."""


def true_of_any(faults: Iterable[Wrong], unread: Container[str]) -> list[Wrong]:
    """The faults that are faults whatever the unread keys say."""
    return [wrong for wrong in faults if HANGS_ON.get(wrong.rule) not in unread]


def as_plain_as_any(n: int, unread: Container[str]) -> int:
    """The cube for which it is judged whether a 2 is unclear: 3 where it could not be read.

    What is unclear on a 3x3 is so on every cube.
    """
    return 3 if "cube" in unread else n

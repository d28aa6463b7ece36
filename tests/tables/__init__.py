"""Tables of facts from outside the project: n, moves, fact, value, source; and how they are read.

No value in them was written by the engine. Each row names where it is from: a publication, or
"common practice, no source" for what everyone in the trade knows, or "from memory" where the
publication could not be opened again.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from sitegen.cube.position import Motion
from sitegen.notation.read import read_moves
from sitegen.notation.setting import MoveSetting
from sitegen.notation.spell import Step, spell
from sitegen.notation.tree import nodes_of

if TYPE_CHECKING:
    from sitegen.problem import Wrong

HERE = Path(__file__).parent


class Row(NamedTuple):
    """What moves on a cube of n layers come to, as somebody else has it."""

    n: int
    moves: str
    fact: str
    value: Any
    source: str


def raw(table: str) -> list[dict[str, Any]]:
    """The rows of a table as they stand; each has a source."""
    rows: list[dict[str, Any]] = tomllib.loads((HERE / f"{table}.toml").read_text("utf-8"))["row"]
    assert rows
    assert all(row["source"] for row in rows)
    return rows


def rows_of(table: str) -> list[Row]:
    """The rows of a table, one for each cube where a row names several."""
    return [
        Row(n, row.get("moves", ""), row["fact"], row["value"], row["source"])
        for row in raw(table)
        for n in (row["n"] if isinstance(row["n"], list) else [row["n"]])
    ]


def steps_of(n: int, moves: str) -> list[Step]:
    """Moves without a fault in them, as turns."""
    faults: list[Wrong] = []
    steps = spell(nodes_of(read_moves(moves, faults).phrases), MoveSetting(n), faults)
    assert not faults, faults
    return steps


def motion_of(n: int, moves: str) -> Motion:
    """What moves do."""
    return Motion.of(n, (step.turn for step in steps_of(n, moves)))


def repeated(motion: Motion, times: int) -> Motion:
    """A motion so many times over."""
    done = Motion.of(motion.n, ())
    for _ in range(times):
        done = done.then(motion)
    return done

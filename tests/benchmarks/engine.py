"""A written turn of a 7x7, read and replayed, beside one `bytes.translate` of 256 bytes."""

from __future__ import annotations

import random
from typing import Final

from benchmarks.bigsite import N, moves_of
from benchmarks.measure import Row, best_of
from sitegen.cube.position import Motion, Position
from sitegen.notation.read import read_moves
from sitegen.notation.setting import MoveSetting
from sitegen.notation.spell import spell
from sitegen.notation.tree import nodes_of

ALGORITHMS: Final = 500
TRANSLATED: Final = 10_000


def measure(rounds: int) -> list[Row]:
    """Microseconds a turn, over sequences of 15 to 25 of them, and as a ratio."""
    chance = random.Random(7)
    written = [moves_of(chance, 15, 25) for _ in range(ALGORITHMS)]
    texts = [" ".join(turns) for turns in written]
    count = sum(map(len, written))
    solved, setting = Position.solved(N), MoveSetting(N)
    table = bytes(range(256))

    def replay() -> None:
        for text in texts:
            steps = spell(nodes_of(read_moves(text, []).phrases), setting, [])
            solved.after(Motion.of(N, [step.turn for step in steps]))

    def translate() -> None:
        shown = table
        for _ in range(TRANSLATED):
            shown = shown.translate(table)

    best = best_of(5 * rounds, {"replay": replay, "translate": translate})
    turn, plain = best["replay"] / count * 1e6, best["translate"] / TRANSLATED * 1e6
    measured = f"{turn:.2f} µs; {turn / plain:.1f} `bytes.translate` of 256 bytes"
    return [Row("a written turn of a 7x7, read and replayed", measured, "2.0 µs")]

"""Nets of scrambled cubes drawn: bytes and microseconds, bare and with words and marks."""

from __future__ import annotations

import random
from statistics import mean
from typing import Final

from benchmarks.measure import Row, best_of
from sitegen.cube.measure import differing
from sitegen.cube.position import Motion, Position
from sitegen.cube.scheme import DEFAULT
from sitegen.cube.turn import Turn
from sitegen.draw.picture import Picture, Ring
from sitegen.draw.styles import STYLES
from sitegen.pages.formats.words import english

PICTURES: Final = 1500
"""More than anything in the drawing might keep, so that every picture is drawn anew."""

SCRAMBLE: Final = 60
TARGETS: Final = {3: ("500 B", "900 B"), 7: ("1.8 KB", "2.8 KB")}


def measure(rounds: int) -> list[Row]:
    """For a 3x3 and a 7x7: the net alone; with title, desc, what changed, and one marked edge."""
    rows = []
    for n, (bare, full) in TARGETS.items():
        positions = _scrambled(n)
        rows.append(_row(f"a scrambled {n}x{n} net, bare", [_bare(p) for p in positions], rounds))
        rows[-1] = rows[-1]._replace(target=bare)
        what = f"a scrambled {n}x{n} net with title, desc and marks"
        rows.append(_row(what, [_full(p) for p in positions], rounds)._replace(target=full))
    return rows


def _scrambled(n: int) -> list[Position]:
    chance = random.Random(n)
    solved = Position.solved(n)

    def turn() -> Turn:
        layer = chance.randint(1, max(1, n // 2))
        return Turn(chance.choice("UDLRFB"), layer, layer, chance.randint(1, 3))

    return [solved.after(Motion.of(n, [turn() for _ in range(SCRAMBLE)])) for _ in range(PICTURES)]


def _bare(position: Position) -> Picture:
    return Picture(position.n, position.colours)


def _full(position: Position) -> Picture:
    """As a lesson shows it: what changed since solved, and the middle of U's edge at F ringed."""
    n = position.n
    up, front = n * n - (n + 1) // 2, 2 * n * n + n // 2
    differ = differing(Position.solved(n), position)
    return Picture(n, position.colours, "After the moves", differ, (Ring((up, front), "a", up),))


def _row(what: str, pictures: list[Picture], rounds: int) -> Row:
    draw = STYLES["net"].draw
    drawn: list[str] = []

    def work() -> None:
        drawn[:] = [draw(picture, DEFAULT, english(), standalone=False) for picture in pictures]

    best = best_of(rounds, {"draw": work})["draw"] / len(pictures) * 1e6
    return Row(what, f"{mean(len(svg.encode()) for svg in drawn):,.0f} B; {best:.0f} µs", "")

"""Pages that lean on one another in circles, edited at random: as a build from nothing has it.

The judge is the program itself, with nothing kept, and the folder judged as a whole in memory.
"""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import pytest

from kept.circle_site import Club

if TYPE_CHECKING:
    from pathlib import Path

SEEDS = range(4)
STEPS = 8


@pytest.mark.parametrize("seed", SEEDS)
def test_any_edits_one_after_another(seed: int, tmp_path: Path) -> None:
    chance = random.Random(seed)
    club = Club(tmp_path / "club", chance)
    done = []
    for _ in range(STEPS):
        done += [club.edit() for _ in range(chance.choice([1, 1, 1, 2, 4]))]
        try:
            club.assert_same("out")
            if chance.random() < 0.5:
                club.assert_same("review", "--with-failures")
        except AssertionError as error:
            error.add_note(f"after {done}")
            raise

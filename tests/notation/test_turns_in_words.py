"""A turn in words says from which side it is clockwise, in those turns too that name no side."""

from __future__ import annotations

import pytest

from sitegen.notation.spoken import spoken
from sitegen.pages.formats.words import english


@pytest.mark.parametrize(
    ("letter", "side"),
    # M E S in the direction of L, D, F: common practice, no source; x y z: WCA Regulations 12a4
    [("M", "left"), ("E", "down"), ("S", "front"), ("x", "right"), ("y", "up"), ("z", "front")],
)
def test_a_turn_with_no_side_of_its_own_is_told_as_that_of_a_side(letter: str, side: str) -> None:
    assert spoken(letter, english()).endswith(f" as {side}, clockwise")
    assert spoken(f"{letter}'", english()).endswith(f" as {side}, anticlockwise")

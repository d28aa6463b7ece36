"""Moves in words, as they are read out: turns that name no side say whose direction is theirs."""

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


@pytest.mark.parametrize(
    ("token", "said"),
    # which sign is which bracket, and what stands in it: mathematics, common practice
    [
        ("(", "open group"),
        (")", "close group"),
        ("[", "open bracket"),
        ("]", "close bracket"),
        (",", "with"),
        (":", "around"),
        (")3", "close group, three times"),
        ("]'", "close bracket, undone"),
        (")2'", "close group, undone, two times"),
        ("{four}2'", "sequence four, undone, two times"),
        ("R2", "right half turn"),
        ("Rw", "wide right, two layers, clockwise"),
        ("3Dw'", "wide down, three layers, anticlockwise"),
        ("2B", "back, layer two alone, clockwise"),
        ("2-4L2", "left, layers two to four, half turn"),
        ("f", "small front, clockwise"),
    ],
)
def test_a_sign_is_read_out_as_what_it_is(token: str, said: str) -> None:
    assert spoken(token, english()) == said

"""Whole answers that a person can read. The first line of a file is what was typed.

The sequences: the trade's seven-turn corner cycle, a superflip (Winter 1992, quoted by Reid in the
Cube-Lovers archive), a textbook commutator of wings, the trade's flip of one whole edge on a 4x4,
rotations among turns, the trade's sequence for one flipped edge whose wide turns make good the
rotation in it, a long one on the largest cube, which is summed up, and the four turns that every
lesson begins with on the smallest, where there are no edges and no centres to speak of.
"""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from sitegen.commands.main import main

GOLDEN = sorted((Path(__file__).parent / "golden").glob("*.txt"))


def test_there_are_eight() -> None:
    assert len(GOLDEN) == 8


@pytest.mark.parametrize("path", GOLDEN, ids=lambda path: path.stem)
def test_the_answer_is_as_it_was_read(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    typed, answer = path.read_text("utf-8").split("\n", 1)
    program, *arguments = shlex.split(typed.removeprefix("$ "))
    assert program == "sitegen"
    assert main(arguments) == 0
    assert capsys.readouterr().out == answer

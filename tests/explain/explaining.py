"""What the tests of `explain` share: asking in this process, and judging a line as a block does."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from sitegen.block.claims.claim import Reader
from sitegen.block.claims.table import CLAIMS
from sitegen.block.moment import Moment
from sitegen.commands.main import main
from sitegen.cube.position import Motion, Position
from sitegen.cube.scheme import DEFAULT
from sitegen.notation.setting import MoveSetting
from tables import steps_of

if TYPE_CHECKING:
    import pytest


def told(capsys: pytest.CaptureFixture[str], moves: str, n: int) -> dict[str, Any]:
    """The object that `--format json` prints."""
    assert main(["explain", "--cube", str(n), "--format", "json", "--", moves]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def holds(line: str, moves: str, n: int) -> bool:
    """Whether a line of `check` holds of moves done from solved: read and judged as in a block."""
    reader = Reader(n, DEFAULT, MoveSetting(n), "OBTM")
    found, row = next((f, row) for row in CLAIMS if (f := row.pattern.fullmatch(line)))
    steps, solved = steps_of(n, moves), Position.solved(n)
    motion = Motion.of(n, (step.turn for step in steps))
    moment = Moment(solved, solved.after(motion), motion, tuple(steps), moves, DEFAULT)
    return row.read(found, reader).judge(moment).holds

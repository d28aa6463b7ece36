"""Colour: on a terminal, unless it is not wanted (https://no-color.org); nowhere else."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from commands.command_running import break_page, clean_environment

if TYPE_CHECKING:
    from pathlib import Path

    from commands.command_running import Program

ESCAPE = "\x1b"
STEERING = re.compile(r"\x1b\[[0-9;]*[mK]|\r")


def on_a_terminal(folder: Path, *arguments: str, **variables: str) -> str:
    """What a command writes to a terminal."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "sitegen", *arguments],
        cwd=folder,
        env={**clean_environment(), "TERM": "xterm", **variables},
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
    )
    os.close(theirs)
    parts = []
    try:
        while part := os.read(ours, 65536):
            parts.append(part)
    except OSError:  # how Linux says that the other end is closed
        pass
    os.close(ours)
    process.wait()
    return b"".join(parts).decode("utf-8")


COMMANDS = {
    "check": ["check"],
    "build": ["build"],
    "net": ["net", "R U", "--cube", "4"],
    "wrong-moves": ["net", "R3", "--cube", "4"],
}


@pytest.mark.parametrize("arguments", COMMANDS.values(), ids=COMMANDS)
def test_a_terminal_gets_colour_and_others_the_same_words(
    sitegen: Program, content: Path, arguments: list[str]
) -> None:
    break_page(content)
    coloured = on_a_terminal(sitegen.folder, *arguments)
    assert ESCAPE in coloured
    assert coloured.count(f"{ESCAPE}[0m") >= 1
    plain = sitegen(*arguments)
    assert ESCAPE not in plain.stdout + plain.stderr
    if arguments[0] != "net" or "R3" in arguments:
        assert STEERING.sub("", coloured) == plain.stdout + plain.stderr


@pytest.mark.parametrize("arguments", COMMANDS.values(), ids=COMMANDS)
@pytest.mark.parametrize("variables", [{"NO_COLOR": "1"}, {"TERM": "dumb"}], ids=str)
def test_a_terminal_that_wants_none_gets_none(
    sitegen: Program, content: Path, arguments: list[str], variables: dict[str, str]
) -> None:
    break_page(content)
    assert ESCAPE not in on_a_terminal(sitegen.folder, *arguments, **variables)


def test_an_empty_no_color_is_none(sitegen: Program) -> None:
    # no-color.org: "when present and not an empty string (regardless of its value)"
    assert ESCAPE in on_a_terminal(sitegen.folder, "net", "R", NO_COLOR="")


def test_a_page_cannot_steer_the_terminal(sitegen: Program, content: Path) -> None:
    (content / "page.md").write_text(
        "# Page\n\n```moves\nmoves: R \x1b[2J\x9b31m\u202e\x07 U\ncheck: order 105\n```\n", "utf-8"
    )
    shown = on_a_terminal(sitegen.folder, "check", NO_COLOR="1")
    assert not set(shown) & set("\x1b\x9b\u202e\x07")


def test_counting_on_a_terminal_leaves_nothing_behind(sitegen: Program, content: Path) -> None:
    for number in range(60):
        (content / f"p{number}.md").write_text(f"# Page {number}\n")
    shown = on_a_terminal(sitegen.folder, "check")
    assert "read 25 of 62 pages" in shown
    assert shown.rpartition("\x1b[K")[2].strip() == "62 pages, 2 blocks: everything holds"
    assert "read" not in sitegen("check").stderr

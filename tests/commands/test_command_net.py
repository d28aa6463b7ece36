"""`sitegen net`: one net, in the terminal or as a picture; and `sitegen start`."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest

from commands.command_running import in_shell
from folders import tree

if TYPE_CHECKING:
    from pathlib import Path

    from commands.command_running import Program

FOUR_TURNS = """
         W W O
         W W G
         W W G
  B O O  G G Y  R R W  B R R
  O O O  G G W  B R R  B B B
  O O O  G G G  W R R  B B B
         Y Y R
         Y Y Y
         Y Y Y
"""
"""R U R' U' worked out by hand, piece by piece (see the cycles in `pages/good/claims.md`)."""


def letters(text: str) -> list[list[str]]:
    return [[c for c in line if c.isalpha()] for line in text.split("\n") if line.strip()]


def test_the_net_in_the_terminal(sitegen: Program) -> None:
    done = sitegen("net", "R U R' U'")
    assert (done.returncode, done.stderr) == (0, "")
    assert letters(done.stdout) == letters(FOUR_TURNS)


@pytest.mark.parametrize("command", ["net", "explain"])
def test_a_2_that_could_belong_to_either_side_is_told(sitegen: Program, command: str) -> None:
    done = sitegen(command, "U R2U", "--cube", "4")
    assert done.returncode == 0
    assert done.stdout == sitegen(command, "U R2 U", "--cube", "4").stdout
    assert done.stderr.startswith("moves:1:3: warning: read as `R2 U`; `R 2U` could be meant too")
    assert sitegen(command, "U R2U", "--cube", "3").stderr == ""


@pytest.mark.parametrize("cube", ["2", "5x5", "33"])
def test_every_size(sitegen: Program, cube: str) -> None:
    n = int(cube.split("x", maxsplit=1)[0])
    rows = letters(sitegen("net", "", "--cube", cube).stdout)
    assert list(map(len, rows)) == [n] * n + [4 * n] * n + [n] * n


def test_a_picture(sitegen: Program, tmp_path: Path) -> None:
    done = sitegen("net", "Rw U2", "--cube", "4", "--out", "net.svg")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    text = (tmp_path / "net.svg").read_text("utf-8")
    root = ET.fromstring(text)  # noqa: S314 - written by this very program
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert root.get("viewBox")
    assert ET.tostring(root, "unicode").count("Rw U2")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["R U3"], "moves:1:3: error: "),
        (["3Rw"], "(layer-range)"),
        (["(R U"], "(notation)"),
        (["r"], "(lowercase)"),
        (["((((R U)999)999)999)999"], "(limit)"),
        (["R\nU3"], "moves:2:1: error: "),
    ],
)
def test_moves_that_are_wrong(sitegen: Program, arguments: list[str], said: str) -> None:
    done = sitegen("net", *arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["R", "--cube", "1"],
        ["R", "--cube", "34"],
        ["R", "--cube", "five"],
        ["R", "--out", "net.png"],
        ["R", "--out", "nowhere/net.svg"],
        ["R", "U"],
        ["R", "--lowercase", "both"],
    ],
)
def test_a_net_that_cannot_be_drawn(sitegen: Program, tmp_path: Path, arguments: list[str]) -> None:
    done = sitegen("net", *arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.strip()
    assert "Traceback" not in done.stderr
    assert not tree(tmp_path)


@pytest.mark.parametrize(("reading", "same"), [("wide", "Rw"), ("slice", "2R")])
def test_lowercase(sitegen: Program, reading: str, same: str) -> None:
    drawn = sitegen("net", "r", "--lowercase", reading)
    assert drawn.returncode == 0
    assert drawn.stdout == sitegen("net", same).stdout


def test_start_and_build(sitegen: Program, tmp_path: Path) -> None:
    done = sitegen("start", "club/our site")
    assert (done.returncode, done.stderr) == (0, "")
    site = tmp_path / "club" / "our site"
    assert (site / "content" / "site.toml").is_file()
    last = shlex.split(done.stdout.strip().split("\n")[-1])  # as a shell reads what is pasted
    assert last[0] == "sitegen"
    built = sitegen(*last[1:])
    assert built.returncode == 0, built.stdout
    assert built.stdout.endswith(": everything holds\n")
    assert (site / "out" / "index.html").is_file()
    assert sitegen("build", cwd=site).returncode == 0


def test_start_takes_an_empty_folder_and_no_other(sitegen: Program, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert sitegen("start", "empty").returncode == 0
    before = tree(tmp_path)
    for taken in ("empty", "empty/content/site.toml"):
        done = sitegen("start", taken)
        assert (done.returncode, done.stdout) == (2, "")
        assert taken in done.stderr
    assert tree(tmp_path) == before
    assert sitegen("start").returncode == 2


def test_start_takes_a_new_repository(sitegen: Program, tmp_path: Path) -> None:
    (tmp_path / ".git" / "refs").mkdir(parents=True)
    assert sitegen("start", ".").returncode == 0
    assert sitegen("build").returncode == 0
    assert (tmp_path / ".git" / "refs").is_dir()


def test_a_repository_is_left_where_no_site_can_be_made(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    done = in_shell('ulimit -f 1 && exec "$@"', tmp_path, "start", ".")
    assert done.returncode == 2
    assert [path.name for path in tmp_path.rglob("*")] == [".git"]


@pytest.mark.parametrize(("folder", "left"), [(".", []), ("club/site", ["club"])])
def test_a_site_that_cannot_be_made_whole_is_not_made(
    tmp_path: Path, folder: str, left: list[str]
) -> None:
    """No file may be as large here as the settings of a new site are."""
    done = in_shell('ulimit -f 1 && exec "$@"', tmp_path, "start", folder)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == f"sitegen start: `{folder}` could not be made: File too large\n"
    assert [path.name for path in tmp_path.rglob("*")] == left

"""Exit status, and what is said where: 0 all holds, 1 something does not, 2 cannot be run."""

from __future__ import annotations

import errno
import importlib
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import pytest

from commands.command_running import PAGE, break_page, clean_environment, in_shell
from folders import tree
from sitegen.commands.main import COMMANDS, main
from sitegen.problem import RULES

if TYPE_CHECKING:
    from collections.abc import Callable

    from commands.command_running import Program

CHECKING = ("build", "check")
NOTE = """Words[^more].

[^more]: More words.

    ```moves
    moves: R
    check: turns 1
    ```

"""
WRONG = "```moves wrong\ncube: 4\nmoves: U2R\ncheck: solved\n```\n"
LEANING = "# Leaning\n\n```moves\ncube: 4\nfrom: page.md#wrong\nmoves: U\ncheck: turns 1\n```\n"


@pytest.mark.parametrize("command", CHECKING)
def test_all_holds(sitegen: Program, content: Path, command: str) -> None:
    done = sitegen(command, content)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == "2 pages, 2 blocks: everything holds\n"


@pytest.mark.parametrize("command", [*CHECKING, "redraw"])
def test_content_in_the_current_folder_is_meant_where_nothing_is_said(
    sitegen: Program, content: Path, command: str
) -> None:
    assert content.name == "content"
    assert sitegen(command).returncode == 0


@pytest.mark.parametrize("command", CHECKING)
def test_something_does_not_hold(sitegen: Program, content: Path, command: str) -> None:
    break_page(content)
    done = sitegen(command, content)
    assert (done.returncode, done.stderr) == (1, "")
    assert done.stdout.startswith("page.md:7:6: error: ")
    assert done.stdout.endswith("2 pages, 2 blocks: 1 error\n")
    assert "1 block is not judged until this one is mended" in done.stdout


@pytest.mark.parametrize("above", ["", NOTE], ids=["alone", "below-a-footnote"])
def test_a_page_whose_blocks_wait_for_another_page_is_not_said_to_hold(
    sitegen: Program, content: Path, above: str
) -> None:
    (content / "site.toml").write_text("cube = 3\n", "utf-8")
    (content / "page.md").write_text(f"# A page\n\n{above}{WRONG}", "utf-8")
    (content / "waits.md").write_text(LEANING, "utf-8")
    done = sitegen("check", content / "waits.md")
    assert done.returncode == 1
    assert done.stdout.startswith("page.md:")
    assert done.stdout.endswith("1 page, 1 block: 1 error\n")


def test_a_page_whose_blocks_wait_for_the_top_of_another_is_not_said_to_hold(
    sitegen: Program, content: Path
) -> None:
    (content / "site.toml").write_text("cube = 3\n", "utf-8")
    (content / "page.md").write_text(
        f"---\ntitle: A page\ncube: five\n---\n\n{WRONG.replace('cube: 4', '')}", "utf-8"
    )
    (content / "waits.md").write_text(LEANING, "utf-8")
    done = sitegen("check", content / "waits.md")
    assert done.returncode == 1
    assert done.stdout.startswith("page.md:3:7: error: ")


def test_what_a_failed_block_waits_for_is_told_to_who_waits_for_it(
    sitegen: Program, content: Path
) -> None:
    blocks = {"one": "moves: R3", "two": "from: one.md#one\nmoves: R3"}
    blocks |= {
        "three": "from: two.md#two\nto: three.md#three start\nmoves: R4",
        "four": "moves: R4",
    }
    blocks["five"] = "from: three.md#three\nmoves: R"
    for name, inside in blocks.items():
        (content / f"{name}.md").write_text(f"# Page\n\n```moves {name}\n{inside}\n```\n")
    (content / "site.toml").write_text("cube = 3\n", "utf-8")
    told = sitegen("check", content / "five.md").stdout
    assert [line.split(":")[0] for line in told.splitlines() if ": error: " in line] == [
        "one.md",
        "three.md",
        "two.md",
    ]


@pytest.mark.parametrize("command", CHECKING)
def test_a_warning_alone_is_no_failure(sitegen: Program, content: Path, command: str) -> None:
    (content / "page.md").write_text("# A page\n\n```moves four-turns\nmoves: R U R' U'\n```\n")
    done = sitegen(command, content)
    assert done.returncode == 0
    assert "warning: " in done.stdout
    assert done.stdout.endswith("2 pages, 2 blocks: 1 warning\n")


@pytest.mark.parametrize("command", CHECKING)
def test_settings_and_unreadable_pages_are_content(
    sitegen: Program, content: Path, command: str
) -> None:
    (content / "site.toml").write_text("cube = 'three'\n")
    assert sitegen(command, content).returncode == 1
    (content / "site.toml").unlink()
    (content / "page.md").write_bytes(b"# Caf\xe9\n")
    assert sitegen(command, content).returncode == 1


@pytest.mark.parametrize("command", CHECKING)
@pytest.mark.parametrize("form", ["text", "json"])
@pytest.mark.parametrize(
    "arguments",
    [
        pytest.param(["nowhere"], id="missing-folder"),
        pytest.param(["content", "--nonsense"], id="unknown-option"),
        pytest.param(["content", "--format", "yaml"], id="unknown-format"),
        pytest.param(["content", "nowhere"], id="one-too-many-or-missing"),
        pytest.param(["n" * 256], id="a-name-that-no-file-can-have"),
    ],
)
@pytest.mark.usefixtures("content")
def test_what_cannot_be_run(
    sitegen: Program, tmp_path: Path, command: str, form: str, arguments: list[str]
) -> None:
    before = tree(tmp_path)
    done = sitegen(command, "--format", form, *arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.strip()
    assert "Traceback" not in done.stderr
    assert tree(tmp_path) == before


@pytest.mark.parametrize("arguments", [[], ["nonsense"], ["--nonsense"]])
def test_no_such_command(sitegen: Program, arguments: list[str]) -> None:
    done = sitegen(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert "usage: sitegen" in done.stderr


@pytest.mark.parametrize(
    ("arguments", "offer"),
    [
        pytest.param(["bild"], "did you mean `build`?", id="a-command-misspelt"),
        pytest.param(["nonsense"], ", ".join(COMMANDS), id="no-command-near"),
        pytest.param([], ", ".join(COMMANDS), id="no-command"),
        pytest.param(["net", "R", "U"], "moves stand in quotes", id="moves-unquoted"),
        pytest.param(["build", "--workers", "two"], "write 1, 2, ...", id="no-number"),
        pytest.param(["build", "--workers", "0"], "write 1, 2, ...", id="nobody"),
        pytest.param(["build", ".", "--url", "a.example"], "https:// or http://", id="no-url"),
        pytest.param(["check", "--yes"], "say both", id="yes-to-nothing"),
        pytest.param(["check", "--slips", "--format", "sarif"], "text or json", id="no-form"),
        pytest.param(["check", "nowhere"], "sitegen start our-site", id="no-folder"),
        pytest.param(["start", str(Path(__file__).parent)], "name a new one", id="no-room"),
        pytest.param(["start", __file__], "name a new one", id="no-folder-to-start"),
    ],
)
def test_what_cannot_be_run_is_answered_with_what_to_do(
    sitegen: Program, arguments: list[str], offer: str
) -> None:
    done = sitegen(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert offer in done.stderr


@pytest.mark.parametrize("name", ["content/seven", "seven"])
def test_a_page_named_without_its_ending_is_pointed_out(
    sitegen: Program, content: Path, name: str
) -> None:
    (content / "seven.md").write_text("# Seven\n")
    assert "did you mean `content/seven.md`?" in sitegen("check", name).stderr


@pytest.mark.parametrize("command", ["check", "redraw"])
@pytest.mark.parametrize("path", ["plan.txt", "plans", ".later.md", ".old"])
def test_a_path_at_which_no_page_stands_is_pointed_out(
    sitegen: Program, content: Path, command: str, path: str
) -> None:
    for name in ("site.toml", "plan.txt", "plans/plan.txt", ".later.md", ".old/page.md"):
        file = content / name
        file.parent.mkdir(exist_ok=True)
        file.write_text("# No page of the site\n")
    done = sitegen(command, "content/page.md", f"content/{path}")
    assert (done.returncode, done.stdout) == (2, "")
    assert f"there is no page at `content/{path}`" in done.stderr


def test_settings_and_what_cannot_be_a_page_may_be_named(sitegen: Program, content: Path) -> None:
    (content / "site.toml").write_text("cube = 3\n")
    assert sitegen("check", "content/site.toml").returncode == 0
    (content / "away.md").symlink_to(content.parent)
    done = sitegen("check", "content/away.md")
    assert (done.returncode, done.stderr) == (1, "")
    assert done.stdout.startswith("away.md:1:1: error: ")


def test_a_folder_without_pages_is_told_to_who_asks_for_its_settings(
    sitegen: Program, tmp_path: Path
) -> None:
    (tmp_path / "site.toml").write_text("cube = 3\n")
    done = sitegen("check", "site.toml")
    assert done.returncode == 1
    assert "no page at all" in done.stdout


@pytest.mark.parametrize("name", ["sub/other.md", "sub"])
def test_a_page_named_as_reports_name_it_is_pointed_out(
    sitegen: Program, content: Path, name: str
) -> None:
    assert f"did you mean `{content.name}/{name}`?" in sitegen("check", name).stderr


@pytest.mark.parametrize("command", CHECKING)
@pytest.mark.parametrize("place", [".", "sub"])
def test_who_stands_within_the_content_folder_is_told_so(
    sitegen: Program, content: Path, command: str, place: str
) -> None:
    (content / "site.toml").write_text("cube = 3\n", "utf-8")
    assert "did you mean `.`?" in sitegen(command, cwd=content / place).stderr
    assert "did you mean" not in sitegen(command, "nowhere", cwd=content / place).stderr


@pytest.mark.parametrize("command", CHECKING)
def test_a_site_named_for_its_content_folder_is_pointed_out(
    sitegen: Program, tmp_path: Path, command: str
) -> None:
    assert sitegen("start", "our-site").returncode == 0
    out = ["--out", str(tmp_path / "out")] if command == "build" else []
    assert "perhaps `our-site/content` was meant" in sitegen(command, "our-site", *out).stderr
    assert sitegen(command, "our-site/content", *out).stderr == ""
    (tmp_path / "our-site" / "site.toml").touch()
    assert sitegen(command, "our-site", *out).stderr == ""


def test_a_site_is_pointed_out_from_a_page_outside_its_content_folder(
    sitegen: Program, tmp_path: Path
) -> None:
    assert sitegen("start", "our-site").returncode == 0
    (tmp_path / "our-site" / "stray.md").write_text("# A page beside the content folder\n")
    told = sitegen("check", "our-site/stray.md").stderr
    assert told.startswith("sitegen check: `our-site` holds no site.toml")
    assert told.endswith("perhaps `our-site/content` was meant\n")


def test_a_file_is_no_content_folder_to_build(sitegen: Program, content: Path) -> None:
    done = sitegen("build", content / "page.md")
    assert (done.returncode, done.stdout) == (2, "")


def is_a_file(out: Path) -> None:
    out.write_text("mine\n")


def holds_something_foreign(out: Path) -> None:
    out.mkdir()
    (out / "mine.txt").write_text("mine\n")


def holds_a_foreign_folder(out: Path) -> None:
    (out / "mine").mkdir(parents=True)


def is_a_link_to_nothing(out: Path) -> None:
    out.symlink_to(out.parent / "nothing")


@pytest.mark.parametrize("form", ["text", "json"])
@pytest.mark.parametrize(
    "spoil", [is_a_file, holds_something_foreign, holds_a_foreign_folder, is_a_link_to_nothing]
)
def test_an_output_that_is_refused(
    sitegen: Program, content: Path, tmp_path: Path, form: str, spoil: Callable[[Path], None]
) -> None:
    out = tmp_path / "site"
    spoil(out)
    before = tree(tmp_path)
    done = sitegen("build", content, "--out", out, "--format", form)
    assert (done.returncode, done.stdout) == (2, "")
    assert str(out) in done.stderr
    assert tree(tmp_path) == before


def test_something_foreign_in_an_old_output_is_refused(
    sitegen: Program, content: Path, tmp_path: Path
) -> None:
    assert sitegen("build", content).returncode == 0
    (tmp_path / "out" / "sub" / "mine.txt").write_text("mine\n")
    before = tree(tmp_path / "out")
    done = sitegen("build", content)
    assert (done.returncode, done.stdout) == (2, "")
    assert "mine.txt" in done.stderr
    assert tree(tmp_path / "out") == before


def test_an_output_that_cannot_be_written(sitegen: Program, content: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine\n")
    before = tree(tmp_path)
    done = sitegen("build", content, "--out", "file/out")
    assert (done.returncode, done.stdout) == (2, "")
    assert "Traceback" not in done.stderr
    assert tree(tmp_path) == before


def test_the_old_output_stays_on_any_problem(
    sitegen: Program, content: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    assert sitegen("build", content).returncode == 0
    before = tree(out)
    break_page(content)
    (content / "new.md").write_text("# A new page that holds\n")
    assert sitegen("build", content).returncode == 1
    assert tree(out) == before
    own = tmp_path / "themes"
    own.mkdir()
    (content / "page.md").write_text(PAGE, "utf-8")
    (own / "page.html").write_text("{% broken %}")
    assert sitegen("build", content).returncode == 1
    assert tree(out) == before
    (own / "page.html").unlink()
    assert sitegen("build", content).returncode == 0
    assert "new.html" in tree(out)


def test_a_broken_theme_is_told_beside_what_is_wrong_with_pages(
    sitegen: Program, content: Path, tmp_path: Path
) -> None:
    for page in content.rglob("*.md"):
        page.write_text("# Wrong\n\n[nothing](gone.md)\n", "utf-8")
    (tmp_path / "themes").mkdir()
    (tmp_path / "themes" / "page.html").write_text("{% broken %}")
    built = sitegen("build", content)
    assert built.returncode == 1
    assert "page.md:3:11: error" in built.stdout
    assert "themes/page.html:1:1: error" in built.stdout
    checked = sitegen("check", content)
    assert (checked.returncode, checked.stdout) == (1, built.stdout)
    assert "themes" not in sitegen("check", content / "page.md").stdout


def test_check_writes_nothing(sitegen: Program, content: Path, tmp_path: Path) -> None:
    before = tree(tmp_path)
    sitegen("check", content)
    assert tree(tmp_path) == before


def test_a_folder_without_settings_may_be_named_from_anywhere(
    sitegen: Program, content: Path, tmp_path: Path
) -> None:
    (tmp_path / "else").mkdir()
    done = sitegen("build", "../content", "--out", "../there", cwd=tmp_path / "else")
    assert done.returncode == 0
    assert (tmp_path / "there" / "sub" / "other.html").is_file()
    assert tree(content)["page.md"]


PROBLEM = {
    "file": str,
    "line": int,
    "column": int,
    "severity": str,
    "rule": str,
    "block": (str, type(None)),
    "message": str,
    "waiting": int,
    "suggest": list,
}
REPORT = {"format": int, "pages": int, "blocks": int, "problems": list}


def fits(found: dict[str, Any], shape: dict[str, Any]) -> bool:
    """Whether an object has exactly these keys, in this order, each of its type."""
    return list(found) == list(shape) and all(
        isinstance(found[key], kind) and not isinstance(found[key], bool)
        for key, kind in shape.items()
    )


@pytest.mark.parametrize("command", CHECKING)
def test_json_has_the_documented_shape(sitegen: Program, content: Path, command: str) -> None:
    good = sitegen(command, content, "--format", "json")
    assert (good.returncode, good.stderr) == (0, "")
    assert json.loads(good.stdout) == {"format": 1, "pages": 2, "blocks": 2, "problems": []}
    break_page(content)
    (content / "sub" / "more.md").write_text("No title, and `R''` \U0001f9ca `R U3`.\n", "utf-8")
    bad = sitegen(command, content, "--format", "json")
    found = json.loads(bad.stdout)
    assert (bad.returncode, bad.stderr) == (1, "")
    assert fits(found, REPORT)
    assert found["format"] == 1
    problems = found["problems"]
    assert [(p["file"], p["line"], p["column"], p["severity"], p["rule"]) for p in problems] == [
        ("page.md", 7, 6, "error", "after-mismatch"),
        ("sub/more.md", 1, 1, "error", "front-matter"),
        ("sub/more.md", 1, 16, "warning", "near-moves"),
        # the ice cube is one code point, and two in UTF-16
        ("sub/more.md", 1, 26, "warning", "near-moves"),
    ]
    for problem in problems:
        assert fits(problem, PROBLEM)
        assert problem["severity"] == RULES[problem["rule"]][0]
        assert all(isinstance(moves, str) for moves in problem["suggest"])
    assert [problem["block"] for problem in problems] == ["four-turns", None, None, None]
    assert [problem["waiting"] for problem in problems] == [1, 0, 0, 0]


def test_check_of_pages_and_folders_within(sitegen: Program, content: Path) -> None:
    (content / "site.toml").write_text("language = 1\n")
    break_page(content)
    (content / "sub" / "deep").mkdir()
    (content / "sub" / "deep" / "bad.md").write_text("No title\n")

    def wrong(*paths: str) -> tuple[int, list[str], int]:
        done = sitegen("check", *paths, "--format", "json")
        found = json.loads(done.stdout)
        return done.returncode, [p["file"] for p in found["problems"]], found["pages"]

    everything = ["page.md", "sub/deep/bad.md"]
    assert wrong("content") == (1, everything, 3)
    assert wrong("content/page.md") == (1, ["page.md"], 1)
    # other.md goes on from the broken block of page.md, so it has not been seen to hold
    assert wrong("content/sub") == (1, everything, 2)
    assert wrong("content/sub/deep") == (1, ["sub/deep/bad.md"], 1)
    (content / "sub" / "deeper").mkdir()
    (content / "sub" / "deeper" / "good.md").write_text("# A page\n")
    assert wrong("content/sub/deep") == (1, ["sub/deep/bad.md"], 1)
    (content / "sub" / "deeper" / "good.md").unlink()
    assert wrong("content/sub/other.md") == (1, ["page.md"], 1)
    assert wrong("content/sub/other.md", "content/page.md") == (1, ["page.md"], 2)
    assert wrong("content/sub/../page.md", "content/sub/deep") == (1, everything, 2)
    (content / "site.toml").write_text("language = 2\n")
    assert wrong("content/sub/deep") == (1, ["site.toml", "sub/deep/bad.md"], 1)
    (content.parent / "themes").mkdir()
    (content.parent / "themes" / "words.toml").write_text("[pages]\n")
    assert wrong("content/sub/deep") == (1, ["site.toml", "sub/deep/bad.md"], 1)
    assert wrong("content")[1][-1] == "../themes/words.toml"


def test_check_of_paths_in_two_content_folders(
    sitegen: Program, content: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other"
    other.mkdir()
    (other / "page.md").write_text("# Page\n")
    done = sitegen("check", content, other)
    assert (done.returncode, done.stdout) == (2, "")
    assert "name one at a time" in done.stderr


@pytest.mark.parametrize("command", [[], *([name] for name in COMMANDS)])
def test_help(sitegen: Program, command: list[str]) -> None:
    done = sitegen(*command, "--help", COLUMNS="80")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith(" ".join(["usage: sitegen", *command]))
    assert max(map(len, done.stdout.split("\n"))) <= 80
    if not command:
        assert all(f"    {name} " in done.stdout for name in COMMANDS)


def test_version(sitegen: Program) -> None:
    done = sitegen("--version")
    assert (done.returncode, done.stdout[:8]) == (0, "sitegen ")


def test_a_reader_who_leaves_gets_no_traceback(content: Path) -> None:
    (content / "long.md").write_text("# Long\n\n" + "A `R''` and\n" * 1000)
    with subprocess.Popen(
        [sys.executable, "-m", "sitegen", "check", str(content)],
        env=clean_environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stdout
        assert process.stderr
        process.stdout.read(10)
        process.stdout.close()
        assert process.stderr.read() == b""


def run_into(file: BinaryIO, folder: Path, command: list[str]) -> tuple[int, str]:
    """Run a command in a folder, its output into a file: its status, and what it says besides."""
    done = subprocess.run(
        [sys.executable, "-m", "sitegen", *command],
        cwd=folder,
        env=clean_environment(),
        stdout=file,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        check=False,
    )
    return done.returncode, done.stderr


@pytest.mark.parametrize("command", [["check", "content"], ["net", "R"], ["explain", "R"]])
@pytest.mark.usefixtures("content")
def test_nothing_is_said_to_a_reader_who_left_before_the_first_line(
    tmp_path: Path, command: list[str]
) -> None:
    reads, writes = os.pipe()
    os.close(reads)
    with os.fdopen(writes, "wb") as nobody:
        assert run_into(nobody, tmp_path, command) == (2, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no file here is always full")
@pytest.mark.parametrize("command", [["check", "content"], ["net", "R"], ["explain", "R"]])
@pytest.mark.usefixtures("content")
def test_a_report_that_finds_no_room_is_said_to_have_found_none(
    tmp_path: Path, command: list[str]
) -> None:
    said = f"sitegen {command[0]}: {os.strerror(errno.ENOSPC)}\n"
    with Path("/dev/full").open("wb") as full:
        assert run_into(full, tmp_path, command) == (2, said)


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&- <&-"])
@pytest.mark.parametrize("command", [["check", "content", "--mend"], ["build", "content"]])
@pytest.mark.usefixtures("content")
def test_what_is_said_into_a_closed_stream_changes_nothing(
    tmp_path: Path, command: list[str], closed: str
) -> None:
    done = in_shell(f'exec "$@" {closed}', tmp_path, *command)
    assert (done.returncode, done.stderr) == (0, "")
    assert ("everything holds" in done.stdout) == (closed == "2>&-")


def test_a_command_can_be_ended_while_it_is_loaded(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(_name: str) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(importlib, "import_module", stopped)
    assert main(["check"]) == 2
    assert capsys.readouterr() == ("", "sitegen check: interrupted\n")

"""Exit status and messages: as the other commands."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from sitegen.commands.main import main


def test_moves_that_do_not_read_are_underlined(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "R U3 F"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert main(["net", "R U3 F"]) == 2
    assert said.err == capsys.readouterr().err
    assert "R U3 F" in said.err
    assert "^^" in said.err


def test_a_lowercase_letter_needs_a_reading(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "r U", "--cube", "4"]) == 2
    said = capsys.readouterr().err
    assert "two readings" in said
    assert "choose with `--lowercase wide` or `--lowercase slice` (lowercase)" in said
    for reading, obtm in (("wide", 2), ("slice", 3)):
        assert main(["explain", "r U", "--cube=4", f"--lowercase={reading}", "--format=json"]) == 0
        found = json.loads(capsys.readouterr().out)
        assert found["turns"]["OBTM"] == obtm
        assert (found["inverse"], found["mirror"]) == ("U' r'", "l' U'")


def test_a_named_sequence_is_not_advised_where_none_can_be(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["explain", "{four} R"]) == 2
    assert "and none is read here: write its moves out" in capsys.readouterr().err


@pytest.mark.parametrize("size", ["1", "34", "five", "4x5"])
def test_a_size_that_is_none_cannot_be_run(size: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "R", "--cube", size]) == 2
    assert capsys.readouterr().err.startswith("sitegen explain: --cube: ")


def test_an_unknown_option_is_usage() -> None:
    with pytest.raises(SystemExit) as ended:
        main(["explain", "R", "--format", "xml"])
    assert ended.value.code == 2


def test_a_long_answer_is_summed_up(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "3Rw U 5Fw D2 L 8Bw R", "--cube", "33"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) < 40
    assert max(map(len, lines)) < 500
    assert any(line.startswith("As a claim: too long to print.") for line in lines)


def test_it_starts_without_what_it_does_not_need() -> None:
    # the pages' own libraries load slowly, and nothing here needs them
    code = (
        "import sys; from sitegen.commands.main import main; main(['explain', 'R']);"
        "print([m for m in ('jinja2', 'markdown_it', 'yaml', 'svgwrite') if m in sys.modules])"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ended.stdout.splitlines()[-1] == "[]"

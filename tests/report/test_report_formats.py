"""Reports for machines, over one folder that fails in several rules, hostile texts among them."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING
from xml.etree.ElementTree import fromstring

import pytest

from folders import written
from sitegen.commands.main import main
from sitegen.problem import RULES

if TYPE_CHECKING:
    from pathlib import Path

PAGES = {
    "lessons/edges.md": (
        "# Edges\n\n```moves first\nmoves: R U R' U\ncheck:\n  order 6\n```\n\n"
        "```moves second\nfrom: last\nmoves: R3\n```\n\n```moves\nmoves: R2 U2\n```\n"
    ),
    "hostile.md": (
        "# <b>100%</b> {0} ]]> \x1b[31m \u202e\n\n```moves a\nmoves: R <&> % \x07 {x}\n"
        "mark: UF = <i>,\ncheck: [a](b) ::error::\n```\n\n[a, b: c%](gone,%25:.md)\n"
    ),
    "whole.md": "# Whole\n\n```moves\nmoves: R U R' U'\ncheck: order 6\n```\n",
}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    written(tmp_path / "content", PAGES)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(capsys: pytest.CaptureFixture[str], form: str, *more: str) -> tuple[int, str]:
    status = main(["check", "content", "--format", form, *more])
    said = capsys.readouterr()
    assert said.err == ""
    return status, said.out


@pytest.mark.usefixtures("folder")
def test_sarif_has_what_the_standard_requires(capsys: pytest.CaptureFixture[str]) -> None:
    """OASIS SARIF 2.1.0: version 3.13.2, tool 3.14.6, message 3.27.11, regions 3.30, rules 3.49."""
    status, text = told(capsys, "sarif")
    log, plain = json.loads(text), json.loads(told(capsys, "json")[1])
    assert status == 1
    assert log["version"] == "2.1.0"
    (run,) = log["runs"]
    rules = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == list(RULES)
    assert len(run["results"]) == len(plain["problems"]) > 5
    for result, problem in zip(run["results"], plain["problems"], strict=True):
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"] == problem["rule"]
        assert result["level"] == problem["severity"]
        assert result["message"]["text"]
        place = result["locations"][0]["physicalLocation"]
        region = place["region"]
        assert (region["startLine"], region["startColumn"]) == (problem["line"], problem["column"])
        assert region["endColumn"] >= region["startColumn"]
        assert place["artifactLocation"]["uri"].startswith("content/")
    (fixed,) = (result for result in run["results"] if "fixes" in result)
    offered = [
        replaced["insertedContent"]["text"]
        for fix in fixed["fixes"]
        for replaced in fix["artifactChanges"][0]["replacements"]
    ]
    (repaired,) = (problem for problem in plain["problems"] if problem["suggest"])
    assert offered == repaired["suggest"]
    assert "R U R' U'" in offered


@pytest.mark.usefixtures("folder")
def test_junit_has_a_case_a_block(capsys: pytest.CaptureFixture[str]) -> None:
    """The elements and attributes of `junit-10.xsd`, the schema of Jenkins' xUnit plugin."""
    status, text = told(capsys, "junit")
    root = fromstring(text)  # noqa: S314 - the program's own output
    assert status == 1
    names = {
        suite.get("name"): [case.get("name") for case in suite.findall("testcase")]
        for suite in root.findall("testsuite")
    }
    assert names == {
        "hostile.md": ["the page", "a"],
        "lessons/edges.md": ["the page", "first", "second", "block 3"],
        "whole.md": ["the page", "block 1"],
    }
    failed = [
        case.get("name") for case in root.iter("testcase") if case.find("failure") is not None
    ]
    assert failed == ["the page", "a", "first", "second"]
    assert root.get("failures") == "4"
    assert {element.tag for element in root.iter()} <= {
        *("testsuites", "testsuite", "testcase", "failure", "system-out")
    }


@pytest.mark.usefixtures("folder")
def test_an_annotation_is_one_line_whatever_it_says(capsys: pytest.CaptureFixture[str]) -> None:
    """The escapes of workflow commands, as GitHub's documentation and `@actions/core` have them."""
    _, text = told(capsys, "github")
    problems = json.loads(told(capsys, "json")[1])["problems"]
    *commands, summary = text.splitlines()
    assert len(commands) == len(problems)
    assert "errors" in summary
    for command, problem in zip(commands, problems, strict=True):
        found = re.fullmatch(r"::(error|warning) ([^:]*)::(.*)", command)
        assert found, command
        given = dict(pair.split("=", 1) for pair in found[2].split(","))
        assert found[1] == problem["severity"]
        assert given["file"] == f"content/{problem['file']}"
        assert (given["line"], given["col"]) == (str(problem["line"]), str(problem["column"]))
        assert re.fullmatch(r"(?:[^%\r\n]|%25|%0A|%0D)*", found[3])


@pytest.mark.parametrize("form", ["text", "json", "sarif", "junit", "github"])
@pytest.mark.usefixtures("folder")
def test_no_report_steers_a_terminal(capsys: pytest.CaptureFixture[str], form: str) -> None:
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f\u202e]", told(capsys, form)[1])


def test_warnings_fail_where_they_are_asked_to(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("lessons/edges.md", "hostile.md"):
        (folder / "content" / name).unlink()
    (folder / "content" / "bare.md").write_text("# Bare\n\n```moves\nmoves: R\n```\n", "utf-8")
    assert told(capsys, "json")[0] == 0
    assert told(capsys, "json", "--warnings-fail")[0] == 1

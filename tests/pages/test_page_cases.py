"""Pages that hold, and pages that do not: a file or a folder a case, its report beside it.

`good/NAME.md` must build without a word. `bad/RULE/NAME.md` must be reported as `NAME.txt` says. A
case of several files is a folder of that name. To accept new reports: read them in `new/`, where a
failing test leaves them, and move them by hand.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from case_copies import copy_case
from sitegen.commands.main import main
from sitegen.problem import RULES
from sitegen.report.tame import tame_lines

if TYPE_CHECKING:
    from collections.abc import Callable

    Check = Callable[[Path], tuple[int, str, dict[str, Any]]]

HERE = Path(__file__).parent
GOOD = sorted((HERE / "good").iterdir())
BAD = sorted(path for path in (HERE / "bad").glob("*/*") if path.suffix != ".txt")


def name(case: Path) -> str:
    return "/".join(case.relative_to(HERE).parts[1:])


@pytest.fixture
def check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Check:
    """Check a copy of a case, away from the other cases: status, text, and JSON read."""

    def run(case: Path) -> tuple[int, str, dict[str, Any]]:
        content = tmp_path / "content"
        copy_case(case, content)
        status = main(["check", str(content)])
        text = capsys.readouterr().out
        assert main(["check", str(content), "--format", "json"]) == status
        return status, text, json.loads(capsys.readouterr().out)

    return run


@pytest.mark.parametrize("case", GOOD, ids=name)
def test_a_good_page_holds_without_a_word(case: Path, check: Check) -> None:
    status, text, found = check(case)
    assert status == 0, text
    assert text.endswith(": everything holds\n"), text
    assert found["problems"] == []


@pytest.mark.parametrize("case", BAD, ids=name)
def test_a_bad_page_is_reported_as_written_beside_it(case: Path, check: Check) -> None:
    status, text, found = check(case)
    problems = found["problems"]
    assert case.parent.name in {problem["rule"] for problem in problems}, text
    assert status == any(problem["severity"] == "error" for problem in problems)
    assert "Traceback" not in text
    assert headlines(text) == [headline(problem) for problem in problems]
    expected = case.with_suffix(".txt")
    if not expected.exists() or expected.read_text("utf-8") != text:
        new = HERE / "new" / expected.relative_to(HERE / "bad")
        new.parent.mkdir(parents=True, exist_ok=True)
        new.write_text(text, "utf-8")
        before = expected.read_text("utf-8") if expected.exists() else "nothing yet\n"
        pytest.fail(
            f"{expected} says:\n\n{before}\nand the report is:\n\n{text}\n"
            f"If the new one is right, accept it:\n\n    mv {new} {expected}"
        )


def headlines(text: str) -> list[str]:
    """The lines of a report that tell a problem, without the summary."""
    return re.findall(r"^\S.*: (?:error|warning): .*$", text, re.MULTILINE)


def headline(problem: dict[str, Any]) -> str:
    place = f"{problem['file']}:{problem['line']}:{problem['column']}"
    block = f" [{problem['block']}]" if problem["block"] else ""
    message = tame_lines(problem["message"])
    return f"{place}: {problem['severity']}: {message} ({problem['rule']}){block}"


@pytest.mark.parametrize("rule", RULES)
def test_every_rule_has_two_cases_or_more(rule: str) -> None:
    assert sum(case.parent.name == rule for case in BAD) >= 2


def test_no_folder_and_no_report_is_left_over() -> None:
    assert GOOD
    assert {folder.name for folder in (HERE / "bad").iterdir()} == set(RULES)
    reports = {path.with_suffix("") for path in (HERE / "bad").glob("*/*.txt")}
    assert reports == {case.with_suffix("") for case in BAD}

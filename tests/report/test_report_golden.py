"""One folder that fails in several rules, told in every format, as a reader of each would get it.

`golden/` holds the whole reports, to be read; the formats that have a schema are judged by it, the
program's own escapes by what others' programs make of them.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from jsonschema import Draft4Validator, FormatChecker
from lxml import etree

from sitegen import __version__
from sitegen.commands.main import main
from sitegen.problem import RULES, Change, Compared, Problem, Repair
from sitegen.report.findings import BlockPlace, Findings
from sitegen.report.table import REPORTS, tell

if TYPE_CHECKING:
    from collections.abc import Callable

HERE = Path(__file__).parent
GOLDEN = {path.stem: path for path in (HERE / "golden").iterdir()}

HOSTILE = (
    "100% {0} {name} [R, U](R U) <b>&amp;]]> ::error:: ##[x] a,b:c \x1b[2J\x07\u202e\ufffe\ud800"
)
WRONG_FILE = "a b%20c,d:e/<f>\n\x1b.md"


def sarif_faults(text: str) -> list[str]:
    schema = json.loads((HERE / "schemas" / "sarif-schema-2.1.0.json").read_text("utf-8"))
    judge = Draft4Validator(schema, format_checker=FormatChecker())
    return [fault.message for fault in judge.iter_errors(json.loads(text))]


def junit_faults(text: str) -> list[str]:
    judge = etree.XMLSchema(etree.parse(HERE / "schemas" / "junit-10.xsd"))
    judge.validate(etree.fromstring(text.encode("ascii")))
    return [str(fault) for fault in judge.error_log]


JUDGES: dict[str, Callable[[str], list[str]]] = {"sarif": sarif_faults, "junit": junit_faults}


def hostile(*, warnings_fail: bool = False) -> Findings:
    """Findings every text of which is as bad as it can be: a page's, a name's, a repair's."""
    change = Change(3, HOSTILE, HOSTILE + "'", len(HOSTILE), len(HOSTILE) + 1)
    compared = Compared((HOSTILE,), (HOSTILE,), ((0,),))
    in_block = Problem(
        WRONG_FILE,
        3,
        2,
        500,
        "after-mismatch",
        HOSTILE + "\n" + HOSTILE,
        "an-id",
        1,
        (Repair(HOSTILE, HOSTILE, (change,)),),
        compared,
    )
    outside = Problem(WRONG_FILE, 9, 1, 1, "near-moves", HOSTILE)
    return Findings(
        pages=1,
        blocks=1,
        each=lambda: [(WRONG_FILE, [BlockPlace(WRONG_FILE, 0, "an-id", 2, 4)])],
        problems=(in_block, outside),
        line_of=lambda _file, line: HOSTILE if line == 3 else "",
        root="/site/content",
        here="/site",
        warnings_fail=warnings_fail,
    )


def test_every_format_has_its_golden_file() -> None:
    assert set(GOLDEN) == set(REPORTS)


@pytest.mark.parametrize("form", REPORTS)
def test_a_report_reads_as_its_golden_file(
    form: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(HERE)
    assert main(["check", "folder", "--format", form]) == 1
    text = capsys.readouterr().out.replace(f'"version": "{__version__}"', '"version": "THIS"')
    assert text == GOLDEN[form].read_text("utf-8")


@pytest.mark.parametrize("form", JUDGES)
def test_a_report_is_valid(form: str) -> None:
    """By the schemas in `schemas/`, whose sources stand in its README."""
    assert JUDGES[form](GOLDEN[form].read_text("utf-8")) == []
    assert JUDGES[form](tell(form, hostile())) == []


def test_the_schemas_find_faults() -> None:
    sarif, junit = (GOLDEN[form].read_text("utf-8") for form in ("sarif", "junit"))
    assert sarif_faults(sarif.replace('"startColumn": 49', '"startColumn": 0'))
    assert sarif_faults(sarif.replace('"level": "error"', '"level": "fatal"', 1))
    assert junit_faults(junit.replace("classname=", "class=", 1))
    assert junit_faults(junit.replace(' tests="11"', "").replace(' tests="5"', ""))


@pytest.mark.parametrize("form", REPORTS)
def test_hostile_texts_steer_nothing(form: str) -> None:
    text = tell(form, hostile())
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e\ud800-\udfff]", text)


def test_sarif_messages_hold_no_placeholder_and_no_link() -> None:
    """SARIF 2.1.0, 3.11.5 (braces are doubled) and 3.11.6 (brackets are escaped), from memory."""
    log = json.loads(tell("sarif", hostile()))
    for result in log["runs"][0]["results"]:
        told = result["message"]["text"]
        assert "{{0}} {{name}} \\[R, U\\](R U)" in told
        assert not re.search(r"(?<!\{)\{\d", told)
        assert not re.search(r"(?<!\\)\[[^\]]*(?<!\\)\]\(", told)


def test_a_sarif_address_leads_to_the_file() -> None:
    """RFC 3986, 2.1: what is not allowed in a path is percent-encoded, in UTF-8."""
    log = json.loads(tell("sarif", hostile()))
    place = log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]
    address = "content/a%20b%2520c%2Cd%3Ae/%3Cf%3E%0A%1B.md"
    assert place["artifactLocation"] == {"uri": address, "uriBaseId": "%SRCROOT%"}


@pytest.mark.parametrize(
    ("root", "here", "path", "address"),
    [
        ("/site/content", "/site", "content/a.md", "content/a.md"),
        ("/site", "/site", "a.md", "a.md"),
        ("/site", "/", "site/a.md", "site/a.md"),
        ("/site", "/site/deep", "/site/a.md", "file:///site/a.md"),
        ("/sites", "/site", "/sites/a.md", "file:///sites/a.md"),
    ],
)
def test_paths_are_told_from_the_current_folder(
    root: str, here: str, path: str, address: str
) -> None:
    problem = Problem("a.md", 1, 1, 1, "link", "gone")
    found = Findings(1, 0, problems=(problem,), root=root, here=here)
    assert tell("github", found).startswith(f"::error file={path},line=1,col=1,title=link::gone\n")
    result = json.loads(tell("sarif", found))["runs"][0]["results"][0]
    uri = result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert uri == address


# what GitHub's own `@actions/core` 3.0.1 (lib/command.js, MIT) prints for these texts, given
# as the file and as the message of an error in line 1, column 1, with the title "link"
@pytest.mark.parametrize(
    ("text", "as_property", "as_data"),
    [
        ("plain", "plain", "plain"),
        ("50%", "50%25", "50%25"),
        ("%0A %25", "%250A %2525", "%250A %2525"),
        ("a:b", "a%3Ab", "a:b"),
        ("a,b", "a%2Cb", "a,b"),
        ("`R3`: no turn, 100%", "`R3`%3A no turn%2C 100%25", "`R3`: no turn, 100%25"),
        ("::error::x", "%3A%3Aerror%3A%3Ax", "::error::x"),
    ],
)
def test_annotations_are_escaped_as_githubs_own(text: str, as_property: str, as_data: str) -> None:
    problem = Problem(text, 1, 1, 1, "link", text)
    found = Findings(0, 0, problems=(problem,))
    line = tell("github", found).split("\n")[0]
    assert line == f"::error file={as_property},line=1,col=1,title=link::{as_data}"


def test_the_lines_of_an_annotation_are_one_line() -> None:
    # @actions/core prints "one\ntwo" as below
    problem = Problem("a.md", 1, 1, 1, "link", "one\ntwo")
    found = Findings(0, 0, problems=(problem,))
    assert tell("github", found).split("\n")[0].endswith("::one%0Atwo")


def test_warnings_that_count_are_failures_to_machines_too() -> None:
    found = hostile(warnings_fail=True)
    assert tell("github", hostile()).count("::warning file=") == 1
    assert tell("github", found).count("::warning file=") == 0
    assert etree.fromstring(tell("junit", hostile()).encode()).get("failures") == "1"
    assert etree.fromstring(tell("junit", found).encode()).get("failures") == "2"


def test_a_fix_put_in_gives_the_new_line() -> None:
    """SARIF 2.1.0, 3.57: the deleted region is replaced by the inserted content."""
    log = json.loads(GOLDEN["sarif"].read_text("utf-8"))
    fixes = [fix for result in log["runs"][0]["results"] for fix in result.get("fixes", [])]
    assert len(fixes) == 1
    (change,) = fixes[0]["artifactChanges"]
    (replacement,) = change["replacements"]
    region = replacement["deletedRegion"]
    lines = (HERE / change["artifactLocation"]["uri"]).read_text("utf-8").split("\n")
    line = lines[region["startLine"] - 1]
    new = replacement["insertedContent"]["text"]
    mended = line[: region["startColumn"] - 1] + new + line[region["endColumn"] - 1 :]
    assert mended == "moves: R U R' U'      // a prime forgotten"


def test_the_rules_are_told_with_their_meaning() -> None:
    log = json.loads(GOLDEN["sarif"].read_text("utf-8"))
    rules = {rule["id"]: rule for rule in log["runs"][0]["tool"]["driver"]["rules"]}
    levels = {rule: told["defaultConfiguration"]["level"] for rule, told in rules.items()}
    assert levels == {rule: severity for rule, (severity, _) in RULES.items()}


def test_a_format_is_loaded_only_when_it_is_asked_for() -> None:
    ask = (
        "import sys; from sitegen.commands.main import main; main(['check', 'folder']); "
        "print([name for name in sys.modules if name.startswith('sitegen.report')])"
    )
    done = subprocess.run(
        [sys.executable, "-c", ask], cwd=HERE, capture_output=True, text=True, check=True
    )
    loaded = set(re.findall(r"'([\w.]+)'", done.stdout.splitlines()[-1]))
    names = ("findings", "table", "person", "tame")
    assert loaded == {"sitegen.report", *(f"sitegen.report.{name}" for name in names)}


def test_warnings_that_count_fail_a_check_and_publish_nothing(tmp_path: Path) -> None:
    content, out = tmp_path / "content", tmp_path / "out"
    content.mkdir()
    (content / "bare.md").write_text("# Bare\n\n```moves\nmoves: R\n```\n", "utf-8")
    assert main(["check", str(content)]) == 0
    assert main(["check", str(content), "--warnings-fail"]) == 1
    build = ["build", str(content), "--out", str(out)]
    assert main([*build, "--warnings-fail"]) == 1
    assert not out.exists()
    assert main(build) == 0
    assert (out / "bare.html").exists()

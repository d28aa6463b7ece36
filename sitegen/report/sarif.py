"""Problems as OASIS SARIF 2.1.0, for code scanning; sections below are the standard's."""

from __future__ import annotations

import json
import os
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from sitegen import __version__
from sitegen.problem import RULES
from sitegen.report.person import without_source
from sitegen.report.tame import tame

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sitegen.problem import Problem, Repair
    from sitegen.report.findings import Findings

    Json = Mapping[str, object]

SCHEMA: Final = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
_ORDER: Final = {rule: index for index, rule in enumerate(RULES)}


def text(findings: Findings) -> str:
    """One log with one run, as indented JSON in ASCII."""
    driver = {
        "name": "sitegen",
        "version": __version__,
        "rules": [
            {
                "id": rule,
                "shortDescription": {"text": meaning},
                "defaultConfiguration": {"level": severity},
            }
            for rule, (severity, meaning) in RULES.items()
        ],
    }
    run: Json = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "results": [_result(findings, problem) for problem in findings.problems],
    }
    return json.dumps({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, indent=2)


def _result(findings: Findings, problem: Problem) -> Json:
    """A result (3.27): place, message, the block as its logical location, repairs as fixes."""
    where = {"physicalLocation": _place(findings, problem)}
    named = {"name": problem.block, "fullyQualifiedName": f"{tame(problem.file)}#{problem.block}"}
    fixes = [fix for repair in problem.repairs if (fix := _fix(findings, problem.file, repair))]
    return {
        "ruleId": problem.rule,
        "ruleIndex": _ORDER[problem.rule],
        "level": problem.severity,
        "message": {"text": _literal(without_source(findings, problem))},
        "locations": [where | ({"logicalLocations": [named]} if problem.block else {})],
        **({"fixes": fixes} if fixes else {}),
    }


def _place(findings: Findings, problem: Problem) -> Json:
    """A physical location (3.29); its region's end is the column after the last (3.30.8)."""
    width = len(findings.line_of(problem.file, problem.line))
    end = max(problem.column, min(problem.column + problem.length, width + 1))
    region = {"startLine": problem.line, "startColumn": problem.column, "endColumn": end}
    return {"artifactLocation": _artifact(findings, problem.file), "region": region}


def _artifact(findings: Findings, file: str) -> Json:
    """An artifact location (3.4): within the current folder if it can be, else a whole address."""
    path = PurePosixPath(findings.path(file))
    if path.is_absolute():
        return {"uri": path.as_uri()}
    return {"uri": quote(os.fsencode(path)), "uriBaseId": "%SRCROOT%"}


def _fix(findings: Findings, file: str, repair: Repair) -> Json | None:
    """A fix (3.55); none where a line of moves does not stand once in its line of the file."""
    replacements: list[Json] = []
    for change in repair.changes:
        line = findings.line_of(file, change.line)
        if not change.old or line.count(change.old) != 1:
            return None
        start = line.index(change.old) + 1
        region = {
            "startLine": change.line,
            "startColumn": start,
            "endColumn": start + len(change.old),
        }
        replacements.append({"deletedRegion": region, "insertedContent": {"text": change.new}})
    changed = {"artifactLocation": _artifact(findings, file), "replacements": replacements}
    return {"description": {"text": _literal(tame(repair.slip))}, "artifactChanges": [changed]}


def _literal(value: str) -> str:
    """A message in which nothing is a placeholder (3.11.5) or a link (3.11.6).

    Brackets are escaped only where some would make a link, as `[R, U](R U)` may: viewers that know
    no links show the backslashes.
    """
    value = value.replace("{", "{{").replace("}", "}}")
    return value.replace("[", "\\[").replace("]", "\\]") if "](" in value else value

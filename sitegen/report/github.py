"""Problems as GitHub workflow annotations, shown at the lines of a pull request.

Source: "Workflow commands for GitHub Actions", GitHub's documentation, "Setting an error message";
the escapes are those of GitHub's own `@actions/core` package (`lib/command.js`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.report.person import summary, without_source
from sitegen.report.tame import tame

if TYPE_CHECKING:
    from sitegen.problem import Problem
    from sitegen.report.findings import Findings


def text(findings: Findings) -> str:
    """One workflow command a line, then a line for the log that sums up."""
    return "\n".join([*(_command(findings, p) for p in findings.problems), summary(findings)])


def _command(findings: Findings, problem: Problem) -> str:
    """An annotation; its lines and columns are the file's, its path that from the current folder.

    A run whose warnings count shows them as errors, so that the reason it failed can be seen.
    """
    kind = "error" if findings.fails(problem) else "warning"
    properties = {
        "file": tame(findings.path(problem.file)),
        "line": str(problem.line),
        "col": str(problem.column),
        "title": problem.rule + (f" [{tame(problem.block)}]" if problem.block else ""),
    }
    given = ",".join(f"{name}={_property(value)}" for name, value in properties.items())
    return f"::{kind} {given}::{_data(without_source(findings, problem))}"


def _data(value: str) -> str:
    return value.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(value: str) -> str:
    return _data(value).replace(":", "%3A").replace(",", "%2C")

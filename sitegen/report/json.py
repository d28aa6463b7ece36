"""Problems as the program's own JSON; its shape is documented with the commands."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from sitegen.report.findings import Findings

FORMAT: Final = 1
"""Goes up when a reader of the object would have to change."""


def text(findings: Findings) -> str:
    """One JSON object."""
    return json.dumps(
        {
            "format": FORMAT,
            "pages": findings.pages,
            "blocks": findings.blocks,
            "problems": [
                {
                    "file": problem.file,
                    "line": problem.line,
                    "column": problem.column,
                    "severity": problem.severity,
                    "rule": problem.rule,
                    "block": problem.block,
                    "message": problem.message,
                    "waiting": problem.waiting,
                    "suggest": [repair.moves for repair in problem.repairs],
                }
                for problem in findings.problems
            ],
        },
        indent=2,
    )

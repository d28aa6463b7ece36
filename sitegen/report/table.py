"""REPORTS: the formats in which `build` and `check` tell what they found, one file a format."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from sitegen.report.findings import Findings


class Report(NamedTuple):
    """A format.

    Attributes:
        module: the module in this package whose `text` writes it: it takes `Findings` and returns
            the text without the last line's end. It is loaded only when the format is asked for.
        meaning: whom or what it is for, in a line for the help.
        names_all: whether what holds is named in it one by one, not counted: a build in which
            nothing changed does not know these names without reading the pages.
    """

    module: str
    meaning: str
    names_all: bool = False


REPORTS: Final = {
    "text": Report("person", "for a person to read"),
    "json": Report("json", "one JSON object, the program's own format"),
    "sarif": Report("sarif", "OASIS SARIF 2.1.0, for code scanning"),
    "junit": Report("junit", "JUnit XML, one test case a block, for test reports", names_all=True),
    "github": Report("github", "GitHub workflow annotations, at the lines of a pull request"),
}


def tell(name: str, findings: Findings) -> str:
    """The findings in one of the formats of `REPORTS`."""
    module = importlib.import_module(f"sitegen.report.{REPORTS[name].module}")
    return str(module.text(findings))

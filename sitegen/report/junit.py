"""Problems as JUnit XML: a suite a page, a test case a block, and one for the rest of the page.

The format has no standard. The elements and attributes are those that the schema of Jenkins' xUnit
plugin allows (`junit-10.xsd`), which pytest's reports are judged by too. A test case holds one
`failure` at most, as readers of the format expect; the others are told within its text.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from sitegen.in_xml import in_xml
from sitegen.report.person import Person
from sitegen.report.tame import tame

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.problem import Problem
    from sitegen.report.findings import BlockPlace, Findings


def text(findings: Findings) -> str:
    """The document, in ASCII: it is then the same in any encoding that it may be written in."""
    root = Element("testsuites", name="sitegen")
    files = {file: _File("the page", [], blocks) for file, blocks in findings.each()}
    for problem in findings.problems:
        files.setdefault(problem.file, _File("the file", [], [])).problems.append(problem)
    for file, held in files.items():
        suite = SubElement(root, "testsuite", name=in_xml(tame(file)))
        for name, problems, waits in _cases(held):
            suite.append(_case(findings, file, name, problems, waits=waits))
        _count(suite)
    _count(root)
    indent(root)
    document: bytes = tostring(root, encoding="us-ascii", xml_declaration=True)
    return document.decode("ascii")


class _File(NamedTuple):
    """What there is to tell of a file.

    Attributes:
        name: its own test case, for what is in no block.
        problems: what is wrong with it.
        blocks: its blocks.
    """

    name: str
    problems: list[Problem]
    blocks: Sequence[BlockPlace]


def _cases(file: _File) -> Iterator[tuple[str, list[Problem], bool]]:
    """The names of a file's cases, what is wrong in each, and whether it waits to be judged.

    A block's problems are in its lines.
    Names stay when lines are added above: a report compares them from run to run.
    """
    left = file.problems
    inside = []
    for block in file.blocks:
        name = block.id or f"block {block.number + 1}"
        inside.append((name, [*filter(block.holds, left)], block.waits))
        left = [problem for problem in left if not block.holds(problem)]
    yield file.name, left, False
    yield from inside


def _case(
    findings: Findings, file: str, name: str, problems: list[Problem], *, waits: bool
) -> Element:
    """A test case: failed by what makes the run fail, skipped while it waits for another block.

    Warnings that do not make the run fail are its output.
    """
    within = file.removesuffix(".md").replace("/", ".")  # readers take it for package and class
    case = Element("testcase", classname=in_xml(tame(within)), name=in_xml(tame(name)))
    failing = [problem for problem in problems if findings.fails(problem)]
    person = Person(findings.line_of, colour=False)
    if failing:
        more = f" (and {len(failing) - 1} more)" if len(failing) > 1 else ""
        message = tame(failing[0].message) + more
        failure = SubElement(case, "failure", type=failing[0].rule, message=in_xml(message))
        failure.text = in_xml("\n\n".join(person.problems(failing)))
    elif waits:
        SubElement(case, "skipped", message="not judged before what it waits for is mended")
    warnings = [problem for problem in problems if problem not in failing]
    if warnings:
        SubElement(case, "system-out").text = in_xml("\n\n".join(person.problems(warnings)))
    return case


def _count(element: Element) -> None:
    element.set("tests", str(len(element.findall(".//testcase"))))
    element.set("failures", str(len(element.findall(".//failure"))))
    if element.tag == "testsuite":  # the schema has no such count for the whole
        element.set("skipped", str(len(element.findall(".//skipped"))))
    element.set("errors", "0")  # it is the pages that fail, not the program

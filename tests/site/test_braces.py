"""Stylesheets of a site's own theme in which something is never closed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from sitegen.pages.formats.parts import theme_opener
from sitegen.pages.formats.theme import DEFAULT_THEME, error_of

if TYPE_CHECKING:
    from pathlib import Path


def told(own: Path, sheet: str) -> list[tuple[int, str]]:
    (own / "own.css").write_text(sheet, "utf-8")
    error = error_of(lambda: theme_opener(own)("en"))
    return [(one.line, one.message.split(",")[0]) for one in error.problems(own)] if error else []


@pytest.mark.parametrize(
    ("sheet", "line", "says"),
    [
        (":root {\n  --accent: #2d5a3d;\n\na { color: red }\n", 1, "this `{` is never closed"),
        ("@media print {\n  a { color: red }\n\np { margin: 0 }", 1, "this `{` is never closed"),
        ("a { color: red }\n}\np { margin: 0 }", 2, "this `}` closes nothing"),
        ("a { color: red }\n/* a remark\np { margin: 0 }", 2, "this comment is never closed"),
        ("a { color: red }\n/*/ p { margin: 0 }", 2, "this comment is never closed"),
        ('a::after { content: "}" }\np { content: "\\"}" ', 2, "this `{` is never closed"),
    ],
)
def test_what_is_never_closed_is_told(sheet: str, line: int, says: str, tmp_path: Path) -> None:
    assert told(tmp_path, sheet) == [(line, says)]


@pytest.mark.parametrize(
    ("count", "says"),
    [
        (2, ", nor are those in line 2; write each `}`"),
        (4, ", nor are those in lines 2, 3, 4; write each `}`"),
        (15, "7, 8, 9, 10, 11, 12, 13 and 2 more; write each `}`"),
    ],
)
def test_many_that_are_never_closed_are_told_once(count: int, says: str, tmp_path: Path) -> None:
    (tmp_path / "own.css").write_text("a { margin: 0\n" * count + "@media print { }", "utf-8")
    error = error_of(lambda: theme_opener(tmp_path)("en"))
    assert error
    (problem,) = error.problems(tmp_path)
    assert problem.line == 1
    assert problem.message.endswith(says)


@pytest.mark.parametrize(
    "sheet",
    [
        "",
        "/* } { */ a { color: red } /**/",
        "a::before { content: '{' } b::before { content: \"it's }\" }",
        "a { background: url(data:image/svg+xml,{x}) } @media print { b { margin: 0 } }",
        "a { background: URL( data:x,{ ) } b { background: url(data:x\\){) }",
        "a { width: my-url(/* ) { */ 1px) }",
        "\\{ { color: red } .a\\} { color: red }",
        "a { content: 'a \\\n}' }",
    ],
)
def test_what_is_closed_is_not_told(sheet: str, tmp_path: Path) -> None:
    assert told(tmp_path, sheet) == []


@pytest.mark.parametrize("sheet", sorted(DEFAULT_THEME.glob("*.css")), ids=lambda path: path.name)
def test_the_default_theme_is_closed(sheet: Path, tmp_path: Path) -> None:
    assert told(tmp_path, sheet.read_text("utf-8")) == []

"""Files of a site's own theme in which a merge left two versions."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from sitegen.pages.formats.parts import theme_opener
from sitegen.pages.formats.theme import error_of

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize(
    ("name", "first", "second"),
    [
        ("own.css", "a { color: green }", "a { color: blue }"),
        ("figures.js", "", "1;"),
        ("base.html", '{% extends "default/base.html" %}', "{% extends 'default/base.html' %}"),
        ("words.toml", '[page]\ncontents = "All"', '[page]\ncontents = "Lessons"'),
    ],
)
def test_two_versions_are_told_once(name: str, first: str, second: str, tmp_path: Path) -> None:
    text = f"<<<<<<< HEAD\n{first}\n=======\n{second}\n>>>>>>> other\n"
    (tmp_path / name).write_bytes(text.replace("\n", "\r\n").encode())
    error = error_of(lambda: theme_opener(tmp_path)("en"))
    assert error
    (problem,) = error.problems(tmp_path)
    assert (problem.file, problem.line) == (name, 1)
    assert f"down to line {len(text.splitlines())}: " in problem.message
    first_only = text.partition("=======")[0].partition("\n")[2]
    (tmp_path / name).write_text(first_only, "utf-8")
    assert error_of(lambda: theme_opener(tmp_path)("en")) is None

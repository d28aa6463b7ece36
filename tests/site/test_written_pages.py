"""What is published of pages whose Markdown has odd corners: a folder a case.

`written/NAME/` is a content folder that holds. `says.txt` in it has a line for each statement: a
published file, `has` or `lacks`, and a text. No link of any of these sites leads nowhere.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from case_copies import copy_case
from dead_links import dead_links
from sitegen.commands.main import main

CASES = sorted((Path(__file__).parent / "written").iterdir())
STATEMENT = re.compile(r"(\S+) (has|lacks) (.+)")


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_what_is_published(case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    content, out = tmp_path / "content", tmp_path / "out"
    copy_case(case, content, "says.txt")
    assert main(["build", str(content), "--out", str(out)]) == 0
    assert capsys.readouterr().out.endswith(": everything holds\n")
    said = (case / "says.txt").read_text("utf-8").splitlines()
    assert said
    for line in said:
        statement = STATEMENT.fullmatch(line)
        assert statement, line
        file, how, text = statement.groups()
        assert (text in (out / file).read_text("utf-8")) == (how == "has"), line
    assert list(dead_links(out)) == []

"""What may be linked to on the pages that the program writes, held against the pages."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from reference.tables import CONTENT
from sitegen.commands.main import main
from sitegen.make import make
from sitegen.pages.around import anchors, is_taken

if TYPE_CHECKING:
    from pathlib import Path

ID = re.compile(r'<(?:h2|section)[^>]* id="([^"]+)"')
"""What can be linked to has a heading of its own; other ids are the theme's."""

SETTINGS = """
url = "https://lantern.example/"

[sequences]
{sequences}

[[courses]]
title = "First"
pages = ["first.md", "sub/second.md"]
"""
BLOCK = "```moves\ntitle: T\ncube: {}\nmoves: {}\ncheck: turns 1\n```\n\n"
MANY = 401
"""One more than a sheet of a list holds."""


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A site of cubes from 2x2 to 9x9, and of lists that take two sheets."""
    folder = tmp_path / "content"
    (folder / "sub").mkdir(parents=True)
    named = "\n".join(f'turn-{number} = "R"' for number in range(MANY))
    (folder / "site.toml").write_text(SETTINGS.format(sequences=named))
    blocks = "".join(BLOCK.format(n, "R") for n in (9, 2, 4, 3, 6, 7, 5))
    (folder / "first.md").write_text(f"---\ndate: 2026-01-05\n---\n\n# First\n\n{blocks}")
    own = "---\nsequences:\n  own: U\n---\n\n"
    (folder / "sub" / "second.md").write_text(f"{own}# Second\n\n{BLOCK.format(8, 'R')}")
    (folder / "loose.md").write_text("# Loose\n\n" + BLOCK.format(2, "U") * MANY)
    (folder / "bare.md").write_text("# Bare\n\n" + BLOCK.format(3, "U").replace("title: T\n", ""))
    (folder / "glossary.md").write_text("# Words\n\nCorner\n: A piece.\n")
    return folder


def test_all_that_stands_there_can_be_linked_to_and_nothing_else(
    content: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    assert main(["build", str(content), "--out", str(out)]) == 0
    made = make(content, lambda _done, _all: None)
    found = anchors(made.settings, list(made.listed.values()), made.folder.others)
    lessons = {page.address for page in made.listed.values()}
    ours = {path.relative_to(out).as_posix() for path in out.rglob("[!.]*.*")} - lessons
    assert not [address for address in ours if not is_taken(address)]
    not_read = {address for address in ours if address.startswith("theme/")}
    assert found.keys() == ours - not_read - {"404.html", "search-index.js"}
    for address, there in found.items():
        ids = ID.findall((out / address).read_text("utf-8"))
        assert there is None or set(ids) == there, address
    told = (CONTENT / "writing" / "settings.md").read_text("utf-8")
    first = {address for address in found if "/" not in address} - lessons - {"sequences-2.html"}
    assert not [address for address in first if f"text: {address}`" not in told]
    assert {"figures/course-2-2.html", "cards/course-2-2.html", "sequences-2.html"} <= found.keys()


def test_a_search_can_be_linked_to(
    content: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (content / "links.md").write_text("# Links\n\n[All](search.html#R%20U), [news](feed.xml).\n")
    assert main(["build", str(content), "--out", str(tmp_path / "out")]) == 0
    assert main(["check", str(content)]) == 0
    (content / "links.md").write_text("# Links\n\n[A term](glossary.html#corner).\n")
    capsys.readouterr()
    assert main(["check", str(content)]) == 1
    assert "not by its address: `glossary.md`" in capsys.readouterr().out


def test_a_page_in_the_place_of_a_further_sheet_has_its_own_anchors(
    content: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (content / "links.md").write_text(f"# Links\n\n[Named](sequences-2.html#turn-{MANY - 1})\n")
    assert main(["check", str(content)]) == 0
    (content / "sequences-2.md").write_text("# Mine\n")
    capsys.readouterr()
    assert main(["check", str(content)]) == 1
    assert f"sequences-2.html#turn-{MANY - 1}" in capsys.readouterr().out

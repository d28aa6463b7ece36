"""What a figure says that nobody typed: a folder of pages a case, what `page.md` says beside it.

The expected texts were worked out by hand. Which way `x`, `y` and `z` turn the cube is WCA
Regulations 12a4; white up and green in front is 4d1, the rest of the colours common practice (no
source). What a layer turn does to edges and centres follows from where its stickers are. To accept
a new text: read it in the failure, and write it there.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from lxml import html

from sitegen.commands.main import main

if TYPE_CHECKING:
    from collections.abc import Iterator

HERE = Path(__file__).parent
IF_ASKED = ("  checked:", "  key:", "  marked:", "  picture:")
"""What is compared only where `page.txt` speaks of it at all."""

CASES = sorted(path for path in HERE.iterdir() if (path / "page.md").exists())


def text(element: html.HtmlElement) -> str:
    """What is seen of an element, in one line."""
    parts = [
        node
        for node in element.xpath(".//text()")
        if not node.getparent().xpath("ancestor-or-self::*[@class='spoken' or @class='label']")
    ]
    return " ".join("".join(parts).split())


def moves(element: html.HtmlElement) -> str:
    """Phrases, and how long they are together."""
    phrases = "; ".join(map(text, element.xpath(".//ol[@class='phrases']/li")))
    count = element.xpath(".//*[@class='count']")[0].text
    return f"{phrases} ({count})"


def said(page: html.HtmlElement) -> Iterator[str]:
    for figure in page.xpath("//figure"):
        yield figure.xpath(".//*[@class='number']")[0].text
        for element in figure.iter("p", "div", "details", "li", "svg"):
            if element.tag == "svg":
                title, words = element.findtext("title"), element.findtext("desc")
                yield f"  picture: {title}: {words}" if title else "  picture: of a step, no words"
                continue
            kind, within = element.get("class"), element.getparent().getparent().get("class")
            if kind == "hold":
                turned = element.getparent().get("class") == "moves"
                yield f"  {'turned' if turned else 'hold'}: {text(element)}"
            elif kind == "key":
                yield f"  key: {text(element)}"
            elif kind == "setup":
                yield f"  setup: {moves(element)}"
            elif kind == "whole":
                net = " from a net" if "net" in element.xpath("./summary")[0].text else ""
                yield f"  whole{net}: {moves(element)}"
            elif kind == "named":
                yield f"  named: {text(element)}"
            elif within in ("score", "checked", "marked") and element.tag == "li":
                yield f"  {within}: {text(element)}"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_figure_says_what_is_written_beside_its_page(case: Path, tmp_path: Path) -> None:
    content = shutil.copytree(case, tmp_path / "content")  # a build keeps things beside it
    assert main(["build", str(content), "--out", str(tmp_path / "out")]) == 0
    page = html.parse(tmp_path / "out" / "page.html").getroot()
    wanted = (case / "page.txt").read_text("utf-8")
    left_out = [kind for kind in IF_ASKED if kind not in wanted]
    found = [one for one in said(page) if not one.startswith(tuple(left_out))]
    assert "\n".join(found) + "\n" == wanted


def test_a_way_that_nobody_would_go_is_not_told(tmp_path: Path) -> None:
    blocks = ["```moves\nfrom: last\nmoves: R U\ncheck: turns 2\n```\n"] * 110
    blocks[0] = blocks[0].replace("from: last\n", "")
    content = tmp_path / "content"
    content.mkdir()
    (content / "page.md").write_text("\n".join(["# Long", *blocks]), "utf-8")
    assert main(["build", str(content), "--out", str(tmp_path / "out")]) == 0
    page = html.parse(tmp_path / "out" / "page.html").getroot()
    told = [bool(figure.xpath(".//*[@class='whole']")) for figure in page.xpath("//figure")]
    assert told[0] is False
    assert told[1:40] == [True] * 39
    assert told[-20:] == [False] * 20

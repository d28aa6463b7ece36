"""What a page says whose language has a small table by hand: German, common practice, no source.

What the pictures show was worked out by hand: R carries the right column of the front up, that of
the top to the back, where it stands on the left (WCA Regulations 12a1), and R' carries them home; y
turns the cube as U does, so the right side comes to the front (12a4). A piece that is ringed is
named by the one of its stickers that comes first in a net.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Final

from lxml import html

from sitegen.commands.main import main

if TYPE_CHECKING:
    from collections.abc import Iterator

HERE: Final = Path(__file__).parent / "german"


def text(element: html.HtmlElement) -> str:
    return " ".join(element.text_content().split())


def said(page: html.HtmlElement) -> Iterator[str]:
    for element in page.xpath("//div[@class='text']")[0].iter():
        kind, over = element.get("class"), element.getparent().getparent().get("class")
        if element.tag == "svg":
            yield f"picture: {element.findtext('title')}: {element.findtext('desc')}"
        elif kind == "spoken":
            yield f"heard: {text(element)}"
        elif kind == "hold" or element.tag == "figcaption":
            yield f"{kind or 'figure'}: {text(element)}"
        elif element.tag == "li" and over in ("checked", "marked"):
            yield f"{over}: {text(element)}"
        elif element.getparent().get("class") == "impossible" and kind != "label":
            yield f"impossible: {text(element)}"


def test_a_page_in_german_reads_as_german_does(tmp_path: Path) -> None:
    shutil.copytree(HERE, tmp_path, dirs_exist_ok=True)
    assert main(["build", str(tmp_path / "content"), "--out", str(tmp_path / "out")]) == 0
    page = html.parse(tmp_path / "out" / "deutsch.html").getroot()
    assert "\n".join(said(page)) + "\n" == (HERE / "page.txt").read_text("utf-8")
    assert "ungerade, nachher gerade." in page.text_content()

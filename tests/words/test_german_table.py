"""What a page says whose language has a small table by hand: German, common practice, no source.

What the pictures show was worked out by hand: R carries the right column of the front up, that of
the top to the back, where it stands on the left (WCA Regulations 12a1), and R' carries them home; y
turns the cube as U does, so the right side comes to the front (12a4). A piece that is ringed is
named by the one of its stickers that comes first in a net. What the sequences do is common
practice, no source: the trade's for two twisted corners, a flipped edge of an even cube, three
centres.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from lxml import html

from words.wording import built_as_it_is

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


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built_as_it_is("german", tmp_path_factory.mktemp("german"))


def test_a_page_in_german_reads_as_german_does(out: Path) -> None:
    page = html.parse(out / "deutsch.html").getroot()
    assert "\n".join(said(page)) + "\n" == (HERE / "page.txt").read_text("utf-8")
    assert "ungerade, nachher gerade." in page.text_content()


def test_what_sequences_do_reads_as_german_does(out: Path) -> None:
    page = html.parse(out / "sequences.html").getroot()
    told = page.xpath("//section[@class='sequence']/h2 | //ul[@class='does']/li")
    assert "\n".join(map(text, told)) + "\n" == (HERE / "sequences.txt").read_text("utf-8")

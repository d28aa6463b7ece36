"""Rings and their labels."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from draw.draw_reading import scrambled, tree
from sitegen.cube.scheme import DEFAULT
from sitegen.draw.palette import stylesheet
from sitegen.draw.picture import Ring
from sitegen.draw.rings import width
from sitegen.draw.styles import STYLES
from sitegen.pages.formats.words import english

draw = STYLES["net"].draw

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET


def test_a_ring_goes_round_each_sticker_in_two_tones() -> None:
    root = tree(draw(scrambled(3, rings=(Ring((5, 28), "", 5),)), DEFAULT, english()))
    rings = [p for p in root.iter("path") if p.attrib["class"] in {"halo", "ring"}]
    assert [ring.attrib["class"] for ring in rings] == ["halo", "ring"]
    # by hand: F's first column has its middle at 0, so U's last one has it at 4, R's second at 9;
    # U begins 7 above F and R level with it, and U's middle row is 2 below U's first
    data = "M3-5h2v2h-2zM8 0h2v2h-2z"
    assert {ring.attrib["d"] for ring in rings} == {data}


def font_size(text: ET.Element, n: int) -> float:
    """In user units: the element's own, else what the picture hands down to it."""
    (handed_down,) = re.findall(rf"\.n{n}{{font-size:([\d.]+)px}}", stylesheet(DEFAULT))
    return float(text.get("font-size", handed_down))


@pytest.mark.parametrize(
    "label", ["a", "helper", "<&\">'", "漢字", "é\u0301", "W" * 60, "\x00\ud800"]
)
@pytest.mark.parametrize("n", [2, 3, 7, 33])
@pytest.mark.parametrize("style", STYLES)
def test_labels_stay_within_the_picture(style: str, n: int, label: str) -> None:
    for at in (0, n - 1, n * n, 2 * n * n - n, 5 * n * n - 1, 6 * n * n - 1):
        picture = scrambled(n, rings=(Ring((at, 2 * n * n), label, at),))
        root = tree(STYLES[style].draw(picture, DEFAULT, english()))
        left, top, wide, high = (float(v) for v in root.attrib["viewBox"].split())
        (text,) = root.iter("text")
        x, y = (float(text.attrib[name]) for name in ("x", "y"))
        em = font_size(text, n)
        half = float(text.get("textLength", width(label) * em)) / 2
        assert left - 0.02 <= x - half
        assert x + half <= left + wide + 0.02  # coordinates are rounded
        assert top <= y - 0.75 * em
        assert y + 0.25 * em <= top + high
        expected = "".join("\ufffd" if c in "\x00\ud800" else c for c in label)
        assert text.text == expected


def test_labels_keep_clear_of_one_another() -> None:
    """Two words at stickers side by side: one gives way."""
    rings = (Ring((2 * 49 + 24,), "first", 2 * 49 + 24), Ring((2 * 49 + 25,), "next", 2 * 49 + 25))
    root = tree(draw(scrambled(7, rings=rings), DEFAULT, english()))
    first, second = root.iter("text")
    apart = abs(float(first.attrib["y"]) - float(second.attrib["y"]))
    assert apart >= font_size(first, 7)


@pytest.mark.parametrize(("style", "all_letters"), [("net", 54), ("corner", 27)])
def test_a_sticker_has_a_label_or_its_letter(style: str, all_letters: int) -> None:
    """A label of one letter stands in its sticker, here F's second, in place of one letter."""
    picture = scrambled(3, letters=True, rings=(Ring((19,), "a", 19),))
    root = tree(STYLES[style].draw(picture, DEFAULT, english()))
    letters = [text.text or "" for text in root.findall(".//g[@class='letters']/text")]
    assert sum(map(len, letters)) == all_letters - 1
    (tag,) = root.findall("text")
    x, y = float(tag.attrib["x"]), float(tag.attrib["y"])
    assert x == 2  # the middle of F's second column
    assert 0 < y < 2  # F's first row


def test_no_letter_is_half_covered_by_a_label() -> None:
    """By hand: the word stands above F's middle, as wide as F; L R B keep their first rows."""
    picture = scrambled(3, letters=True, rings=(Ring((22,), "across", 22),))
    root = tree(draw(picture, DEFAULT, english()))
    lines = root.findall(".//g[@class='letters']/text")
    rows = {line.attrib["y"]: line.attrib["x"].split() for line in lines}
    assert rows["0"] == ["-7", "-5", "-3", "7", "9", "11", "14", "16", "18"]
    assert (
        rows["2"]
        == rows["4"]
        == ["-7", "-5", "-3", "0", "2", "4", "7", "9", "11", "14", "16", "18"]
    )

"""Nets: drawn, read back, measured."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest
from msgspec.structs import replace

from draw.draw_reading import chosen, covered, marked, scrambled, seen, tree
from sitegen.cube.scheme import DEFAULT, Scheme
from sitegen.draw.palette import stylesheet
from sitegen.draw.picture import Picture, Ring
from sitegen.draw.styles import STYLES
from sitegen.pages.formats.words import english

draw = STYLES["net"].draw

SOLVED_3 = bytes(face for face in range(6) for _ in range(9))


@pytest.mark.parametrize("n", [*range(2, 15), 17, 24, 33])
@pytest.mark.parametrize("seed", [1, 2])
def test_every_sticker_is_seen_in_its_colour(n: int, seed: int) -> None:
    picture = scrambled(n, seed)
    svg = tree(draw(picture, DEFAULT, english()))
    colours = {sticker: f"c{colour}" for sticker, colour in enumerate(picture.colours)}
    assert seen(svg, n) == colours


@pytest.mark.parametrize("n", [2, 3, 6, 7, 13, 33])
def test_what_changed_is_underlined_once_and_nothing_else(n: int) -> None:
    changed = chosen(n, 4 * n * n)
    svg = tree(draw(scrambled(n, changed=marked(n, changed)), DEFAULT, english()))
    assert sorted(covered(svg, n, "changed")) == sorted(changed)


@pytest.mark.parametrize("n", [2, 3, 7, 33])
def test_only_stickers_in_focus_have_a_colour(n: int) -> None:
    focus = chosen(n, n * n)
    picture = scrambled(n, focus=focus)
    svg = tree(draw(picture, DEFAULT, english()))
    kinds = seen(svg, n)
    assert {sticker for sticker, kind in kinds.items() if kind != "bare"} == focus
    assert all(kinds[sticker] == f"c{picture.colours[sticker]}" for sticker in focus)
    assert len(kinds) == 6 * n * n
    assert sorted(covered(svg, n, "lit")) == sorted(focus)  # the dark frame


@pytest.mark.parametrize("focus", [None, chosen(5, 100)])
def test_marks_on_dim_colours_and_frames_of_black_ones_are_light(
    focus: frozenset[int] | None,
) -> None:
    changed = chosen(5, 90, 3) & (focus or chosen(5, 150))
    picture = replace(scrambled(5, changed=marked(5, changed)), focus=focus)
    own = Scheme(values=("#111111", "#b01030", "#c0c0c0", "", "", ""))
    svg = tree(draw(picture, own, english()))
    black, red = (
        {sticker for sticker, kind in seen(svg, 5).items() if kind == f"c{colour}"}
        for colour in (0, 1)
    )
    assert sorted(covered(svg, 5, "lit on0")) == sorted(black)
    assert not covered(svg, 5, "lit on1")
    assert sorted(covered(svg, 5, "changed on0")) == sorted(changed & black)
    assert sorted(covered(svg, 5, "changed on1")) == sorted(changed & red)
    assert sorted(covered(svg, 5, "changed")) == sorted(changed - black - red)


def test_nothing_in_focus_leaves_only_outlines() -> None:
    svg = tree(draw(Picture(3, SOLVED_3, focus=frozenset()), DEFAULT, english()))
    assert set(seen(svg, 3).values()) == {"bare"}


@pytest.mark.parametrize(
    ("n", "plain", "full"), [(3, 600, 1000), (7, 1800, 2800), (33, 30_000, 45_000)]
)
def test_bytes(n: int, plain: int, full: int) -> None:
    """Our own targets, 1.8 and 2.8 KB for a scrambled 7x7, and 3x3 and 33x33 as first reached."""
    for seed in range(20 if n < 10 else 2):
        assert len(draw(scrambled(n, seed), DEFAULT, english()).encode()) <= plain
        changed = marked(n, chosen(n, 5 * n * n, seed))
        lesson = scrambled(n, seed, title="After the moves", changed=changed)
        assert len(draw(lesson, DEFAULT, english()).encode()) <= full


@pytest.mark.parametrize("style", STYLES)
def test_drawing_the_same_twice_gives_the_same(style: str) -> None:
    focus = chosen(5, 60)
    first, second = (
        STYLES[style].draw(scrambled(5, title="t", focus=c), DEFAULT, english(), standalone=True)
        for c in (focus, frozenset(sorted(focus, reverse=True)))
    )
    assert first == second


@pytest.mark.parametrize("style", STYLES)
def test_no_ids_so_that_pictures_can_share_a_page(style: str) -> None:
    picture = scrambled(4, title="t", letters=True, rings=(Ring((18, 3), "a", 18),))
    svg = tree(STYLES[style].draw(picture, DEFAULT, english(), standalone=True))
    assert not [element for element in svg.iter() if "id" in element.attrib]


def test_letters_stand_on_their_stickers() -> None:
    picture = scrambled(3, letters=True)
    svg = tree(draw(picture, DEFAULT, english()))
    words = {
        (int(x), int(text.attrib["y"])): letter
        for text in svg.iter("text")
        for x, letter in zip(text.attrib["x"].split(), text.text or "", strict=True)
    }
    assert len(words) == 54
    assert words[2, -7] == DEFAULT.letters[picture.colours[1]]  # second of U's first row
    assert words[-7, 2] == DEFAULT.letters[picture.colours[9 + 3]]  # first of L's second row
    assert words[18, 4] == DEFAULT.letters[picture.colours[36 + 8]]  # B's last


def test_letters_out_of_focus_are_left_out() -> None:
    picture = scrambled(3, letters=True, focus=frozenset({0}))
    texts = list(tree(draw(picture, DEFAULT, english())).iter("text"))
    assert [text.text for text in texts] == [DEFAULT.letters[picture.colours[0]]]


def test_a_title_comes_first_and_the_words_follow() -> None:
    picture = Picture(
        3,
        SOLVED_3,
        title="Before <all> & more\x00",
        changed=marked(3, frozenset({0, 1, 20})),
        rings=(Ring((5, 28), "a", 5), Ring((27,), "", 27)),
    )
    svg = tree(draw(picture, DEFAULT, english()))
    assert svg.attrib["role"] == "img"
    assert [element.tag for element in svg][:2] == ["title", "desc"]
    assert svg[0].text == "Before <all> & more\ufffd"
    assert svg[1].text == (
        "Up: WWW WWW WWW. Left: OOO OOO OOO. Front: GGG GGG GGG. Right: RRR RRR RRR. "
        "Back: BBB BBB BBB. Down: YYY YYY YYY. Changed: Up 2, Front 1. "
        "Ringed a: UR. Ringed: RUF."
    )


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        (range(54), "54 of 54"),
        (range(26, 54), "28 of 54"),
        (range(27, 54), "Right 9, Back 9, Down 9"),
        (range(4, 54, 9), "Up 1, Left 1, Front 1, Right 1, Back 1, Down 1"),
    ],
)
def test_where_most_stickers_changed_all_are_counted(changed: range, said: str) -> None:
    picture = Picture(3, SOLVED_3, title="t", changed=marked(3, frozenset(changed)))
    desc = tree(draw(picture, DEFAULT, english()))[1].text or ""
    assert desc.endswith(f" Changed: {said}.")


def test_nothing_is_said_where_nothing_changed() -> None:
    svg = draw(Picture(3, SOLVED_3, title="t", changed=bytes(54)), DEFAULT, english())
    assert "hanged" not in svg


def test_without_a_title_there_are_no_words_and_none_of_its_labels_is_read_out() -> None:
    svg = tree(draw(Picture(3, SOLVED_3), DEFAULT, english()))
    assert not list(svg.iter("title")) + list(svg.iter("desc"))
    assert "role" not in svg.attrib
    assert svg.attrib["aria-hidden"] == "true"


def test_words_of_a_picture_in_focus_have_hyphens() -> None:
    picture = Picture(2, bytes(24), title="t", focus=frozenset({0, 23}))
    desc = tree(draw(picture, DEFAULT, english()))[1].text or ""
    assert desc.startswith("Up: W- --. Left: -- --. ")
    assert desc.endswith("Down: -- -W.")


def test_a_picture_that_stands_alone_carries_style_and_paper() -> None:
    own = Scheme(values=("", "#123456", "", "", "", ""))
    alone = draw(scrambled(3), own, english(), standalone=True)
    assert 'xmlns="http://www.w3.org/2000/svg"' in alone
    svg = tree(alone)
    style, whole = next(svg.iter("style")).text or "", stylesheet(own)
    assert {*style.splitlines()} < {*whole.splitlines()}  # what other sizes need is left out
    assert "--cube-1:#123456" in whole
    assert stylesheet(DEFAULT).count("--cube-1:") == 2  # light and dark
    kinds = [path.attrib["class"] for path in svg.iter("path")]
    assert kinds[:2] == ["paper", "plate"]


def test_every_class_drawn_has_its_rule() -> None:
    picture = scrambled(
        3,
        title="t",
        letters=True,
        changed=marked(3, chosen(3, 9)),
        focus=chosen(3, 20),
        rings=(Ring((20,), "a", 20),),
    )
    used = {
        name
        for style in STYLES.values()
        for element in tree(style.draw(picture, DEFAULT, english(), standalone=True)).iter()
        for name in element.get("class", "").split()
    }
    assert {"lit", "bare", "changed", "ring", "halo", "tag", "letters", "paper"} <= used
    assert not {name for name in used if f".{name}" not in stylesheet(DEFAULT)}


def test_dashes_are_one_unit_long_in_every_size() -> None:
    """So that a stroke shows one sticker a cell: dash and gap add up to the unit of the size."""
    sizes = re.findall(r"\.c0,.*?stroke-dasharray:([\d.]+) ([\d.]+)", stylesheet(DEFAULT))
    assert [round(float(dash) + float(gap), 6) for dash, gap in sizes] == [2, 1, 1]


def test_svgwrite_is_loaded_by_drawing_alone() -> None:
    code = (
        "import sys, sitegen.draw.palette, sitegen.draw.styles as s, sitegen.draw.terminal\n"
        "from sitegen.cube.scheme import DEFAULT\n"
        "from sitegen.draw.picture import Picture\n"
        "sitegen.draw.palette.stylesheet(DEFAULT); assert 'svgwrite' not in sys.modules\n"
        "s.STYLES['net'].draw(Picture(2, bytes(24)), DEFAULT, str)\n"
        "assert 'svgwrite' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)

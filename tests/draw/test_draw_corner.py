"""Three faces over a corner: which, and that they meet as on the cube."""

from __future__ import annotations

import re

import pytest

from draw.draw_reading import scrambled, strokes, tree, unit
from sitegen.cube.scheme import DEFAULT
from sitegen.draw.picture import Ring
from sitegen.draw.styles import STYLES
from sitegen.pages.formats.words import english

draw = STYLES["corner"].draw


def _faces(svg: str) -> list[tuple[list[float], dict[tuple[int, int], str]]]:
    """For each part: its matrix, and the class seen at each row and column."""
    root = tree(svg)
    step = unit(root)
    found = []
    for part in root.iter("g"):
        match = re.fullmatch(r"matrix\((.*)\)", part.get("transform", ""))
        if not match:
            continue
        cells = {
            (int(y) // step + cell, int(x) // step): path.attrib["class"]
            for path in part.iter("path")
            if re.fullmatch(r"c\d", path.attrib["class"])
            for x, y, length in strokes(path.attrib["d"])
            for cell in range(int(length) // step)
        }
        found.append(([float(value) for value in match[1].split()], cells))
    return found


@pytest.mark.parametrize("n", [2, 3, 6, 7, 13, 33])
def test_up_front_and_right_are_drawn_in_their_colours(n: int) -> None:
    picture = scrambled(n)
    parts = _faces(draw(picture, DEFAULT, english()))
    for face, (_, cells) in zip((0, 2, 3), parts, strict=True):
        area = picture.colours[face * n * n : (face + 1) * n * n]
        assert cells == {divmod(place, n): f"c{colour}" for place, colour in enumerate(area)}


@pytest.mark.parametrize("n", [2, 3, 7])
def test_faces_meet_where_they_meet_on_the_cube(n: int) -> None:
    """U's last row runs along F's first, and U's right side along R's first row, read backwards."""
    svg = draw(scrambled(n), DEFAULT, english())
    step = unit(tree(svg))
    side, half = n * step, step / 2
    up, front, right = (matrix for matrix, _ in _faces(svg))

    def at(m: list[float], x: float, y: float) -> tuple[float, float]:
        return m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]

    pairs = [
        (at(up, -half, side), at(front, -half, 0)),
        (at(up, side - half, side), at(front, side - half, 0)),
        (at(up, side - half, side), at(right, -half, 0)),
        (at(up, side - half, 0), at(right, side - half, 0)),
        (at(front, side - half, side), at(right, -half, side)),
    ]
    for (x1, y1), (x2, y2) in pairs:
        assert abs(x1 - x2) <= 0.25 * step  # the seam between faces, and rounding
        assert abs(y1 - y2) <= 0.25 * step


@pytest.mark.parametrize("n", [2, 3, 7, 33])
def test_the_sheet_holds_all_three_faces_and_little_else(n: int) -> None:
    """A viewer cuts off at the viewBox (SVG 2, 8.6)."""
    svg = draw(scrambled(n), DEFAULT, english())
    root = tree(svg)
    left, top, wide, high = map(float, root.attrib["viewBox"].split())
    ends = (-unit(root) / 2, (n - 0.5) * unit(root)), (0, n * unit(root))
    corners = [
        (m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5])
        for m, _ in _faces(svg)
        for x in ends[0]
        for y in ends[1]
    ]
    xs, ys = zip(*corners, strict=True)
    around = min(xs) - left, min(ys) - top, left + wide - max(xs), top + high - max(ys)
    assert all(0 < room <= unit(root) for room in around), around


def test_rings_out_of_sight_are_told_but_not_drawn() -> None:
    rings = (Ring((8, 20, 27), "here", 8), Ring((53,), "there", 53), Ring((9, 0), "edge", 9))
    root = tree(draw(scrambled(3, title="t", rings=rings), DEFAULT, english()))
    paths = {path.attrib["class"]: path.attrib["d"] for path in root.iter("path")}
    assert paths["ring"].count("z") == 4
    assert [text.text for text in root.iter("text")] == ["here", "edge"]
    assert "Ringed there: out of sight." in (root[1].text or "")
    assert "Left:" not in (root[1].text or "")

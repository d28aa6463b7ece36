"""A few pictures, looked at and approved, to the byte.

Where a picture changes on purpose: `python tests/draw/test_draw_golden.py` writes the new ones to
a folder for comparison, never over the approved ones; look at them, then move them by hand.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import pytest

from sitegen.cube.scheme import DEFAULT
from sitegen.draw.picture import Picture, Ring
from sitegen.draw.styles import STYLES
from sitegen.pages.formats.words import english

GOLDEN = Path(__file__).parent.parent / "golden"


def _net(rows: str) -> bytes:
    """Colours of a net typed as a cross of 3x3 faces."""
    lines = [line.split() for line in rows.splitlines()]
    faces = [lines[:3], *([[line[i]] for line in lines[3:6]] for i in range(4)), lines[6:]]
    letters = "".join(cell for face in faces for line in face for cell in line)
    return bytes(DEFAULT.letters.index(letter) for letter in letters)


R_TURN = _net("""\
WWG
WWG
WWG
OOO GGY RRR WBB
OOO GGY RRR WBB
OOO GGY RRR WBB
YYB
YYB
YYB""")
"""Solved, then `R`: typed by hand from the notation's meaning."""

R_STICKERS = {2, 5, 8, 20, 23, 26, 36, 39, 42, 47, 50, 53}

SOLVED_7 = bytes(face for face in range(6) for _ in range(49))

PICTURES = {
    "net-3": (
        "net",
        Picture(
            3,
            R_TURN,
            title="After R",
            changed=bytes(place in R_STICKERS for place in range(54)),
            letters=True,
        ),
    ),
    "net-7": (
        "net",
        Picture(
            7,
            SOLVED_7,
            title="One edge",
            rings=(Ring((44, 100), "a", 44), Ring((46, 102), "middle & more", 102)),
            focus=frozenset({*range(43, 48), *range(99, 104)}),
        ),
    ),
    "corner-3": (
        "corner",
        Picture(
            3,
            R_TURN,
            title="Seen",
            changed=bytes(place in R_STICKERS for place in range(54)),
            rings=(Ring((8, 20, 27), "c", 20),),
        ),
    ),
}


def _drawn(name: str) -> str:
    style, picture = PICTURES[name]
    return STYLES[style].draw(picture, DEFAULT, english(), standalone=True) + "\n"


@pytest.mark.parametrize("name", PICTURES)
def test_pictures_are_as_approved(name: str) -> None:
    assert _drawn(name) == (GOLDEN / f"{name}.svg").read_text("utf-8")


def test_no_approved_picture_is_left_over() -> None:
    assert {path.stem for path in GOLDEN.glob("*.svg")} == set(PICTURES)


def test_every_style_has_an_approved_picture() -> None:
    assert {style for style, _ in PICTURES.values()} == set(STYLES)


if __name__ == "__main__":
    folder = Path(tempfile.mkdtemp())
    for each in PICTURES:
        (folder / f"{each}.svg").write_text(_drawn(each), "utf-8")
    sys.stdout.write(f"{folder}\n")

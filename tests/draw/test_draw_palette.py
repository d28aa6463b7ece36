"""Colours told apart: distances computed anew, by code that shares nothing with the search.

CIEDE2000 after Sharma, Wu, Dalal, "The CIEDE2000 color-difference formula" (2005). The matrices
are those of Machado, Oliveira, Fernandes, "A physiologically-based model for simulation of color
vision deficiency" (2009), severity 1.0, on linear RGB. sRGB after IEC 61966-2-1, D65. Formula,
check pairs and matrices from memory.
"""

from __future__ import annotations

from itertools import combinations
from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

import pytest

from sitegen.cube.scheme import Scheme
from sitegen.draw.palette import BLACK, DARK, LIGHT, Palette, darker, stylesheet

Three = tuple[float, float, float]

VISIONS = {
    "as seen": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def _linear(value: str) -> Three:
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
        for c in (byte / 255 for byte in bytes.fromhex(value.removeprefix("#")))
    )
    return red, green, blue


def _seen(value: str, vision: str) -> Three:
    linear = _linear(value)
    red, green, blue = (
        min(1, max(0, sum(a * b for a, b in zip(row, linear, strict=True))))
        for row in VISIONS[vision]
    )
    return red, green, blue


def _lab(linear: Three) -> Three:
    red, green, blue = linear
    x = (0.4124564 * red + 0.3575761 * green + 0.1804375 * blue) / 0.95047
    y = 0.2126729 * red + 0.7151522 * green + 0.0721750 * blue
    z = (0.0193339 * red + 0.1191920 * green + 0.9503041 * blue) / 1.08883
    fx, fy, fz = (
        t ** (1 / 3) if t > (6 / 29) ** 3 else t / (3 * (6 / 29) ** 2) + 4 / 29 for t in (x, y, z)
    )
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def _seventh(chroma: float) -> float:
    return sqrt(chroma**7 / (chroma**7 + 25**7))


def ciede2000(one: Three, two: Three) -> float:
    grey = 1 + 0.5 * (1 - _seventh((hypot(*one[1:]) + hypot(*two[1:])) / 2))
    (c1, h1), (c2, h2) = (
        (hypot(a * grey, b), degrees(atan2(b, a * grey)) % 360) for _, a, b in (one, two)
    )
    turn = 0.0 if c1 * c2 == 0 else (h2 - h1 + 180) % 360 - 180
    if c1 * c2 and h2 - h1 == 180:
        turn = 180.0
    hue = h1 + h2 if c1 * c2 == 0 else (h1 + turn / 2) % 360
    light, chroma = (one[0] + two[0]) / 2, (c1 + c2) / 2
    t = (
        1
        - 0.17 * cos(radians(hue - 30))
        + 0.24 * cos(radians(2 * hue))
        + 0.32 * cos(radians(3 * hue + 6))
        - 0.20 * cos(radians(4 * hue - 63))
    )
    lightness = (two[0] - one[0]) / (1 + 0.015 * (light - 50) ** 2 / sqrt(20 + (light - 50) ** 2))
    saturation = (c2 - c1) / (1 + 0.045 * chroma)
    shade = 2 * sqrt(c1 * c2) * sin(radians(turn / 2)) / (1 + 0.015 * chroma * t)
    bend = -sin(radians(60 * exp(-(((hue - 275) / 25) ** 2)))) * 2 * _seventh(chroma)
    return sqrt(lightness**2 + saturation**2 + shade**2 + bend * saturation * shade)


@pytest.mark.parametrize(
    ("one", "two", "distance"),
    [  # Sharma, Wu, Dalal, supplementary test data, some of the 34 pairs; from memory
        ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
        ((50, 3.1571, -77.2803), (50, 0, -82.7485), 2.8615),
        ((50, -1.3802, -84.2814), (50, 0, -82.7485), 1.0000),
        ((50, 0, 0), (50, -1, 2), 2.3669),
        ((50, 2.49, -0.001), (50, -2.49, 0.0009), 7.1792),
        ((50, 2.49, -0.001), (50, -2.49, 0.0011), 7.2195),
        ((50, 2.5, 0), (50, 0, -2.5), 4.3065),
        ((50, 2.5, 0), (73, 25, -18), 27.1492),
        ((50, 2.5, 0), (61, -5, 29), 22.8977),
        ((50, 2.5, 0), (56, -27, -3), 31.9030),
        ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
        ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
        ((90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441),
        ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
    ],
)
def test_the_measure_agrees_with_its_authors(one: Three, two: Three, distance: float) -> None:
    assert ciede2000(one, two) == pytest.approx(distance, abs=1e-4)
    assert ciede2000(two, one) == pytest.approx(distance, abs=1e-4)


@pytest.mark.parametrize("vision", VISIONS)
@pytest.mark.parametrize("palette", [LIGHT, DARK])
def test_colours_are_told_apart(palette: Palette, vision: str) -> None:
    """Our own targets: 22 as seen, 12 under each simulated deficiency."""
    labs = [_lab(_seen(value, vision)) for value in palette.colours]
    nearest = min(ciede2000(one, two) for one, two in combinations(labs, 2))
    assert nearest >= (22 if vision == "as seen" else 12)


def _contrast(one: str, two: str) -> float:
    """WCAG 2.2, contrast ratio."""
    low, high = sorted(
        0.2126 * red + 0.7152 * green + 0.0722 * blue
        for red, green, blue in map(_linear, (one, two))
    )
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("palette", [LIGHT, DARK])
def test_ink_is_read_on_every_colour(palette: Palette) -> None:
    """WCAG 2.2, 1.4.3: 4.5 for text; so lines and marks, which 1.4.11 asks 3 of, are seen too."""
    assert min(_contrast(palette.ink, value) for value in palette.colours) >= 4.5


@pytest.mark.parametrize(
    ("value", "is_dim"), [("#222222", True), ("#0046ad", True), ("#7c7c7c", False), ("", False)]
)
def test_letters_on_a_dark_colour_have_a_light_line(value: str, *, is_dim: bool) -> None:
    """The ink alone would be lost on it: a contrast of less than 4.5."""
    scheme = Scheme(values=("", "", "", "", "", value))
    assert is_dim == bool(value and _contrast(value, LIGHT.ink) < 4.5)
    assert (".letters{stroke-opacity:1}" in stylesheet(scheme)) == is_dim


@pytest.mark.parametrize("value", ["#000000", "#2f2f2f", "#323232", "#0c3c9c"])
def test_black_is_what_lines_of_ink_are_not_seen_on(value: str) -> None:
    """A contrast of less than 1.5: our own bound."""
    black = darker(Scheme(values=("", value, "", "", "", "")), BLACK)
    assert black == ((1,) if _contrast(value, LIGHT.ink) < 1.5 else ())


def test_a_sticker_is_told_from_the_paper() -> None:
    """By the dark line round it on light paper, by itself on dark; WCAG 2.2, 1.4.11: 3."""
    assert _contrast(LIGHT.ink, LIGHT.paper) >= 3
    assert min(_contrast(DARK.paper, value) for value in DARK.colours) >= 3


@pytest.mark.parametrize("palette", [LIGHT, DARK])
def test_outlines_out_of_focus_are_seen_and_quieter_than_lines(palette: Palette) -> None:
    assert 1.8 <= _contrast(palette.bare, palette.paper) < 3

"""Pictures read back by the rules of SVG, knowing nothing of how they were written."""

from __future__ import annotations

import random
import re
from typing import TypedDict, Unpack
from xml.etree import ElementTree as ET

from sitegen.draw.picture import Picture, Ring

FACES = ((0, -1), (-1, 0), (0, 0), (1, 0), (2, 0), (0, 1))
"""Where U L F R B D lie in the cross of authoring section 3: faces to the right of F, and below."""


class More(TypedDict, total=False):
    """What a picture can show beside its colours: fields of `Picture`."""

    title: str
    changed: bytes
    rings: tuple[Ring, ...]
    focus: frozenset[int]
    letters: bool


def scrambled(n: int, seed: int = 1, **more: Unpack[More]) -> Picture:
    colours = [face for face in range(6) for _ in range(n * n)]
    random.Random(seed).shuffle(colours)
    return Picture(n, bytes(colours), **more)


def chosen(n: int, count: int, seed: int = 1) -> frozenset[int]:
    return frozenset(random.Random(seed).sample(range(6 * n * n), count))


def marked(n: int, stickers: frozenset[int]) -> bytes:
    """Stickers as `Picture.changed` has them."""
    return bytes(int(place in stickers) for place in range(6 * n * n))


def tree(svg: str) -> ET.Element:
    """The parsed markup, without its namespace."""
    return ET.fromstring(svg.replace(' xmlns="http://www.w3.org/2000/svg"', ""))  # noqa: S314


def strokes(data: str) -> list[tuple[float, float, float]]:
    """x, y and length of each stroke downwards: `M`, `m` and `v` of SVG 2, 9.3."""
    found = []
    x = y = 0.0
    for command, numbers in re.findall(r"([MmvZz])([^A-Za-z]*)", data):
        values = [float(value) for value in re.findall(r"-?(?:\d+\.?\d*|\.\d+)", numbers)]
        match command:
            case "M":
                x, y = values
            case "m":
                x, y = x + values[0], y + values[1]
            case "v":
                found.append((x, y, values[0]))
                y += values[0]
            case _:
                raise AssertionError(command)
    return found


def unit(svg: ET.Element) -> int:
    return 2 if "few" in svg.attrib["class"].split() else 1


def place(n: int, step: int, x: float, y: float) -> int:
    """The sticker whose upper side has its middle at x, y of a net, or less than half a one off."""
    side = n * step + 1  # faces are one user unit apart
    column, row = int((x + step / 2) // side), int((y + step / 2) // side)
    face = FACES.index((column, row))
    across, down = round((x - column * side) / step), round((y - row * side) / step)
    assert 0 <= across < n
    assert 0 <= down < n
    return face * n * n + down * n + across


def covered(svg: ET.Element, n: int, kind: str) -> list[int]:
    """Every sticker that the strokes of a class pass over, as often as they do."""
    step = unit(svg)
    return [
        place(n, step, x, y + step * cell)
        for path in svg.iter("path")
        if path.get("class") == kind
        for x, y, length in strokes(path.attrib["d"])
        for cell in range(int(length / step))
    ]


def seen(svg: ET.Element, n: int) -> dict[int, str]:
    """Sticker to the class painted on it last."""
    kinds = [path.get("class", "") for path in svg.iter("path")]
    return {
        sticker: kind
        for kind in dict.fromkeys(kinds)
        if kind == "bare" or re.fullmatch(r"c\d", kind)
        for sticker in covered(svg, n, kind)
    }

"""The inks of the pictures, light and dark, and the stylesheet that lays them on."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from sitegen.cube.geometry import LARGEST, SMALLEST
from sitegen.draw.sizes import BETWEEN, font_size, size

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sitegen.cube.scheme import Scheme
    from sitegen.draw.sizes import Size


EVERY: Final = range(SMALLEST, LARGEST + 1)
"""The cubes there are, by their layers."""


COLOURED: Final = ("c0", "c1", "c2", "c3", "c4", "c5")
"""The classes of stickers, by their colours' numbers."""


class Palette(Struct, frozen=True):
    """The inks of one theme, each `#rrggbb`.

    Attributes:
        colours: six, in the order of `Scheme`.
        ink: lines between stickers, marks and letters on them.
        paper: the ground, and the light line round a ring.
        bare: the outlines of stickers out of focus.
    """

    colours: tuple[str, ...]
    ink: str
    paper: str
    bare: str

    def shown(self, scheme: Scheme) -> tuple[str, ...]:
        """The six colours of a scheme: its own, and this palette's where it has none."""
        return tuple(own or ours for own, ours in zip(scheme.values, self.colours, strict=True))


# Found by search: random starts within windows of CIELAB that say the colour's name (white L* over
# 90 in the dark and 96 in the light; yellow 82..90, hue 88..98; orange 60..76, 54..66; green
# 44..68, 142..160; red 40..57, 24..37; blue 38..62, 268..292), luminance 0.2 at least so that ink
# on them has a contrast of 4.5, then steps that raise the smallest distance between any two
# colours. Distance is CIEDE2000 (Sharma, Wu, Dalal 2005), seen as it is and through the severity
# 1.0 matrices of Machado, Oliveira and Fernandes (2009) on linear RGB. Smallest distances:
#          as seen   protanopia   deuteranopia   tritanopia
#   light   28.3      15.1         14.9           15.2
#   dark    26.6      14.8         14.0           14.1
LIGHT: Final = Palette(
    ("#f9f9f2", "#eb9137", "#5bb68b", "#d74b4c", "#4c77df", "#ffe301"),
    ink="#100e0c",
    paper="#fffdf8",
    bare="#b9b2a4",
)
DARK: Final = Palette(
    ("#ebe9e1", "#e98b39", "#59b78b", "#da4751", "#247de8", "#fdd400"),
    ink="#100e0c",
    paper="#24211e",
    bare="#69635a",
)

_RULES: Final = """\
.cube{max-width:100%;height:auto;forced-color-adjust:none;print-color-adjust:exact;\
-webkit-print-color-adjust:exact}
.cube path{fill:none}
.cube .paper{fill:var(--cube-paper)}
.cube .plate{stroke:var(--cube-ink)}
.cube .pale{stroke:var(--cube-bare)}
.cube .bare{stroke:var(--cube-paper);stroke-opacity:.55}
.cube .lit,.cube .changed,.cube .ring{stroke:var(--cube-ink)}
.cube .halo{stroke:#fff}
.cube .ring,.cube .halo{stroke-linejoin:round}
.cube text{font-family:system-ui,sans-serif;text-anchor:middle;fill:var(--cube-ink);\
stroke:#fff;stroke-linejoin:round;paint-order:stroke}
.cube .tag{font-weight:700;stroke-width:.3em}
.cube .letters{font-weight:600;stroke-opacity:.3}
"""
"""The light line round rings and words is white in any theme: with the ink in it, one of the two
is seen on any colour."""


DIM: Final = 0.2
"""The relative luminance (WCAG 2.2) below which ink on a colour has a contrast of less than 4.5."""

BLACK: Final = 0.03
"""That below which the contrast is less than 1.5, so that lines of ink are not seen at all."""

_ON_DIM: Final = ".cube .letters{stroke-opacity:1}\n"
"""With such a colour the light line round letters is whole: the ink alone could not be read."""


def _luminance(value: str) -> float:
    """The relative luminance of `#rrggbb`, as WCAG 2.2 has it."""
    parts = (int(value[at : at + 2], 16) / 255 for at in (1, 3, 5))
    linear = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@lru_cache(maxsize=64)
def darker(scheme: Scheme, luminance: float) -> tuple[int, ...]:
    """The colours of a scheme's own that are darker than a luminance."""
    values = enumerate(scheme.values)
    return tuple(colour for colour, value in values if value and _luminance(value) < luminance)


def _strokes(size: Size) -> str:
    """The rules for pictures of one size."""
    own = "." + size.classes.replace(" ", ".")
    coloured = ",".join([f"{own} .{name}" for name in (*COLOURED, "bare")])

    def width(units: float) -> str:
        return f"{{stroke-width:{units:.3g}"

    unit, gap = size.unit, size.gap
    dash = f"{unit - gap:.3g} {gap:.3g};stroke-dashoffset:{unit - gap / 2:.3g}"
    # a line across the lower part of a sticker, half as wide as it is
    mark = f"{0.12 * unit:.3g} {0.88 * unit:.3g};stroke-dashoffset:{0.25 * unit:.3g}"
    # On faces that slant, which stand in groups, such lines would look like those between stickers.
    # A dot there: a dash with round ends and next to no length, as Chromium loses those of none. It
    # is in a corner, where neither a ring nor a letter covers it.
    dot = f"0.01 {unit - 0.01:.3g};stroke-dashoffset:{0.26 * unit:.3g}"
    aside = f"stroke-linecap:round;transform:translate({-0.24 * unit:.3g}px)"
    return f"""\
{coloured}{width(unit - gap)};stroke-dasharray:{dash}}}
{own} .lit{width(unit + gap)}}}
{own} .changed{width(0.5 * unit)};stroke-dasharray:{mark}}}
{own} g .changed{width(0.2 * unit)};stroke-dasharray:{dot};{aside}}}
{own} .ring{width(size.ring)}}}
{own} .halo{width(2.4 * size.ring)}}}
{own} .letters{width(0.1 * unit)};font-size:{unit / 2:.3g}px}}
"""


def _variables(palette: Palette, scheme: Scheme) -> str:
    inks = {"ink": palette.ink, "paper": palette.paper, "bare": palette.bare}
    named = [f"--cube-{index}:{value}" for index, value in enumerate(palette.shown(scheme))]
    named += [f"--cube-{name}:{value}" for name, value in inks.items()]
    return f":root{{{';'.join(named)}}}\n"


def _layers(n: int) -> str:
    """The rules for the labels, and the strokes under the faces, of a cube of n layers."""
    side = n * size(n).unit + size(n).gap
    between = BETWEEN - size(n).gap
    dash = f"{side:.4g} {between:.4g};stroke-dashoffset:{side + between / 2:.4g}"
    # labels inherit it, so that an attribute can say otherwise
    labels = f".n{n}{{font-size:{font_size(n):.3g}px}}\n"
    return f"{labels}.n{n} .plate{{stroke-width:{side:.4g};stroke-dasharray:{dash}}}\n"


@lru_cache(maxsize=64)
def stylesheet(scheme: Scheme, cubes: Sequence[int] = EVERY) -> str:
    """The rules for pictures of some cubes; a page may set its own `--cube-...` after them.

    The printed picture has the light inks, whatever the screen had.
    """
    dark = _variables(DARK, scheme).rstrip()
    rules = [
        _variables(LIGHT, scheme),
        f"@media screen and (prefers-color-scheme:dark){{{dark}}}\n",
        _RULES,
    ]
    if dim := darker(scheme, DIM):
        # but where a reader's own colour takes its place, which is set on the page's root
        light = ",".join([f":root:not([style*=--cube-{colour}]) .on{colour}" for colour in dim])
        rules += [_ON_DIM, f"{light}{{stroke:#fff}}\n"]
    rules += [f".cube .{name}{{stroke:var(--cube-{name[1:]})}}\n" for name in COLOURED]
    rules += [_strokes(one) for one in dict.fromkeys(map(size, cubes))]
    rules += map(_layers, cubes)
    return "".join(rules)

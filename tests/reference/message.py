"""The picture of a message: what the program says about a small broken page, written as an SVG."""

from __future__ import annotations

import re
import textwrap
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final
from xml.sax.saxutils import escape

from sitegen.make import make
from sitegen.report.person import Person

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sitegen.problem import Problem

BROKEN: Final = Path(__file__).parent / "broken"
"""A folder with one page, in which one slip was made on purpose."""

PAGE: Final = BROKEN / "four-turns.md"

COLUMNS: Final = 48
"""Where the message's long line is broken, so that the picture can be read on a telephone."""

SIZE: Final = 15
LINE: Final = 21
MARGIN: Final = 18
ADVANCE: Final = 0.62
"""A letter's width as a part of its height. From memory: monospaced faces take 0.60, a few 0.62."""

PAPER: Final = "#1f2328"
INK: Final = "#f0ece4"
PAINTS: Final = {"1": ("#ffffff", "bold"), "31": ("#ff9d8f", "bold"), "32": ("#93d68c", "bold")}
"""How the terminal's bold, red and green are drawn."""

_CODE: Final = re.compile(r"\033\[(\d+)m(.*?)\033\[0m")


@cache
def problem() -> Problem:
    """The one thing that is wrong with the page.

    Raises:
        ValueError: the page has another number of problems.
    """
    (only,) = make(BROKEN, lambda _done, _total: None).problems
    return only


def message(*, colour: bool) -> list[str]:
    """The message's lines, the long ones broken; with the terminal's codes where asked for."""
    lines = PAGE.read_text("utf-8").split("\n")
    person = Person(lambda _file, line: lines[line - 1], colour=colour)
    (told,) = person.problems([problem()])
    return [part for line in told.split("\n") for part in _broken(line)]


def _broken(line: str) -> list[str]:
    plain = _CODE.sub(r"\2", line)
    if len(plain) <= COLUMNS:
        return [line]
    parts = textwrap.wrap(plain, COLUMNS, subsequent_indent="  ", break_on_hyphens=False)
    for code, text in _CODE.findall(line):  # the place and the severity, in the first part
        parts[0] = parts[0].replace(text, f"\033[{code}m{text}\033[0m", 1)
    return parts


def _row(line: str) -> Iterator[str]:
    """A line as SVG text: painted parts in spans."""
    at = 0
    for found in _CODE.finditer(line):
        yield escape(line[at : found.start()])
        fill, weight = PAINTS[found[1]]
        yield f'<tspan fill="{fill}" font-weight="{weight}">{escape(found[2])}</tspan>'
        at = found.end()
    yield escape(line[at:])


def picture() -> str:
    """The message as an SVG on a background of its own, its text real text."""
    rows = message(colour=True)
    longest = max(len(line) for line in message(colour=False))
    width = round(2 * MARGIN + longest * SIZE * ADVANCE)
    height = 2 * MARGIN + len(rows) * LINE
    said = escape("\n".join(message(colour=False)))
    text = "".join(
        f'<text x="{MARGIN}" y="{MARGIN + number * LINE + SIZE}" xml:space="preserve">'
        f"{''.join(_row(row))}</text>\n"
        for number, row in enumerate(rows)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" role="img" aria-labelledby="t d">\n'
        '<title id="t">A message in a terminal</title>\n'
        f'<desc id="d">{said}</desc>\n'
        f'<rect width="{width}" height="{height}" rx="8" fill="{PAPER}"/>\n'
        f'<g font-family="ui-monospace, \'DejaVu Sans Mono\', monospace" font-size="{SIZE}" '
        f'fill="{INK}">\n{text}</g>\n</svg>\n'
    )


def alternative() -> str:
    """The message in a sentence or two, for who cannot see the picture."""
    wrong = problem()
    (repair,) = wrong.repairs
    (change,) = repair.changes
    old, new = (text.split("//")[0].strip() for text in (change.old, change.new))
    told = (
        f"In a terminal: {wrong.file}, line {wrong.line}, column {wrong.column}, "
        f"{wrong.severity}: {wrong.message} (rule {wrong.rule}). "
        "Below it both nets, the page's and the one the moves give, differing stickers marked. "
        f"Then the way out: this makes the block hold ({repair.slip}), "
        f"line {change.line}, from {old} to {new}."
    )
    return re.sub(r"([\\\[\]*_<>`|])", r"\\\1", told.replace("`", ""))

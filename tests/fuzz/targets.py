"""What is fuzzed: readers given any bytes at all. What they promise is asserted, not only survived.

A target takes bytes and raises nothing. Whatever a reader finds wrong it reports with a place that
lies in the text.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Final

from sitegen.block.model import Context
from sitegen.block.read import read_block
from sitegen.block.show import stickers_drawn
from sitegen.cube.scheme import DEFAULT, NO_COLOUR
from sitegen.cube.textnet import read_net
from sitegen.make import make
from sitegen.notation.read import read_moves
from sitegen.notation.setting import MoveSetting, Sequences
from sitegen.notation.spell import spell_phrases
from sitegen.notation.write import write_moves
from sitegen.pages.formats.parts import Parts
from sitegen.pages.glossary import Terms
from sitegen.problem import Source
from sitegen.report.findings import Findings
from sitegen.report.table import REPORTS, tell
from sitegen.set_page import set_page

if TYPE_CHECKING:
    from collections.abc import Callable

    from sitegen.notation.tree import MoveTree
    from sitegen.problem import Wrong

LONGEST: Final = 4096
"""Bytes of an input: the worst cases that grow with size are `tests/bounds`."""

MOST_SET: Final = 30_000
"""Stickers, as `stickers_drawn` measures them, that a page is set with."""

NAMED: Final = Sequences({"four": "R U R' U'", "twice": "{four}2", "round": "{round}"})

_PARTS: Final = Parts("en", None)


def _size_and_text(data: bytes) -> tuple[int, str]:
    """A cube's size from the first byte, the rest as text."""
    return 2 + (data[0] % 10 if data else 0), data[1:].decode("utf-8", "replace")


def _lie_inside(faults: list[Wrong], text: str) -> None:
    for wrong in faults:
        assert 0 <= wrong.start <= wrong.end <= len(text) + 1, (wrong, text)
        assert wrong.message


def _turned(moves: MoveTree, n: int) -> list[object] | None:
    faults: list[Wrong] = []
    setting = MoveSetting(n, "wide", NAMED, 2000)
    spelt = spell_phrases((phrase.nodes for phrase in moves.phrases), setting, faults)
    return None if faults else [[step.turn for step in steps] for steps in spelt]


def notation(data: bytes) -> None:
    """Moves read; what could be read is written down and read again as the same turns."""
    n, text = _size_and_text(data)
    faults: list[Wrong] = []
    moves = read_moves(text, faults)
    _lie_inside(faults, text)
    turned = _turned(moves, n)
    if faults or turned is None:
        return
    again: list[Wrong] = []
    written = write_moves(moves)
    reread = read_moves(written, again)
    assert not again, (written, again)
    assert _turned(reread, n) == turned, (text, written)


def net(data: bytes) -> None:
    """A net read; what fits it is what it shows."""
    n, text = _size_and_text(data)
    faults: list[Wrong] = []
    found = read_net(text, n, DEFAULT, faults)
    _lie_inside(faults, text)
    if found and not faults:
        cells = [cell for row in found.rows for cell in row.cells]
        assert len({cell.sticker for cell in cells}) == len(cells)
        assert all(0 <= cell.sticker < 6 * n * n for cell in cells)
        if len(cells) == 6 * n * n and all(cell.colour != NO_COLOUR for cell in cells):
            shown = found.position(n).colours
            assert all(shown[cell.sticker] == cell.colour for cell in cells)


def block(data: bytes) -> None:
    """A block read: every fault in its lines."""
    n, text = _size_and_text(data)
    context = Context(n, 12, 2000, DEFAULT, "", NAMED, "STM")
    head, body = Source.whole("p.md", "```moves x"), Source.whole("p.md", text)
    _, problems = read_block(0, "x", head, body, context)
    for problem in problems:
        assert problem.line >= 1
        assert problem.column >= 1
        assert problem.message


def page(data: bytes) -> None:
    """A whole page judged, told in every format, and set: as a copy for review if it does not hold.

    What would take long to draw is not set; how long that may take is in `tests/bounds`.
    """
    with tempfile.TemporaryDirectory() as content:
        (Path(content) / "page.md").write_bytes(data)
        made = make(Path(content), lambda _done, _total: None)
    for file in made.pages if sum(map(stickers_drawn, made.blocks.values())) < MOST_SET else ():
        sheet = set_page(
            made, file, _PARTS, Terms((), made.settings.lang), for_review=not made.holds
        )
        assert "\0" not in sheet.lesson.body
    findings = Findings(
        pages=len(made.folder.pages),
        blocks=0,
        each=lambda: ((file, ()) for file in made.folder.pages),
        problems=tuple(made.problems),
    )
    for form in REPORTS:
        assert tell(form, findings)


TARGETS: Final[dict[str, Callable[[bytes], None]]] = {
    "notation": notation,
    "net": net,
    "block": block,
    "page": page,
}

"""Nets that a block names and does not draw, for the engine to draw them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.block.fence import read_fence
from sitegen.cube.textnet import empty_faces

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.block.model import Block
    from sitegen.problem import Problem

NETS: Final = ("before", "after")
"""The keys whose nets are written."""


class Blank(NamedTuple):
    """Where a net is to be drawn.

    Attributes:
        line: the file's line.
        own: what stands there, which the net goes below.
        face: the letter of the one face to be drawn; "" for a cross.
        is_whole: whether nothing of the net it belongs to is drawn.
    """

    line: int
    own: str
    face: str
    is_whole: bool


def blanks(block: Block) -> dict[str, list[Blank]]:
    """The nets, or faces of nets, that are named and not drawn."""
    text = block.source.text
    found: dict[str, list[Blank]] = {}
    for entry in read_fence(block.source, []):
        if entry.key in NETS:
            value = text[entry.value_start : entry.value_end]
            rows = [row for row in value.split("\n") if row.strip()]
            faces = [(entry.value_start + at, face) for at, face in empty_faces(value).items()]
            for at, face in faces or ([] if rows else [(entry.start, "")]):
                line, _ = block.source.place(at)
                # a face may stand on its key's line, and an edit begins where the block's line does
                start = at if text.find("\n", entry.start, at) >= 0 else entry.start
                own = text[start:].partition("\n")[0].rstrip()
                blank = Blank(line, own, face, is_whole=len(rows) == len(faces))
                found.setdefault(entry.key, []).append(blank)
    return found


def is_but_blank(block: Block, wrong: Iterable[Problem]) -> bool:
    """Whether all errors of a block are nets of which nothing is drawn yet; warnings are none."""
    empty = {blank.line for found in blanks(block).values() for blank in found if blank.is_whole}
    return all(problem.line in empty or problem.severity == "warning" for problem in wrong)

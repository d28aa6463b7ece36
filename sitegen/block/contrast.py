"""What a block says and what its moves give, side by side, with the differing stickers ringed."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from sitegen.cube.measure import changed
from sitegen.cube.position import Position
from sitegen.draw.picture import Picture, Ring
from sitegen.said import Plain

if TYPE_CHECKING:
    from sitegen.block.replay import Replay


class Contrast(NamedTuple):
    """Two pictures of one moment: what was expected there, and what was found."""

    expected: Picture
    found: Picture


def contrast(done: Replay, rule: str, *, letters: bool) -> Contrast | None:
    """The two pictures of a mismatch; None where the problem is no mismatch.

    Args:
        done: the block, carried out.
        rule: the problem's rule. Each of its kind comes once in a block.
        letters: print the colours' letters on the stickers.
    """
    block, found = done.block, done.before if rule == "before-mismatch" else done.after
    drawn = {"before-mismatch": block.before, "after-mismatch": block.after}.get(rule)
    focus = None
    if drawn:
        cells = drawn.net.stated
        colours = bytearray(found.colours)
        for cell in cells:
            colours[cell.sticker] = cell.colour
        expected = Position.showing(block.n, bytes(colours))
        if len(cells) < 6 * block.n**2:  # the rest is bare in the author's picture
            focus = frozenset(cell.sticker for cell in cells)
    elif rule == "to-mismatch" and done.goal:
        expected = done.goal
    else:
        return None
    differ = tuple(sorted(changed(expected, found)))
    rings = (Ring(differ, "", differ[0]),)
    shown = Picture(block.n, found.colours, Plain("picture.found"), rings=rings, letters=letters)
    return Contrast(
        replace(shown, colours=expected.colours, title=Plain("picture.expected"), focus=focus),
        shown,
    )

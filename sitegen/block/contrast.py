"""What a block says and what its moves give, side by side, with the differing stickers ringed."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from sitegen.cube.measure import changed
from sitegen.cube.position import Position
from sitegen.draw.picture import Picture, Ring
from sitegen.told import Plain

if TYPE_CHECKING:
    from sitegen.block.replay import Replay


class Contrast(NamedTuple):
    """Two pictures of one moment: what was expected there, and what was found."""

    expected: Picture
    found: Picture


def contrast(done: Replay, rule: str, *, letters: bool) -> Contrast | None:
    """The two pictures of a mismatch; None for a problem that is none.

    Args:
        done: the block, carried out.
        rule: the problem's rule. Each of its kind comes once in a block.
        letters: print the colours' letters on the stickers.
    """
    block = done.block
    stated: frozenset[int] | None = None
    if rule == "to-mismatch" and done.goal:
        expected, found = done.goal, done.after
    else:
        moments = {
            "before-mismatch": (block.before, done.before),
            "after-mismatch": (block.after, done.after),
        }
        drawn, found = moments.get(rule, (None, done.after))
        if drawn is None:
            return None
        cells = drawn.net.stated
        colours = bytearray(found.colours)
        for cell in cells:
            colours[cell.sticker] = cell.colour
        stated = frozenset(cell.sticker for cell in cells)
        expected = Position.showing(block.n, bytes(colours))
    differ = tuple(sorted(changed(expected, found)))
    rings = (Ring(differ, "", differ[0]),)
    # what the net does not state is bare in the author's picture
    bare = stated if stated is not None and len(stated) < 6 * block.n**2 else None
    return Contrast(
        Picture(
            block.n,
            expected.colours,
            Plain("picture.expected"),
            rings=rings,
            focus=bare,
            letters=letters,
        ),
        Picture(block.n, found.colours, Plain("picture.found"), rings=rings, letters=letters),
    )

"""How a cube is held: which colour is up and which is in front."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.cube.geometry import AXIS
from sitegen.cube.measure import face_colours, finished_centres, held_ways
from sitegen.cube.position import Motion, Position, rotations, solved_each_way
from sitegen.cube.scheme import FACES

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.cube.turn import Turn


class Hold(NamedTuple):
    """Colour numbers (see `Scheme`) of the side that is up and of the side in front."""

    up: int
    front: int


FIRST: Final = Hold(0, 2)
"""How the solved cube is held: the scheme's first colour up, its third in front."""


def by_centres(position: Position) -> Hold | None:
    """How a cube is held, by its centres; None where they leave it open.

    On odd n the fixed centres tell. On even n the finished centres do, as in claims: where two that
    are not opposite one another are finished, and some way of holding the cube agrees with all.
    """
    if position.n % 2:
        return _by_fixed_centres(position)
    shown = finished_centres(position)
    done = [face for face, colour in enumerate(shown) if colour is not None]
    if len({AXIS[FACES[face]] for face in done}) < 2:
        return None
    for colours in held_ways():
        if all(colours[face] == shown[face] for face in done):
            return Hold(colours[0], colours[2])
    return None


def _by_fixed_centres(position: Position) -> Hold:
    """How a cube of odd n is held, by its fixed centres."""
    colours = face_colours(position)
    return Hold(colours[0], colours[2])


def by_rotations(start: Hold, turns: Iterable[Turn], n: int) -> Hold:
    """How a cube of n layers is held after these turns, by the rotations in them.

    Where no centres tell, its reader only knows how it has been turned in the hand.
    """
    own = Motion.of(3, [turn._replace(last=3) for turn in turns if turn.is_rotation(n)])
    first = next(way for way in solved_each_way(3) if _by_fixed_centres(way) == start)
    return _by_fixed_centres(first.after(own))


def held_after(whole: Motion, written: Motion) -> Motion:
    """How moves from solved leave a cube held, as a motion that turns it so.

    Turns of the other side can make a rotation good: `Rw x' Lw'` has a 4x4 stand as it stood. So
    where there are rotations in moves on even n, finished centres tell.

    Args:
        whole: what the moves do.
        written: the rotations among them, which tell where centres do not.
    """
    n = whole.n
    solved = Position.solved(n)
    hold = by_centres(solved.after(whole))
    if n % 2 or hold is None or solved.after(written) == solved:
        return written
    return next(way for way in rotations(n) if by_centres(solved.after(way)) == hold)

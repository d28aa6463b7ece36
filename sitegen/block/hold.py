"""How a cube is held: which colour is up and which is in front."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from sitegen.cube.position import Motion, Position

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.cube.turn import Turn


class Hold(NamedTuple):
    """Colour numbers (see `Scheme`) of the side that is up and of the side in front."""

    up: int
    front: int


FIRST = Hold(0, 2)
"""How the solved cube is held: the scheme's first colour up, its third in front."""


def by_centres(position: Position) -> Hold:
    """How a cube of odd n is held, by its fixed centres."""
    middle = position.n**2 // 2
    return Hold(position.face(0)[middle], position.face(2)[middle])


def by_rotations(turns: Iterable[Turn], n: int) -> Hold:
    """How a cube of n layers is held that was solved before these turns, by the rotations in them.

    A cube of even n has no fixed centres; its reader only knows how it has been turned in the hand.
    """
    # a cube of two layers shows in its corners how it is held, whatever the size of the real one
    rotations = [turn._replace(last=2) for turn in turns if turn.is_rotation(n)]
    held = Position.solved(2).after(Motion.of(2, rotations))
    return Hold(held.face(0)[0], held.face(2)[0])

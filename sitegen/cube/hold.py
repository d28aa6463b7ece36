"""How a cube is held: the 24 ways, and which of them a picture shows."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.cube.geometry import AXIS, BANK, geometry
from sitegen.cube.measure import face_colours, finished_centres
from sitegen.cube.position import Motion, Position
from sitegen.cube.scheme import FACES
from sitegen.cube.turn import Turn

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.cube.geometry import Banks


class Hold(NamedTuple):
    """Colour numbers (see `Scheme`) of the side that is up and of the side in front."""

    up: int
    front: int

    @classmethod
    @cache  # at most 24 of a size
    def of(cls, turned: Motion) -> Hold:
        """How the solved cube is held once it is turned so."""
        solved = Position.solved(turned.n).after(turned)
        return cls(solved.face(0)[0], solved.face(2)[0])


FIRST: Final = Hold(0, 2)
"""How the solved cube is held: the scheme's first colour up, its third in front."""


@cache
def rotations(n: int) -> tuple[Motion, ...]:
    """The 24 ways to hold a cube, as motions from the first; the first moves nothing."""
    tips = [(), (Turn("R", 1, n, 1),), (Turn("R", 1, n, 2),), (Turn("R", 1, n, 3),)]
    tips += [(Turn("F", 1, n, 1),), (Turn("F", 1, n, 3),)]
    return tuple(
        Motion.of(n, (*tip, *(Turn("U", 1, n, 1),) * spins)) for tip in tips for spins in range(4)
    )


@cache
def sides_each_way() -> tuple[tuple[int, ...], ...]:
    """The colours of the six sides in each of the 24 ways, in the order of `rotations`."""
    solved = Position.solved(3)  # a side shows one colour, whatever the cube
    return tuple(tuple(solved.after(turned).colours[::9]) for turned in rotations(3))


@cache
def _ways(n: int) -> tuple[tuple[frozenset[tuple[int, int]], Motion], ...]:
    """What each side shows, as pairs of side and colour, and the rotation that brings it there."""
    sides = map(frozenset, map(enumerate, sides_each_way()))
    return tuple(zip(sides, rotations(n), strict=True))


def way_to_hold(n: int, shown: Iterable[tuple[int, int]]) -> Motion | None:
    """A way to hold the solved cube that shows some colours on some sides.

    Args:
        n: layers each way.
        shown: a side, by its index in `FACES`, and a colour it shows; as many as are known.
    """
    wanted = {*shown}
    return next((turned for sides, turned in _ways(n) if wanted <= sides), None)


def by_centres(position: Position) -> Motion | None:
    """How a cube is held, by its centres; None where they leave it open.

    On odd n the fixed centres tell. On even n the finished centres do, where two that are not
    opposite one another are finished, and some way of holding the cube agrees with all of them.
    """
    known = face_colours(position) if position.n % 2 else finished_centres(position)
    shown = [(face, colour) for face, colour in enumerate(known) if colour is not None]
    axes = {AXIS[FACES[face]] for face, _ in shown}
    return way_to_hold(position.n, shown) if len(axes) > 1 else None


def turned_home(position: Position) -> Position:
    """The position held so that its centres are where the scheme has them.

    Where they do not tell how it is held, it is given back as it stands.
    """
    turned = by_centres(position)
    return position.after(turned.inverse()) if turned else position


def rotations_in(turns: Iterable[Turn], n: int) -> Motion:
    """What the rotations among some turns do, one after another."""
    return Motion.of(n, (turn for turn in turns if turn.is_rotation(n)))


def held_after(whole: Motion, written: Motion) -> Motion:
    """How moves from solved leave a cube held, as a motion that turns it so.

    Turns of the other side can make a rotation good: `Rw x' Lw'` has a 4x4 stand as it stood. So
    where there are rotations in moves on even n, finished centres tell.

    Args:
        whole: what the moves do.
        written: the rotations among them, which tell where centres do not.
    """
    solved = Position.solved(whole.n)
    if whole.n % 2 or solved.after(written) == solved:
        return written
    return by_centres(solved.after(whole)) or written


def as_if_held(n: int, banks: Banks) -> Banks:
    """Colours named anew, so that positions that differ only in how they are held are alike there.

    That is: two positions become equal where some rotation carries solved to solved recoloured as
    the one is the other. One corner then shows what it shows when solved, which two of its colours
    decide.

    Args:
        n: layers each way.
        banks: the colours of a position. Where that corner shows what no corner does, turns cannot
            reach it, and they are given back as they are.
    """
    slots, named = geometry(n).slots, _names()
    up, right = slots[n * n - 1], slots[3 * n * n]  # of the corner that U, F and R share
    shown = banks[up // BANK][up % BANK], banks[right // BANK][right % BANK]
    return tuple(bank.translate(named[shown]) for bank in banks) if shown in named else banks


@cache
def _names() -> dict[tuple[int, int], bytes]:
    """For the colours that U and R show in each of the 24 ways, the new name of each colour."""
    return {
        (sides[0], sides[3]): bytes.maketrans(bytes(sides), bytes(range(6)))
        for sides in sides_each_way()
    }

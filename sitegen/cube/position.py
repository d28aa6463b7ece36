"""A cube as it stands, and a motion from one position to another: turned, undone, compared."""

from __future__ import annotations

from functools import cache, cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from sitegen.cube.geometry import BANK, Banks, compose, follow, geometry
from sitegen.cube.turn import Turn

if TYPE_CHECKING:
    from collections.abc import Iterable


class Motion(Struct, frozen=True, dict=True):
    """Where turns carry every sticker of a cube, marked stickers told apart.

    Attributes:
        n: layers each way.
        banks: gathering tables: after the motion a place shows what the table's place showed.
    """

    n: int
    banks: Banks

    @classmethod
    def of(cls, n: int, turns: Iterable[Turn]) -> Motion:
        """Turns one after another, the first first."""
        cube = geometry(n)
        return cls(n, follow(cube.identity, map(cube.turn, turns)))

    def then(self, other: Motion) -> Motion:
        """This motion, then the other."""
        return Motion(self.n, compose(self.banks, other.banks))

    def inverse(self) -> Motion:
        """The motion that undoes this one."""
        # a table of `translate` from what is brought to a place, to the place, is what undoes it
        places = geometry(self.n).identity
        return Motion(self.n, tuple(map(bytes.maketrans, self.banks, places)))

    @cached_property
    def sources(self) -> tuple[int, ...]:
        """For each place, the sticker that the motion brings there."""
        cube = geometry(self.n)
        return tuple(
            cube.banks[slot // BANK][self.banks[slot // BANK][slot % BANK]] for slot in cube.slots
        )

    @cached_property
    def goals(self) -> tuple[int, ...]:
        """For each sticker, the place the motion carries it to."""
        goals = [0] * len(self.sources)
        for place, source in enumerate(self.sources):
            goals[source] = place
        return tuple(goals)

    def goal(self, sticker: int) -> int:
        """One of `goals`, found without the others."""
        cube = geometry(self.n)
        number, at = divmod(cube.slots[sticker], BANK)
        return cube.banks[number][self.banks[number].index(at)]

    def cycles(self) -> tuple[tuple[int, ...], ...]:
        """The cycles of stickers that move, each as (a, b, ...): a is carried to b, and so on.

        Each begins with its lowest sticker; they stand in the order of those.
        """
        goals, seen, cycles = self.goals, set[int](), []
        for start, goal in enumerate(goals):
            if goal == start or start in seen:
                continue
            cycle = [start]
            while goal != start:
                cycle.append(goal)
                goal = goals[goal]  # noqa: PLW2901 - the walk round the cycle
            seen.update(cycle)
            cycles.append(tuple(cycle))
        return tuple(cycles)


class Position(Struct, frozen=True, dict=True):
    """What a cube shows: a colour number (see `Scheme`) for each sticker.

    Attributes:
        n: layers each way.
        banks: the colours in the banks of `geometry(n)`.
    """

    n: int
    banks: Banks

    @classmethod
    @cache
    def solved(cls, n: int) -> Position:
        """The solved cube, the scheme's first colour up, its third in front."""
        return cls.showing(n, bytes(face for face in range(6) for _ in range(n * n)))

    @classmethod
    def showing(cls, n: int, colours: bytes) -> Position:
        """The position that shows these colour numbers, 6*n*n in the order of stickers."""
        return cls(n, geometry(n).to_banks(colours))

    @cached_property
    def colours(self) -> bytes:
        """The colour numbers, 6*n*n in the order of stickers."""
        return geometry(self.n).from_banks(self.banks)

    def after(self, motion: Motion) -> Position:
        """The position that a motion leads to from here."""
        return Position(self.n, compose(self.banks, motion.banks))

    def face(self, number: int) -> bytes:
        """The colours of one face, by its index in `FACES`, row by row."""
        size = self.n * self.n
        return self.colours[number * size : (number + 1) * size]


@cache
def rotations(n: int) -> tuple[Motion, ...]:
    """The 24 ways to hold a cube, as motions from the first; the first moves nothing."""
    tips = [(), (Turn("R", 1, n, 1),), (Turn("R", 1, n, 2),), (Turn("R", 1, n, 3),)]
    tips += [(Turn("F", 1, n, 1),), (Turn("F", 1, n, 3),)]
    return tuple(
        Motion.of(n, (*tip, *(Turn("U", 1, n, 1),) * spins)) for tip in tips for spins in range(4)
    )


@cache
def solved_each_way(n: int) -> tuple[Position, ...]:
    """The solved cube held in each of the 24 ways."""
    return tuple(Position.solved(n).after(turned) for turned in rotations(n))


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
    first, second, named = _names(n)
    shown = banks[first // BANK][first % BANK], banks[second // BANK][second % BANK]
    return tuple(bank.translate(named[shown]) for bank in banks) if shown in named else banks


@cache
def _names(n: int) -> tuple[int, int, dict[tuple[int, int], bytes]]:
    """The slots of two stickers of one corner, and for what they show, each colour's new name."""
    cube = geometry(n)
    up, right = n * n - 1, 3 * n * n  # of the corner that U, F and R share
    named = {}
    for position in solved_each_way(n):
        table = bytearray(range(BANK))
        for face in range(6):
            table[position.face(face)[0]] = face
        named[position.colours[up], position.colours[right]] = bytes(table)
    return cube.slots[up], cube.slots[right], named

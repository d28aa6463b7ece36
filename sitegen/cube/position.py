"""A cube as it stands, and a motion from one position to another: turned, undone, compared."""

from __future__ import annotations

from functools import cache, cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from sitegen.cube.geometry import BANK, Banks, compose, follow, geometry

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.cube.turn import Turn


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

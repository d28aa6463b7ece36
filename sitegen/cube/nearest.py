"""The smallest change of stickers that makes an impossible picture possible, within two stickers.

Every way is found, and quickly on the largest cube, since few changes can help at all. To recolour
one sticker of an orbit that is whole spoils it. So each orbit that is spoilt needs a change of its
own, and more than two of them are beyond help. One that is whole needs both changes or none, and
both only where twists, flips or exchanges are wrong; these speak of corners, middles and fixed
centres alone (see `possible`), which stand in the outer and the middle layers. So what a change
does to them is asked of a 3x3, or of a 2x2 where n is even.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections import Counter
from itertools import chain, combinations, product
from typing import TYPE_CHECKING, Final

from sitegen.cube.address import write_sticker
from sitegen.cube.facing import possible_otherwise
from sitegen.cube.hold import sides_each_way
from sitegen.cube.measure import crossings, fixed_centres
from sitegen.cube.pieces import pieces
from sitegen.cube.position import Position
from sitegen.cube.possible import is_possible
from sitegen.wording import some_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from sitegen.cube.pieces import Piece
    from sitegen.cube.scheme import Scheme

Recolour = tuple[int, int]
"""A sticker, and the colour number it is to have."""

Recolouring = tuple[Recolour, ...]
"""One or two stickers recoloured, in the order of their numbers."""

OFFERED: Final = 2
"""How many ways a message names."""

NAMED: Final = 4
"""How many wrong pieces a message names where no way is known."""


def nearest(position: Position) -> tuple[Recolouring, ...]:
    """Every smallest change that makes an impossible position possible; none beyond two stickers.

    They stand in the order of their stickers. All change one sticker, or all two; and of these, all
    exchange two colours, or none does: as the picture has each colour too often or not.
    """
    core = _Core(position)
    found = {tuple(sorted(way)) for way in _candidates(position, core) if core.is_possible(way)}
    return tuple(sorted(found))


def advice(position: Position, scheme: Scheme) -> str:
    """What to do about an impossible position, for a message."""
    ways = nearest(position)
    if not ways and (drawn := possible_otherwise(position)):
        return drawn
    if not ways:
        strange = [p for orbit in _orbits(position) for p in orbit.strange()]
        places = some_of([write_sticker(p, position.n) for p in strange], NAMED)
        where = f" (the cube has no such pieces as at {places})" if strange else ""
        return f"no change of one or two stickers mends it{where}"
    gains = _gains(ways, position)
    most = max(gains)
    likely = [way for way, gain in zip(ways, gains, strict=True) if gain == most][:OFFERED]
    said = ", or ".join(_said(way, position, scheme) for way in likely)
    count = f" ({len(ways)} ways in all)" if len(ways) > len(likely) else ""
    return f"to mend it, {said}{count}"


def _gains(ways: Sequence[Recolouring], position: Position) -> list[int]:
    """For each way, how many more stickers then show what most of their face shows.

    Of twelve edges that could be turned round in a picture that is all but solved, it is the one
    that is not solved.
    """
    size, colours = position.n**2, position.colours
    most = [Counter(position.face(face)).most_common(1)[0][0] for face in range(6)]
    return [
        sum(
            (colour == most[sticker // size]) - (colours[sticker] == most[sticker // size])
            for sticker, colour in way
        )
        for way in ways
    ]


def _said(way: Recolouring, position: Position, scheme: Scheme) -> str:
    places = [f"`{write_sticker(sticker, position.n)}`" for sticker, _ in way]
    if _is_exchange(way, position):
        return f"exchange the colours of {places[0]} and {places[1]}"
    names = [scheme.names[colour] for _, colour in way]
    parts = [f"{place} {name}" for place, name in zip(places, names, strict=True)]
    return f"make {' and '.join(parts)}"


def _is_exchange(way: Recolouring, position: Position) -> bool:
    (one, its), (other, others) = way[0], way[-1]
    shown = position.colours
    return one != other and (shown[one], shown[other]) == (others, its)


def _candidates(position: Position, core: _Core) -> Iterable[Recolouring]:
    """The changes that leave no orbit spoilt; what they do to the core is not asked."""
    orbits = _orbits(position)
    spoilt = [orbit for orbit in orbits if orbit.spoilt]
    if not spoilt:
        return chain.from_iterable(orbit.doubles() for orbit in orbits if orbit.is_of_core)
    if len(spoilt) > 2:
        return ()
    if len(spoilt) == 2:
        return product(spoilt[0].singles(), spoilt[1].singles())
    singles = [way for one in spoilt[0].singles() if core.is_possible(way := (one,))]
    return singles or spoilt[0].doubles()


class _Core:
    """The corners, middles and fixed centres of a position, as a 3x3, or as a 2x2 on even n."""

    def __init__(self, position: Position) -> None:
        n = position.n
        lines = (0, n // 2, n - 1) if n % 2 else (0, n - 1)
        kept = [*chain.from_iterable(crossings(n, lines))]
        self._at = {sticker: i for i, sticker in enumerate(kept)}
        self._colours = bytes(position.colours[sticker] for sticker in kept)
        self._n = len(lines)
        self._known: dict[bytes, bool] = {}

    def is_possible(self, way: Recolouring) -> bool:
        """Whether turns reach it once some stickers are recoloured."""
        colours = bytearray(self._colours)
        for sticker, colour in way:
            if sticker in self._at:
                colours[self._at[sticker]] = colour
        shown = bytes(colours)
        if shown not in self._known:
            self._known[shown] = is_possible(Position.showing(self._n, shown))
        return self._known[shown]


class _Orbit(ABC):
    """Pieces that trade places, and how they can be made whole.

    Attributes:
        spoilt: whether a piece is missing, or there twice.
        is_of_core: whether they are corners, middles or fixed centres.
    """

    spoilt: bool
    is_of_core: bool

    @abstractmethod
    def singles(self) -> Iterable[Recolour]:
        """Each one sticker whose recolouring makes it whole."""

    @abstractmethod
    def doubles(self) -> Iterable[Recolouring]:
        """Each two whose recolouring leaves it whole, neither being enough alone."""

    def strange(self) -> Iterable[int]:
        """A sticker of each piece that the cube does not have: a centre may be of any colour."""
        return ()


def _orbits(position: Position) -> list[_Orbit]:
    n = position.n
    found: list[_Orbit] = [_Fixed(position)] if n % 2 else []
    for orbit, members in pieces(n).orbits.items():
        if orbit.kind != "centre":
            found.append(_Pieces(position, members))
        elif len(members) == 24:
            found.append(_Centres(position, members))
    return found


class _Fixed(_Orbit):
    """The fixed centres of odd n, which stand as in one of the 24 ways to hold the cube."""

    is_of_core = True

    def __init__(self, position: Position) -> None:
        shown = [(s, position.colours[s]) for s in fixed_centres(position.n)]
        self._ways = [
            tuple((s, new) for (s, old), new in zip(shown, colours, strict=True) if new != old)
            for colours in sides_each_way()
        ]
        self.spoilt = () not in self._ways

    def singles(self) -> Iterable[Recolour]:
        return (way[0] for way in self._ways if len(way) == 1)

    def doubles(self) -> Iterable[Recolouring]:
        return (way for way in self._ways if len(way) == 2)


class _Centres(_Orbit):
    """An orbit of 24 centre pieces: only the number of each colour counts, four each."""

    is_of_core = False

    def __init__(self, position: Position, members: tuple[Piece, ...]) -> None:
        self._shown = [(p.stickers[0], position.colours[p.stickers[0]]) for p in members]
        counts = Counter(colour for _, colour in self._shown)
        self._over = [c for c in range(6) for _ in range(4, counts[c])]
        self._under = [c for c in range(6) for _ in range(counts[c], 4)]
        self.spoilt = bool(self._over)

    def singles(self) -> Iterable[Recolour]:
        if len(self._over) == 1:
            for sticker, colour in self._shown:
                if colour == self._over[0]:
                    yield sticker, self._under[0]

    def doubles(self) -> Iterable[Recolouring]:
        if len(self._over) == 2:
            a, b = self._under
            for (one, its), (other, others) in combinations(self._shown, 2):
                if sorted((its, others)) == self._over:
                    yield (one, a), (other, b)
                    yield (one, b), (other, a)


class _Pieces(_Orbit):
    """Corners, or the pieces of one orbit of edges: each of them is there once.

    What colours a piece of the orbit can show, and in which order of its stickers, is taken from
    the solved cube: a corner goes round, a middle turns over, a wing does neither (see `Piece`).
    """

    def __init__(self, position: Position, members: tuple[Piece, ...]) -> None:
        self.is_of_core = members[0].kind != "wing"
        solved = Position.solved(position.n).colours
        self._homes: dict[tuple[int, ...], int] = {}
        for home, piece in enumerate(members):
            colours = tuple(solved[s] for s in piece.stickers)
            for turn in range(len(colours) if self.is_of_core else 1):
                self._homes[colours[turn:] + colours[:turn]] = home
        self._stickers = [piece.stickers for piece in members]
        self._shown = [tuple(position.colours[s] for s in each) for each in self._stickers]
        self._stand = [self._homes.get(shown, -1) for shown in self._shown]
        self._missing = {*range(len(members))} - {*self._stand}
        self.spoilt = bool(self._missing)

    def singles(self) -> Iterable[Recolour]:
        for piece, home, way in self._recolours(1):
            if self._is_whole({piece: home}):
                yield way[0]

    def doubles(self) -> Iterable[Recolouring]:
        if len(self._missing) > 2:
            return
        for piece, home, way in self._recolours(2):
            if self._is_whole({piece: home}):
                yield way
        every = [*self._recolours(1)]
        mending = [one for one in every if not self._missing or one[1] in self._missing]
        for (piece, home, way), (other, others, also) in product(mending, every):
            if piece != other and self._is_whole({piece: home, other: others}):
                yield way + also

    def strange(self) -> Iterable[int]:
        pairs = zip(self._stickers, self._stand, strict=True)
        return (stickers[0] for stickers, home in pairs if home < 0)

    def _recolours(self, number: int) -> Iterator[tuple[int, int, Recolouring]]:
        """Ways to make a piece another by so many stickers: its place, that one's home, the way."""
        for piece, shown in enumerate(self._shown):
            for colours, home in self._homes.items():
                triples = zip(self._stickers[piece], shown, colours, strict=True)
                way = tuple((s, new) for s, old, new in triples if old != new)
                if len(way) == number:
                    yield piece, home, way

    def _is_whole(self, changed: dict[int, int]) -> bool:
        """Whether each piece is there once when some places show another."""
        after = {changed.get(place, home) for place, home in enumerate(self._stand)}
        return len(after) == len(self._stand) and -1 not in after

"""Claims about where the moves carry pieces: goes to, cycles."""

from __future__ import annotations

import re
from functools import partial
from typing import TYPE_CHECKING, ClassVar, Final

from sitegen.block.claims.claim import (
    About,
    Claim,
    Ends,
    Reader,
    Verdict,
    addresses,
    bad_check,
    not_there,
)
from sitegen.cube.address import write_sticker
from sitegen.cube.geometry import BANK, geometry
from sitegen.cube.pieces import pieces, stickers_of
from sitegen.cube.position import Position
from sitegen.cube.scheme import NO_COLOUR
from sitegen.said import Plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sitegen.block.claims.claim import ClaimValue
    from sitegen.block.moment import Moment
    from sitegen.cube.pieces import Piece
    from sitegen.cube.places import Place

_CYCLE: Final = re.compile(r"\(([^()]*)\)")


class GoesTo(Claim, frozen=True):
    """`UF2R goes to FL2D`: the moves carry the sticker at the one place to the other, in space."""

    about: ClassVar[About] = "change"
    start: Place
    goal: Place

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.goes_to", {"start": (self.start,), "goal": (self.goal,)})

    def judge(self, moment: Moment) -> Verdict:
        start = self.start.sticker_at(moment.before)
        goal = self.goal.sticker_at(moment.now)
        if start < 0:
            return not_there(self.start, moment.before)
        if goal < 0:
            return not_there(self.goal, moment.now)
        there = moment.motion.goals[start]

        def found() -> str:
            if there == start:
                return "it stays where it is"
            return f"it goes to `{write_sticker(there, moment.n)}`"

        return Verdict(there == goal, found)


class Cycles(Claim, frozen=True):
    """`cycles (UF UR UB)(...)`: the moves carry these stickers so, and nothing else moves."""

    about: ClassVar[About] = "change"
    cycles: tuple[tuple[Place, ...], ...]

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.cycles", {"rings": self.cycles})

    def ends(self, moment: Moment, *, backwards: bool) -> Ends | None:
        """Every sticker that counts with a mark of its own, and where the marks must go."""
        del backwards  # what is carried where is the same from any position
        slots = geometry(moment.n).slots
        start = [NO_COLOUR] * len(slots)
        end = [*start]
        for sticker in stickers_of(self.unnamed(moment.n)):
            start[sticker] = end[sticker] = slots[sticker] % BANK
        for place, goal in self.ways():
            for sticker, there in _carried(moment.n, place, goal):
                start[sticker] = end[there] = slots[sticker] % BANK
        return Ends(
            Position.showing(moment.n, bytes(start)), Position.showing(moment.n, bytes(end))
        )

    def judge(self, moment: Moment) -> Verdict:
        for place, goal in self.ways():
            astray = self.astray(moment, place, goal)
            if astray is not None:
                return Verdict(holds=False, found=partial(_goes_astray, moment, astray, goal.text))
        others = self.others(moment)
        return Verdict(
            not others,
            lambda: f"other pieces move or turn in place: {addresses(others, moment.n)}",
        )

    def ways(self) -> Iterator[tuple[Place, Place]]:
        """Each place, and the next of its cycle."""
        for cycle in self.cycles:
            yield from zip(cycle, (*cycle[1:], cycle[0]), strict=True)

    @staticmethod
    def astray(moment: Moment, place: Place, goal: Place) -> int | None:
        """A sticker of a place that is not carried to the next of its cycle; None if all are."""
        goals, faces = moment.motion.goals, geometry(moment.n).faces
        if place.sticker >= 0:
            return place.sticker if goals[place.sticker] != goal.sticker else None
        # a whole edge: each side of each piece to the same side of the next edge
        side = dict(zip(place.faces, goal.faces, strict=True))
        wrong = (
            s
            for s in sorted(place.stickers)
            if goals[s] not in goal.stickers or faces[goals[s]] != side[faces[s]]
        )
        return next(wrong, None)

    def others(self, moment: Moment) -> list[int]:
        """A sticker of each piece that counts, is named nowhere and does not stay as it is."""
        goals = moment.motion.goals
        return [
            piece.stickers[0]
            for piece in self.unnamed(moment.n)
            if any(goals[s] != s for s in piece.stickers)
        ]

    def unnamed(self, n: int) -> list[Piece]:
        """The pieces that count and are named nowhere."""
        places = [place for cycle in self.cycles for place in cycle]
        named = {s for place in places for s in place.stickers}
        with_centres = any(place.kind == "centre" for place in places)
        return [
            piece
            for piece in pieces(n).all
            if (with_centres or piece.kind != "centre") and piece.stickers[0] not in named
        ]


def _carried(n: int, place: Place, goal: Place) -> Iterator[tuple[int, int]]:
    """The stickers named by a place, and where each goes that is carried to the next of its cycle.

    Of the two wings of one orbit that an edge has, turns bring each to one place of another edge.
    """
    if place.sticker >= 0:
        yield place.sticker, goal.sticker
        return
    cube_pieces, faces = pieces(n), geometry(n).faces

    def lane(edge: Place, sticker: int) -> tuple[object, int, int]:
        piece = cube_pieces.at(sticker)
        first = piece.stickers.index(sticker) if piece.kind == "wing" else 0
        return piece.orbit, first, edge.faces.index(faces[sticker])

    there = {lane(goal, sticker): sticker for sticker in goal.stickers}
    for sticker in place.stickers:
        yield sticker, there[lane(place, sticker)]


def _goes_astray(moment: Moment, sticker: int, goal: str) -> str:
    start, there = (write_sticker(s, moment.n) for s in (sticker, moment.motion.goals[sticker]))
    if there == start:
        return f"`{start}` stays where it is, and does not go to `{goal}`"
    return f"`{start}` goes to `{there}`, not to `{goal}`"


def read_goes_to(found: re.Match[str], reader: Reader) -> Claim:
    """`A goes to B`."""
    ends = []
    for part in ("start", "goal"):
        places = reader.stickers(found[part])
        if len(places) > 1:
            raise bad_check("`goes to` carries one sticker to one place")
        ends.append(places[0])
    start, goal = ends
    if _orbit(start, reader.n) != _orbit(goal, reader.n):
        raise bad_check(
            f"no turns carry `{start.text}` to `{goal.text}`: the two can never trade places"
        )
    return GoesTo(start, goal)


def _orbit(place: Place, n: int) -> object:
    """A value that is the same for places whose pieces can trade places."""
    if place.sticker < 0 and not place.colours:
        return "edge"
    return pieces(n).at(min(place.stickers) if place.sticker < 0 else place.sticker).orbit


def read_cycles(found: re.Match[str], reader: Reader) -> Claim:
    """`cycles (A B C)(D E)`."""
    written = _CYCLE.findall(found["cycles"])
    if not written or _CYCLE.sub("", found["cycles"]).strip():
        raise bad_check("cycles stand in round brackets: `cycles (UF UR UB)(UFR URB)`")
    cycles = tuple(_one_cycle(reader, one) for one in written)
    used: set[int] = set()
    for place in (place for cycle in cycles for place in cycle):
        meant = _meant(place, reader.n)
        if meant & used:
            raise bad_check(f"`{place.text}` stands twice in the cycles")
        used |= meant
    return Cycles(cycles)


def _meant(place: Place, n: int) -> set[int]:
    """The stickers that a place of a cycle means: of a whole edge those on its first side."""
    if place.sticker >= 0:
        return {place.sticker}
    return {s for s in place.stickers if geometry(n).faces[s] == place.faces[0]}


def _one_cycle(reader: Reader, text: str) -> tuple[Place, ...]:
    if not text.strip():
        raise bad_check("a cycle needs pieces: `cycles (UF UR UB)`")
    places = reader.places(text)
    for place in places:
        if place.colours or (place.sticker < 0 and place.kind != "edge"):
            raise bad_check(
                f"a cycle takes pieces and whole edges by their places, not `{place.text}`"
            )
        if _orbit(place, reader.n) != _orbit(places[0], reader.n):
            raise bad_check(f"`{place.text}` can never trade places with `{places[0].text}`")
    return places

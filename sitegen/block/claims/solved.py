"""Claims that something is solved."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from sitegen.block.claims.claim import (
    Claim,
    Ends,
    Reader,
    Verdict,
    addresses,
    not_there,
)
from sitegen.cube.hold import way_to_hold
from sitegen.cube.measure import face_colours, off_colour, uncoloured
from sitegen.cube.places import stickers_at
from sitegen.cube.position import Position
from sitegen.cube.scheme import FACES
from sitegen.said import Plain

if TYPE_CHECKING:
    import re

    from sitegen.block.claims.claim import ClaimValue
    from sitegen.block.moment import Moment
    from sitegen.cube.places import Place


def _stickers(moment: Moment, wrong: list[int]) -> str:
    count = "1 sticker does" if len(wrong) == 1 else f"{len(wrong)} stickers do"
    return f"{count} not show the face's colour: {addresses(wrong, moment.n)}"


class IsSolved(Claim, frozen=True):
    """`solved`: every face shows one colour, however the cube is held."""

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.solved")

    def ends(self, moment: Moment, *, backwards: bool) -> Ends | None:
        """The solved cube at the end; where that is known, the moves do not decide it."""
        if backwards:
            return None
        return Ends(moment.before, Position.solved(moment.n), however_held=True)

    def judge(self, moment: Moment) -> Verdict:
        mixed = [f for i, f in enumerate(FACES) if len(set(moment.now.face(i))) > 1]
        return Verdict(
            not mixed, lambda: f"these faces show more than one colour: {' '.join(mixed)}"
        )


class SolvedExcept(Claim, frozen=True):
    """`solved except UF UB`: every sticker outside those places shows its face's colour."""

    places: tuple[Place, ...]

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.solved_except", {"places": self.places})

    def ends(self, moment: Moment, *, backwards: bool) -> Ends | None:
        """All pieces home but those of the places, for a cube held as it is."""
        if backwards:
            return None
        held = way_to_hold(moment.n, enumerate(face_colours(moment.now)))
        solved = Position.solved(moment.n)
        home = solved.after(held) if held else solved
        spared = stickers_at(self.places, moment.now)
        return Ends(
            uncoloured(moment.before, home, spared), uncoloured(home, home, spared), surely=False
        )

    def judge(self, moment: Moment) -> Verdict:
        spared = stickers_at(self.places, moment.now)
        wrong = off_colour(moment.now, set(range(6 * moment.n**2)) - spared)
        return Verdict(not wrong, lambda: _stickers(moment, wrong))


class PartSolved(Claim, frozen=True):
    """`centres solved`: every sticker of the places shows its face's colour.

    The centres of even n, which no fixed piece gives a colour, are solved where some way of
    holding the solved cube shows what they show.
    """

    places: tuple[Place, ...]

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.places_solved", {"places": self.places})

    def judge(self, moment: Moment) -> Verdict:
        centres: list[Place] = []
        together, by_face = set[int](), set[int]()
        for place in self.places:
            stickers = place.at(moment.now)
            if not stickers:
                return not_there(place, moment.now)
            if place.kind == "centres" and moment.n % 2 == 0:
                centres.append(place)
                together |= stickers
            else:
                by_face |= stickers
        shown = {(sticker // moment.n**2, moment.now.colours[sticker]) for sticker in together}
        if way_to_hold(moment.n, shown) is None:
            return Verdict(holds=False, found=partial(_no_way_to_hold, centres, shown))
        wrong = off_colour(moment.now, by_face)
        return Verdict(not wrong, lambda: _stickers(moment, wrong))


def _no_way_to_hold(centres: list[Place], shown: set[tuple[int, int]]) -> str:
    """Why no solved cube shows such centres: a side of two colours, or sides that do not agree."""
    sides = [side for side, _ in shown]
    mixed = [face for side, face in enumerate(FACES) if sides.count(side) > 1]
    if mixed:
        return f"these centres show more than one colour: {' '.join(mixed)}"
    places = " and ".join(f"`{place.text}`" for place in centres)
    return f"no way of holding the solved cube shows what {places} show"


def read_solved(found: re.Match[str], reader: Reader) -> Claim:
    """`solved` and `solved except PLACES`."""
    if found["places"] is None:
        return IsSolved()
    return SolvedExcept(reader.places(found["places"]))


def read_part_solved(found: re.Match[str], reader: Reader) -> Claim:
    """`PLACES solved`."""
    return PartSolved(reader.places(found["places"]))

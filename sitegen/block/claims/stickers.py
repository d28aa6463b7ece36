"""Claims about stickers: alike, unlike, kept, only these changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

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
from sitegen.cube.geometry import geometry
from sitegen.cube.measure import changed, uncoloured
from sitegen.cube.pieces import pieces
from sitegen.cube.places import stickers_at
from sitegen.cube.position import Motion
from sitegen.said import Plain
from sitegen.wording import counted, some_of

if TYPE_CHECKING:
    import re
    from collections.abc import Callable, Collection, Iterable
    from collections.abc import Set as AbstractSet

    from sitegen.block.claims.claim import ClaimValue
    from sitegen.block.moment import Moment
    from sitegen.cube.places import Place
    from sitegen.cube.position import Position
    from sitegen.notation.spell import Step


class Alike(Claim, frozen=True):
    """`alike A B`: these stickers show the same colour; `unlike A B`: two different ones."""

    places: tuple[Place, ...]
    same: bool

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.alike" if self.same else "claims.unlike", {"places": self.places})

    def judge(self, moment: Moment) -> Verdict:
        stickers = [place.sticker_at(moment.now) for place in self.places]
        if -1 in stickers:
            return not_there(self.places[stickers.index(-1)], moment.now)
        colours = [moment.now.colours[s] for s in stickers]

        def found() -> str:
            names = moment.scheme.names
            pairs = zip(self.places, colours, strict=True)
            return ", ".join(f"`{place.text}` shows {names[colour]}" for place, colour in pairs)

        return Verdict((len(set(colours)) == 1) == self.same, found)


class Kept(Claim, frozen=True):
    """`kept PLACES`: those stickers show what they showed, rotations in the moves undone."""

    about: ClassVar[About] = "change"
    places: tuple[Place, ...]

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.kept", {"places": self.places})

    def judge(self, moment: Moment) -> Verdict:
        now = moment.turned_back
        asked = [place.at(now) for place in self.places]
        if frozenset() in asked:
            return not_there(self.places[asked.index(frozenset())], now)
        return _none_of(
            moment, lambda now: stickers_at(self.places, now) & changed(moment.before, now)
        )


class OnlyChanged(Claim, frozen=True):
    """`only PLACES changed`: no sticker outside them shows anything else than before."""

    about: ClassVar[About] = "change"
    places: tuple[Place, ...]

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.only_changed", {"places": self.places})

    def ends(self, moment: Moment, *, backwards: bool) -> Ends | None:
        """All pieces but those of the places where they were, but for the rotations as they are."""
        now = moment.turned_back
        spared = stickers_at(self.places, now)
        base = now if backwards else moment.before
        start = uncoloured(base, base, spared)
        turns = (step.turn for step in moment.rotations)
        return Ends(start, start.after(Motion.of(moment.n, turns)), surely=False)

    def judge(self, moment: Moment) -> Verdict:
        return _none_of(
            moment, lambda now: changed(moment.before, now) - stickers_at(self.places, now)
        )


def _none_of(moment: Moment, wrong_in: Callable[[Position], AbstractSet[int]]) -> Verdict:
    """The verdict on a claim that nothing changed but what may.

    Args:
        moment: the moment.
        wrong_in: the stickers that should not have changed and did, in a position.
    """
    wrong = wrong_in(moment.turned_back)
    return Verdict(
        not wrong, lambda: what_changed(moment, wrong) + _made_good(wrong_in(moment.now))
    )


def what_changed(moment: Moment, stickers: Iterable[int]) -> str:
    """Which pieces changed, and the turns that first moved what was there, in their order."""
    cube_pieces = pieces(moment.n)
    firsts = [
        cube_pieces.all[number].stickers[0]
        for number in sorted({cube_pieces.of[s] for s in stickers})
    ]
    turned, cells = moment.first_turned, geometry(moment.n).cells
    layers = (_moving(cells[sticker], moment.n) for sticker in firsts)
    movers = {min([turned[one] for one in three if one in turned], default=-1) for three in layers}
    steps = sorted((moment.steps[number] for number in movers - {-1}), key=lambda one: one.start)
    found = f"{counted(len(firsts), 'piece')} changed: {addresses(firsts, moment.n)}"
    # never none: rotations are undone, so what changed was turned
    return f"{found}; first moved by {_written(moment, steps)}{_undone(moment)}"


def _moving(cells: tuple[int, int, int], n: int) -> list[tuple[int, int]]:
    """The layers, by axis and cell, that move a piece: its own side only turns a fixed centre."""
    is_fixed = sum(2 * cell == n - 1 for cell in cells) > 1
    return [one for one in enumerate(cells) if not is_fixed or 2 * one[1] == n - 1]


def _undone(moment: Moment) -> str:
    """For a message: which rotations were undone before comparing; "" where there are none."""
    if moment.turned_back == moment.now:
        return ""
    return f"; looked at with {_written(moment, moment.rotations)} of the moves undone"


def _made_good(lost: Collection[int]) -> str:
    """For a message: what to do where the cube is held as before once all turns are done."""
    if lost:
        return ""
    return (
        "; as the cube stands in the end it holds, for the other turns make the rotation good: "
        "say it by `cycles` or by a net, which look at that"
    )


def _written(moment: Moment, steps: Iterable[Step]) -> str:
    """Turns as the author wrote them, each once, the first of many."""
    words = (moment.text[step.start : step.end] for step in steps)
    return some_of(dict.fromkeys(words), 4, between=" ")


def read_alike(found: re.Match[str], reader: Reader) -> Claim:
    """`alike A B ...`, `unlike A B`."""
    same = found["how"] == "alike"
    places = reader.stickers(found["places"])
    stickers = [place.sticker for place in places if not place.colours]
    if len(places) < 2 or len(set(stickers)) < len(stickers):
        number = "two or more different" if same else "two different"
        raise bad_check(f"`{found['how']}` compares {number} stickers")
    if not same and len(places) > 2:
        raise bad_check("`unlike` compares two stickers; write a line for each pair")
    return Alike(places, same)


def read_kept(found: re.Match[str], reader: Reader) -> Claim:
    """`kept PLACES`."""
    return Kept(reader.places(found["places"]))


def read_only(found: re.Match[str], reader: Reader) -> Claim:
    """`only PLACES changed`."""
    return OnlyChanged(reader.places(found["places"]))

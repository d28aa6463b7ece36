"""Claims about edges: paired, still paired, joined, and the 3x3 stage that follows."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from sitegen.block.claims.claim import (
    About,
    Claim,
    Reader,
    Verdict,
    bad_check,
    is_number,
)
from sitegen.cube.classes import read_wings
from sitegen.cube.measure import EDGES, complete_edges, edge_name
from sitegen.cube.pieces import ORDER, Piece, pieces
from sitegen.cube.possible import can_finish, stage_hint
from sitegen.said import Plain
from sitegen.wording import some_of

if TYPE_CHECKING:
    import re
    from collections.abc import Sized

    from sitegen.block.claims.claim import ClaimValue
    from sitegen.block.moment import Moment
    from sitegen.cube.places import Place
    from sitegen.cube.position import Position


def _names(edges: list[frozenset[str]]) -> str:
    return some_of([edge_name(faces) for faces in edges], between=" ")


def unpaired(position: Position, layer: int) -> str:
    """Which edges are not complete, for a message; and where only whole sets of wings disagree."""
    complete = complete_edges(position, layer)
    rest = [faces for faces in EDGES if faces not in complete]
    text = _names(rest)
    layers = pieces(position.n).wing_layers
    if len(layers) > 1 and not layer:
        sets = [complete_edges(position, one) for one in layers]
        disagree = [faces for faces in rest if all(faces in found for found in sets)]
        if disagree:
            text += (
                f"; in {_names(disagree)} the wings of each layer are paired among themselves, "
                "and the layers disagree"
            )
    return text


def _are(named: Sized) -> str:
    return "is" if len(named) == 1 else "are"


def _in_wings(layer: int, plain: Plain[ClaimValue]) -> Plain[ClaimValue]:
    """A claim in plain words, of one orbit of wings where one is named."""
    return Plain("claims.in_wings", {"claim": plain, "layer": layer}) if layer else plain


class PairedCount(Claim, frozen=True):
    """`paired 8`, `paired at least 8`, `paired all`; `layer` is an orbit of wings, or 0 for all."""

    count: int
    at_least: bool
    layer: int

    def said(self) -> Plain[ClaimValue]:
        name = "claims.paired_all" if self.count == len(EDGES) else "claims.paired"
        if self.at_least:
            name = "claims.paired_at_least"
        return _in_wings(self.layer, Plain(name, {"count": self.count}))

    def judge(self, moment: Moment) -> Verdict:
        number = self._number(moment)
        holds = number >= self.count if self.at_least else number == self.count
        return Verdict(holds, lambda: self._found(moment.now, number))

    def right_number(self, moment: Moment) -> int | None:
        """How many edges are complete."""
        return None if self.at_least else self._number(moment)

    def _number(self, moment: Moment) -> int:
        return len(complete_edges(moment.now, self.layer))

    def _found(self, position: Position, number: int) -> str:
        if number == len(EDGES):
            return f"all {number} edges are paired"
        are = "1 edge is paired" if number == 1 else f"{number} edges are paired"
        return f"{are}, not {unpaired(position, self.layer)}"


class PairedEdges(Claim, frozen=True):
    """`paired FR BR`, `paired edge WO`: those edges are complete."""

    places: tuple[Place, ...]
    layer: int

    def said(self) -> Plain[ClaimValue]:
        return _in_wings(self.layer, Plain("claims.paired_edges", {"places": self.places}))

    def judge(self, moment: Moment) -> Verdict:
        complete = complete_edges(moment.now, self.layer)
        wrong = [
            place.text
            for place in self.places
            if not (
                frozenset(place.colours) in complete.values()
                if place.colours
                else frozenset(place.faces) in complete
            )
        ]
        return Verdict(
            not wrong,
            lambda: (
                f"{some_of(wrong, between=' ')} {_are(wrong)} not paired; of all {len(EDGES)} "
                f"edges, {len(complete)} {_are(complete)}"
            ),
        )


class StillPaired(Claim, frozen=True):
    """`still paired`: every edge complete before the moves is complete after them, wherever."""

    about: ClassVar[About] = "change"
    layer: int

    def said(self) -> Plain[ClaimValue]:
        return _in_wings(self.layer, Plain("claims.still_paired"))

    def judge(self, moment: Moment) -> Verdict:
        before = complete_edges(moment.before, self.layer)
        after = complete_edges(moment.now, self.layer)
        lost = [faces for faces, pair in before.items() if pair not in after.values()]
        names = moment.scheme.names

        def found() -> str:
            colours = [
                f"{edge_name(faces)} ({' and '.join(names[c] for c in sorted(before[faces]))})"
                for faces in lost
            ]
            return f"paired before the moves and no longer: {', '.join(colours)}"

        return Verdict(not lost, found)


class Joined(Claim, frozen=True):
    """`joined FL2U FL3U`: these pieces of one edge show the same two colours, each on one side."""

    places: tuple[Place, ...]
    pieces: tuple[Piece, ...]
    faces: tuple[str, str]

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.joined", {"places": self.places})

    def judge(self, moment: Moment) -> Verdict:
        cube_pieces, colours, names = pieces(moment.n), moment.now.colours, moment.scheme.names
        first, second = self.faces
        shown = [
            (colours[cube_pieces.side(piece, first)], colours[cube_pieces.side(piece, second)])
            for piece in self.pieces
        ]
        one, other = shown[0]

        def found() -> str:
            pairs = ", ".join(f"{names[a]}-{names[b]}" for a, b in shown)
            return f"on {first} and {second} they show {pairs}"

        return Verdict(one != other and len({*shown}) == 1, found)


class StagePossible(Claim, frozen=True):
    """`3x3 stage possible`: centres finished, edges paired, outer turns solve the rest."""

    possible: bool

    def said(self) -> Plain[ClaimValue]:
        return Plain("claims.stage_possible" if self.possible else "claims.stage_impossible")

    def judge(self, moment: Moment) -> Verdict:
        able = can_finish(moment.now)
        if able is None:
            return Verdict(
                holds=False, found=lambda: f"it is not reached: {stage_hint(moment.now)}"
            )
        return Verdict(
            able == self.possible, lambda: "it is possible" if able else "it is impossible"
        )


def _need_edges(reader: Reader) -> None:
    if reader.n == 2:
        raise bad_check("a 2x2 has no edges")


def _layer(found: re.Match[str], reader: Reader) -> int:
    """The orbit that `in wings K` names, or 0."""
    if found["wings"] is None:
        return 0
    return read_wings(found["layer"] or "", reader.n, "bad-check", (0, 0))


def read_paired(found: re.Match[str], reader: Reader) -> Claim:
    """`paired 8`, `paired at least 8`, `paired all`, `paired EDGES`, each `in wings K`."""
    _need_edges(reader)
    layer = _layer(found, reader)
    what, at_least = found["what"], found["least"] is not None
    if what == "all" and not at_least:
        return PairedCount(len(EDGES), at_least=False, layer=layer)
    if is_number(what):
        if len(what) > 4 or int(what) > len(EDGES):
            raise bad_check("a cube has 12 edges, so `paired` takes 0 to 12")
        return PairedCount(int(what), at_least, layer)
    if at_least:
        raise bad_check("`paired at least` is followed by a number, 0 to 12")
    places = reader.places(what)
    for place in places:
        if place.kind != "edge":
            hint = "; pieces of one edge are `joined`" if place.kind in ("wing", "middle") else ""
            raise bad_check(f"`paired` takes whole edges, and `{place.text}` is none{hint}")
    return PairedEdges(places, layer)


def read_still_paired(found: re.Match[str], reader: Reader) -> Claim:
    """`still paired`, `still paired in wings K`."""
    _need_edges(reader)
    return StillPaired(_layer(found, reader))


def read_joined(found: re.Match[str], reader: Reader) -> Claim:
    """`joined FL2U FL3U`."""
    places = reader.stickers(found["places"])
    cube_pieces = pieces(reader.n)
    members: list[Piece] = []
    for place in places:
        if place.kind not in ("wing", "middle", "edge") or place.colours:
            raise bad_check(f"`joined` takes pieces of one edge, and `{place.text}` is none")
        piece = cube_pieces.at(place.sticker)
        if piece not in members:
            members.append(piece)
    if len(members) < 2:
        raise bad_check("`joined` takes two pieces of one edge, or more")
    faces, there = next(edge for edge in cube_pieces.edges.items() if members[0] in edge[1])
    for place in places:
        if cube_pieces.at(place.sticker) not in there:
            raise bad_check(f"`{place.text}` lies on another edge than `{places[0].text}`")
    first, second = sorted(faces, key=ORDER.index)
    return Joined(places, tuple(members), (first, second))


def read_stage(found: re.Match[str], reader: Reader) -> Claim:
    """`3x3 stage possible`, `3x3 stage impossible`."""
    _need_edges(reader)
    return StagePossible(found["how"] == "possible")

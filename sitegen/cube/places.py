"""Lists of places and classes, `corners UFR, wings 3 WO layer 2R`, read and found on a cube."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from sitegen.cube.address import layer_name, looks_like_address, read_address
from sitegen.cube.classes import BY_COLOUR, CLASSES, KINDS, read_wings
from sitegen.cube.geometry import geometry
from sitegen.cube.pieces import pieces, stickers_of
from sitegen.cube.place_hints import colours_of, each_layer, hint, no_layer
from sitegen.cube.scheme import FACES
from sitegen.cube.size import a_cube
from sitegen.cube.turn import MIDDLES
from sitegen.problem import Wrong

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sitegen.cube.position import Position
    from sitegen.cube.scheme import Scheme

_STOP: Final = re.compile(r"[,\n]")
_WORD: Final = re.compile(r"[^\s,]+")
_NUMBER: Final = re.compile(r"[0-9]+")
_LAYER: Final = re.compile(r"([0-9]{0,9})([UDLRFB])|([MES])")


class Place(Struct, frozen=True):
    """A place or a class.

    Attributes:
        text: as written, narrowed parts included.
        start: its offset in the text read.
        end: the offset past it.
        kind: `corner`, `edge` (a whole one), `wing`, `middle`, `centre`, `layer`, `face`, or a
            key of `CLASSES`.
        stickers: its stickers; where `colours` are given, those among which its pieces are.
        sticker: the sticker meant where one is: that of the face named first; else -1.
        faces: of a whole edge, its two faces, the one named first first.
        colours: the colour numbers of the pieces meant, wherever they are; () for a fixed place.
    """

    text: str
    start: int
    end: int
    kind: str
    stickers: frozenset[int]
    sticker: int = -1
    faces: tuple[str, ...] = ()
    colours: tuple[int, ...] = ()

    def at(self, position: Position) -> frozenset[int]:
        """Its stickers as the cube stands."""
        if not self.colours:
            return self.stickers
        cube_pieces, wanted = pieces(position.n), set(self.colours)
        numbers = {cube_pieces.of[s] for s in self.stickers}
        return stickers_of(
            cube_pieces.all[i]
            for i in numbers
            if {position.colours[s] for s in cube_pieces.all[i].stickers} == wanted
        )

    def sticker_at(self, position: Position) -> int:
        """The one sticker meant, as the cube stands; -1 where none or several could be."""
        if not self.colours:
            return self.sticker
        found = [s for s in self.at(position) if position.colours[s] == self.colours[0]]
        return found[0] if len(found) == 1 else -1


def stickers_at(places: Iterable[Place], position: Position) -> frozenset[int]:
    """All stickers of some places, as the cube stands."""
    return frozenset(sticker for place in places for sticker in place.at(position))


class _Word(NamedTuple):
    text: str
    start: int
    end: int

    def wrong(self, message: str, rule: str = "bad-value") -> Wrong:
        return Wrong(rule, message, self.start, self.end)


def read_places(
    text: str, n: int, scheme: Scheme, faults: list[Wrong] | None = None
) -> tuple[Place, ...]:
    """Read places and classes, with spaces or commas between them; `()` for an empty text.

    Args:
        text: the places.
        n: layers each way.
        scheme: the colours' letters.
        faults: every problem found is put here, and reading goes on behind the next comma or on
            the next line; without it the first is raised.

    Raises:
        Wrong: `layer-range` for a layer or a piece that this cube does not have; `bad-value` for
            any word that is no place, or a class narrowed to nothing.
    """
    words = [_Word(found[0], found.start(), found.end()) for found in _WORD.finditer(text)]
    reader = _Reader(words, n, scheme, text)
    places: list[Place] = []
    while reader.ahead:
        try:
            places += reader.places()
        except Wrong as wrong:
            if faults is None:
                raise
            faults.append(wrong)
            reader.go_on_behind(wrong.end)
    return tuple(places)


def _narrowed(base: Place, parts: Sequence[Place]) -> Place:
    """A class, of which only what lies at some places is meant, or has one piece's colours."""
    return replace(
        base,
        text=" ".join((base.text, *(part.text for part in parts))),
        end=parts[-1].end,
        stickers=frozenset().union(*(part.stickers for part in parts)),
        colours=parts[0].colours,
    )


class _Reader:
    def __init__(self, words: list[_Word], n: int, scheme: Scheme, text: str) -> None:
        self.words = words
        self.at = 0  # of the next word
        self.n = n
        self.scheme = scheme
        self.text = text

    @property
    def ahead(self) -> str:
        """The next word, which is not taken yet; "" past the last."""
        return self.words[self.at].text if self.at < len(self.words) else ""

    def take(self) -> _Word:
        """The next word, which there must be."""
        self.at += 1
        return self.words[self.at - 1]

    def go_on_behind(self, fault: int) -> None:
        """Leave out what stands before the next comma or line: it goes with the fault."""
        stop = _STOP.search(self.text, fault)
        while self.ahead and (stop is None or self.words[self.at].start < stop.start()):
            self.at += 1

    def places(self) -> tuple[Place, ...]:
        """The next place or class, with all that narrows it; by its colours each piece apart."""
        if self.ahead not in CLASSES:
            return (self.single(),)
        word = self.take()
        base = self.whole_class(word)
        if word.text == "wings" and not looks_like_address(self.ahead):
            colours = colours_of(self.ahead, 2, self.scheme)
            if colours is not None:
                end = self.take().end
                text = self.text[base.start : end]
                return (replace(base, text=text, end=end, colours=colours),)
        parts = []
        while self.ahead and (part := self.narrowing(base)) is not None:
            parts.append(part)
        groups = [[part] for part in parts if part.colours]
        if fixed := [part for part in parts if not part.colours]:
            groups.append(fixed)
        return tuple(_narrowed(base, group) for group in groups) or (base,)

    def whole_class(self, word: _Word) -> Place:
        layer, end = 0, word.end
        cube_pieces = pieces(self.n)
        if word.text == "wings" and _NUMBER.fullmatch(self.ahead):
            number = self.take()
            span = number.start, number.end
            layer, end = read_wings(number.text, self.n, "layer-range", span), number.end
        members = cube_pieces.of_kind(*KINDS[word.text], layer=layer)
        if not members:
            raise word.wrong(f"{a_cube(self.n)} has no {word.text}", "layer-range")
        text = f"{word.text} {layer}" if layer else word.text
        return Place(text, word.start, end, word.text, stickers_of(members))

    def narrowing(self, base: Place) -> Place | None:
        """The next place, if it narrows a class; None if it stands for itself."""
        if self.ahead in CLASSES:
            return None
        if base.kind == "centres" and self.ahead in tuple(FACES):
            word = self.take()
            part = Place(word.text, word.start, word.end, "face", self.side(word.text))
        else:
            kept = self.at
            part = self.single()
            of_kind = part.kind in (*KINDS[base.kind], "layer", "face") or (
                part.kind == "edge" and base.kind in ("edges", "wings", "middles")
            )
            if not of_kind:
                self.at = kept
                return None
        inside = base.stickers & part.stickers
        if not inside:
            raise Wrong(
                "bad-value",
                f"there are no {base.text} at `{part.text}` on {a_cube(self.n)}",
                part.start,
                part.end,
            )
        return replace(part, stickers=inside)

    def single(self) -> Place:
        word = self.take()
        if word.text == "layer":
            return self.layer(word)
        if word.text == "face":
            return self.face(word)
        if word.text in BY_COLOUR:
            return self.by_colour(word)
        return self.address(word)

    def address(self, word: _Word) -> Place:
        try:
            found = read_address(word.text, self.n)
        except Wrong as wrong:
            offer = hint(word.text, self.n, self.scheme) if wrong.rule == "bad-value" else ""
            raise word.wrong(f"{wrong.message}{offer}", wrong.rule) from None
        kind = "edge" if found.is_edge else pieces(self.n).at(found.sticker).kind
        faces = tuple(word.text) if found.is_edge else ()
        return Place(
            word.text, word.start, word.end, kind, frozenset(found.stickers), found.sticker, faces
        )

    def side(self, face: str) -> frozenset[int]:
        size = self.n * self.n
        base = FACES.index(face) * size
        return frozenset(range(base, base + size))

    def face(self, word: _Word) -> Place:
        if self.ahead not in tuple(FACES):
            raise word.wrong("`face` is followed by one face: `face U`")
        name = self.take()
        return Place(f"face {name.text}", word.start, name.end, "face", self.side(name.text))

    def layer(self, word: _Word) -> Place:
        n, named = self.n, _LAYER.fullmatch(self.ahead)
        if not named:
            message = "`layer` is followed by one layer: `layer U`, `layer 2R`, `layer M`"
            raise word.wrong(message + each_layer(self.ahead, n))
        name = self.take()
        digits, face, middle = named.groups()
        if middle:
            if n % 2 == 0:
                raise name.wrong(f"{a_cube(n)} has no middle layer `{middle}`", "layer-range")
            face, number = MIDDLES[middle], (n + 1) // 2
        else:
            number = int(digits or 1)
        if digits and not 2 <= number <= n - 1:
            raise name.wrong(no_layer(name.text, number, face, n), "layer-range")
        if 2 * number > n + 1:
            near = f"`layer {layer_name(number, face, n)}`"
            message = f"`layer {name.text}` is named from the far side of {a_cube(n)}; write {near}"
            raise name.wrong(message, "layer-range")
        layer_of = geometry(n).layer_of
        inside = frozenset(s for s in range(6 * n * n) if layer_of(s, face) == number)
        return Place(f"layer {name.text}", word.start, name.end, "layer", inside)

    def by_colour(self, word: _Word) -> Place:
        """`edge WO`, `middle WO`, `corner WGR`; letters that are a place are the place."""
        wanted, letters = 3 if word.text == "corner" else 2, self.scheme.letters
        example = f"`{letters[:2] if wanted == 2 else letters[0] + letters[2:4]}`"
        if not self.ahead:
            raise word.wrong(
                f"`{word.text}` is followed by its {wanted} colours, as {example}; all of them are "
                f"`{BY_COLOUR[word.text]}`"
            )
        name = self.take()
        text = f"{word.text} {name.text}"
        if looks_like_address(name.text):
            place = self.address(name)
            if word.text == "middle" and place.kind == "edge":
                members = [
                    p for p in pieces(self.n).of_kind("middle") if place.stickers >= {*p.stickers}
                ]
                if not members:
                    raise word.wrong(f"{a_cube(self.n)} has no middle pieces", "layer-range")
                side = pieces(self.n).side(members[0], place.faces[0])
                return Place(text, word.start, name.end, "middle", stickers_of(members), side)
            if place.kind == word.text:
                return replace(place, text=text, start=word.start)
            raise name.wrong(f"`{name.text}` is no {word.text}")
        colours = colours_of(name.text, wanted, self.scheme)
        if colours is None:
            raise name.wrong(
                f"`{name.text}` is no {word.text}: it is named by {wanted} different colours of "
                f"{' '.join(letters)} that meet on the cube, as {example}"
            )
        base = self.whole_class(word._replace(text=BY_COLOUR[word.text]))
        return replace(base, text=text, end=name.end, kind=word.text, colours=colours)

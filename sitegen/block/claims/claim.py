"""What a claim can do, and what reading and judging it needs."""

from __future__ import annotations

from abc import ABCMeta, abstractmethod
from typing import TYPE_CHECKING, ClassVar, Literal, NamedTuple

from msgspec import Struct, StructMeta
from msgspec.structs import replace

from sitegen.cube.address import write_sticker
from sitegen.cube.hold import as_if_held
from sitegen.cube.pieces import adjacent
from sitegen.cube.places import Place, read_places
from sitegen.notation.tree import MoveTree
from sitegen.problem import Wrong
from sitegen.said import Plain
from sitegen.wording import some_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from sitegen.block.moment import Moment
    from sitegen.cube.geometry import Banks
    from sitegen.cube.position import Position
    from sitegen.cube.scheme import Scheme
    from sitegen.notation.setting import MoveSetting
    from sitegen.notation.tree import Spacing

About = Literal["position", "change", "moves"]
"""What a claim speaks of: one position; what the moves change in it; the moves themselves."""


class Ends(NamedTuple):
    """What moves must lead from and to: colours, or marks that tell pieces apart.

    Attributes:
        start: before the moves.
        end: after them.
        however_held: whether any way of holding the cube will do at the end.
        surely: whether moves that lead elsewhere surely fail. Not so where rotations decide: moves
            with another rotation may do.
    """

    start: Position
    end: Position
    however_held: bool = False
    surely: bool = True

    @property
    def is_still(self) -> bool:
        """Whether moves that change nothing lead from the one to the other."""
        return self.seen(self.start.banks) == self.seen(self.end.banks)

    def seen(self, banks: Banks) -> Banks:
        """A position's banks, in a form that is equal where nothing that is asked differs."""
        return as_if_held(self.start.n, banks) if self.however_held else banks


class Verdict(NamedTuple):
    """What judging a claim found.

    Attributes:
        holds: whether it does.
        found: says what is there instead, read after "found: "; a text is only worth making where
            the claim fails in a page, not in the thousand changed blocks that a repair looks at.
        refuted: whether the claim fails only for the `not` before it.
        sensible: false where the claim has no meaning at this position, so that its `not` does not
            hold either.
    """

    holds: bool
    found: Callable[[], str]
    sensible: bool = True
    refuted: bool = False


def not_there(place: Place, position: Position) -> Verdict:
    """The verdict on a claim about one piece, of which an impossible cube has none, or several."""
    number = "more than one" if place.at(position) else "no"
    found = f"{number} piece `{place.text}` is there"
    return Verdict(holds=False, found=lambda: found, sensible=False)


class Class(Struct, frozen=True):
    """A class of pieces as it is written, where no place of the author's names it: `wings 2`."""

    text: str
    colours: tuple[int, ...] = ()


ClaimValue = (
    int
    | str
    | tuple[Place | Class, ...]
    | tuple[tuple[Place, ...], ...]
    | MoveTree
    | Plain["ClaimValue"]
)
"""What is filled into the text of a claim: numbers, places, rings of places, moves, another claim.
What the claim denies has a text of the same name with `_not` after it."""


def denied(plain: Plain[ClaimValue]) -> Plain[ClaimValue]:
    """The plain words of a claim, for its `not`; of a claim within a claim the inner one's."""
    inner = plain.values.get("claim")
    if isinstance(inner, Plain):
        return Plain(plain.name, {**plain.values, "claim": denied(inner)})
    return Plain(f"{plain.name}_not", plain.values)


class Abstract(StructMeta, ABCMeta):
    """What makes abstract classes of frozen values."""


class Claim(Struct, frozen=True, metaclass=Abstract):
    """A claim, read."""

    about: ClassVar[About] = "position"

    @property
    def length(self) -> int:
        """How many turns are carried out each time that the claim is judged."""
        return 0

    def ends(self, moment: Moment, *, backwards: bool) -> Ends | None:
        """What the moves must lead from and to for it to hold, if it says so much of the end.

        Args:
            moment: the end of a block, as its moves stand.
            backwards: whether the block's end is known and its beginning follows from the moves.
        """
        del moment, backwards
        return None

    def right_number(self, moment: Moment) -> int | None:
        """Of a claim that is a word and a number: with which number it would hold."""
        del moment
        return None

    @abstractmethod
    def said(self) -> Plain[ClaimValue]:
        """The claim in plain words, for readers."""

    @abstractmethod
    def judge(self, moment: Moment) -> Verdict:
        """Hold the claim against a moment."""


class Stated(Struct, frozen=True):
    """A claim as a line of `check` states it.

    Attributes:
        text: the line, as written.
        start: offset of the line in the value of `check`.
        end: offset past it.
        body: the line without what stands before the claim.
        claim: what it says.
        line: the phrase it speaks of, from 1; 0 for the position before the moves (`at first`);
            None for the end.
        negated: whether `not` stands before it.
    """

    text: str
    start: int
    end: int
    body: str
    claim: Claim
    line: int | None
    negated: bool

    def said(self) -> Plain[ClaimValue]:
        """All of the line in plain words."""
        plain = self.claim.said()
        if self.negated:
            plain = denied(plain)
        if self.line is None:
            return plain
        name = "claims.after_line" if self.line else "claims.at_first"
        return Plain(name, {"claim": plain, "line": self.line})

    def judge(self, moment: Moment) -> Verdict:
        """Hold it against its moment."""
        verdict = self.claim.judge(moment)
        if not self.negated or not verdict.sensible:
            return verdict
        return Verdict(not verdict.holds, verdict.found, refuted=verdict.holds)


class Reader(Struct, frozen=True):
    """What reading a claim needs: the cube, the names of its colours, how moves are read.

    Attributes:
        n: layers each way.
        scheme: the colours' names.
        setting: how moves in the claim are read.
        metric: the site's; "" where that could not be read.
        faults: what is wrong with moves in the claim beside what is raised is put here, its place
            counted in the claim.
        spacings: turns in it that could be read otherwise, likewise.
    """

    n: int
    scheme: Scheme
    setting: MoveSetting
    metric: str
    faults: list[Wrong] = []
    spacings: list[Spacing] = []

    def apart(self) -> Reader:
        """A reader like this one, its faults and spacings kept apart from other claims'."""
        return replace(self, faults=[], spacings=[])

    def places(self, text: str) -> tuple[Place, ...]:
        """The places and classes in a part of a claim.

        Raises:
            Wrong: `bad-check`, also where there are none.
        """
        try:
            found = read_places(text, self.n, self.scheme)
        except Wrong as wrong:
            raise bad_check(wrong.message) from None
        if not found:
            raise bad_check("a place or a class is missing here")
        return found

    def stickers(self, text: str) -> tuple[Place, ...]:
        """The places in a part of a claim, each of which means one sticker.

        Raises:
            Wrong: `bad-check` for a place that does not.
        """
        found = self.places(text)
        for place in found:
            is_piece = place.kind in ("corner", "middle") or self.n <= 3
            if not (is_piece if place.colours else place.sticker >= 0):
                raise bad_check(_not_one(place))
        return found


def is_number(text: str) -> bool:
    """Whether a text is a whole number, written in the digits 0 to 9 as numbers in moves are."""
    return text.isascii() and text.isdecimal()


def bad_check(message: str) -> Wrong:
    """What is wrong with a claim: all of it is pointed at, whatever part is wrong."""
    return Wrong("bad-check", message, 0, 0)


def _not_one(place: Place) -> str:
    if place.kind == "edge":
        near = next((f for f in "RUF" if place.faces and adjacent("".join(place.faces) + f)), "")
        hint = f"; name one of its pieces, as `{''.join(place.faces)}2{near}`" if near else ""
        return f"one sticker is meant here, and `{place.text}` is a whole edge{hint}"
    return f"one sticker is meant here, and `{place.text}` is more than one"


def addresses(stickers: Iterable[int], n: int) -> str:
    """Stickers by their addresses, cut short where they are many."""
    return some_of([write_sticker(sticker, n) for sticker in stickers], between=" ")

"""A moves block once it is read: frozen values, each knowing its place in the page."""

from __future__ import annotations

from functools import cached_property
from itertools import chain
from typing import TYPE_CHECKING, Literal

from msgspec import Struct, field

from sitegen.notation.setting import MoveSetting

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sitegen.block.claims.claim import Stated
    from sitegen.cube.places import Place
    from sitegen.cube.scheme import Scheme
    from sitegen.cube.textnet import Net
    from sitegen.notation.setting import Lowercase, Sequences
    from sitegen.notation.spell import Step
    from sitegen.notation.tree import PhraseTree
    from sitegen.problem import Source

Fold = Literal["open", "answer", "all"]


class Context(Struct, frozen=True):
    """What a page gives its blocks.

    Attributes:
        n: the cube where a block names none.
        largest: the largest cube the site allows.
        most_turns: how many turns moves may come to.
        scheme: letters, names and colours.
        lowercase: how `r` is read; "" not at all.
        sequences: the named sequences.
        metric: how turns are counted where nothing is said, a key of `METRICS`.
        unread: for each key that could not be read at the top of the page, or in `site.toml` if the
            page leaves it to that, where this is told: the file, and the line less than nothing.
    """

    n: int
    largest: int
    most_turns: int
    scheme: Scheme
    lowercase: Lowercase
    sequences: Sequences
    metric: str
    unread: Mapping[str, tuple[str, int]] = field(default_factory=dict)

    def setting(self, n: int) -> MoveSetting:
        """What moves on a cube of n layers are read with."""
        return MoveSetting(n, self.lowercase, self.sequences, self.most_turns)


class Spelt(Struct, frozen=True, dict=True):
    """Moves that a block gives, spelt out: the turns of each of `phrases`, offsets in `source`."""

    source: Source
    phrases: tuple[PhraseTree, ...]
    by_phrase: tuple[tuple[Step, ...], ...]

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The turns of all phrases."""
        return tuple(chain.from_iterable(self.by_phrase))


class Solved(Struct, frozen=True):
    """The solved cube, as the scheme has it."""


class Reference(Struct, frozen=True):
    """Where another block began or ended.

    Attributes:
        page: the page's path as written in the reference, or "" for the same page.
        id: the block's id, or "" for the block above.
        at_start: where it began.
    """

    page: str
    id: str
    at_start: bool


class Drawn(Struct, frozen=True):
    """A position drawn as a net, offsets in `source`."""

    source: Source
    net: Net


Origin = Solved | Reference | Spelt | Drawn
"""What a `from` or a `to` may say."""


class Given(Struct, frozen=True):
    """The value of `from` or `to`, and where it stands."""

    source: Source
    origin: Origin


class Mark(Struct, frozen=True):
    """A place to ring, and the word printed at the ring ("" if none)."""

    place: Place
    label: str


class Show(Struct, frozen=True):
    """Which pictures are drawn, and what stands beside them."""

    before: bool = True
    after: bool = True
    steps: bool = False
    style: str = "net"
    source: bool = False
    setup: bool = True


class Block(Struct, frozen=True):
    """A block as it was read.

    Attributes:
        file: the page's path, relative to the content folder.
        number: which block of its page it is, from 0.
        id: its id, or "".
        source: the lines between the fence's marks.
        head: the opening line of the fence.
        n: layers each way.
        metric: how turns are counted where nothing is said.
        scheme: its page's colours.
        claims: what `check` states.
        check: the source of `check`, which the claims' offsets count in; None without claims.
        moves: None where the key is left out.
        impossible_at: where the reason stands that `impossible` gives.
        unread: the keys whose values could not be read; their fields stand at their defaults.
        waits_for: what it hangs on in its page's `Context.unread`, and the lines for which pages
            that it leans on could not be read.

    The other fields are the keys of the same names; `start` is `from`, `goal` is `to`.
    """

    file: str
    number: int
    id: str
    source: Source
    head: Source
    n: int
    metric: str
    scheme: Scheme
    title: str = ""
    start: Given | None = None
    goal: Given | None = None
    moves: Spelt | None = None
    before: Drawn | None = None
    after: Drawn | None = None
    claims: tuple[Stated, ...] = ()
    check: Source | None = None
    impossible: str = ""
    impossible_at: Source | None = None
    marks: tuple[Mark, ...] = ()
    focus: tuple[Place, ...] | None = None
    show: Show = field(default_factory=Show)
    fold: Fold = "open"
    unread: frozenset[str] = frozenset()
    waits_for: tuple[tuple[str, int], ...] = ()

    @property
    def can_be_replayed(self) -> bool:
        """Whether all that says where it begins and how it goes on could be read."""
        return not self.waits_for and not self.unread & {"cube", "from", "to", "moves"}

    @property
    def lines(self) -> tuple[int, int]:
        """The file's lines, from 1, of its opening fence and of the last line inside it."""
        return self.head.lines[0], (*self.head.lines, *self.source.lines)[-1]

    @property
    def phrases(self) -> tuple[PhraseTree, ...]:
        """The lines of the block's moves."""
        return self.moves.phrases if self.moves else ()

    @property
    def steps(self) -> tuple[Step, ...]:
        """The turns of the block's moves."""
        return self.moves.steps if self.moves else ()

    @property
    def length(self) -> int:
        """How many turns are carried out to replay it and to judge its claims."""
        given = (one.origin for one in (self.start, self.goal) if one)
        spelt = [one for one in (*given, self.moves) if isinstance(one, Spelt)]
        claimed = sum(stated.claim.length for stated in self.claims)
        return sum(sum(map(len, one.by_phrase)) for one in spelt) + claimed

    @property
    def starts_from_goal(self) -> bool:
        """Whether the position before the moves is worked out backwards from `to`."""
        return self.start is None and self.goal is not None

    @property
    def basis(self) -> Given | None:
        """What its positions are worked out from: `from`, or `to` where that stands alone."""
        return self.goal if self.starts_from_goal else self.start

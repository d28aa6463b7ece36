"""Tree to turns: a tree put on a cube of n layers, each turn knowing the word it came from."""

from __future__ import annotations

from functools import cached_property, partial
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct

from sitegen.notation.layers import to_turn
from sitegen.notation.setting import MoveSetting
from sitegen.notation.tree import Group, Name, Node, Written, all_nodes, nodes_of
from sitegen.problem import Wrong
from sitegen.wording import begun_alike, in_turn, meant, some_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from sitegen.cube.turn import Turn
    from sitegen.notation.setting import Lowercase, Sequences
    from sitegen.notation.tree import PhraseTree

DEEPEST_NAMES: Final = 50
"""How deep named sequences, and the brackets they are used in, may stand in one another."""

_NONE_NAMED: Final = (
    "none is named here: name it under `sequences`, of the page or the site, or write its moves out"
)
_NO_SITE: Final = "named sequences are a site's, and none is read here: write its moves out"

MOST_TOLD: Final = 3
"""How many faults of a named sequence are told where it is used: along all the ways that lead to it
through others, they would be more than anybody can count."""

LOST: Final = "lost-name"
"""The rule of a name that may be one of those that could not be read. What is wrong with these is
told where they stand, so that this is never told: what it is found in waits."""


class _Whole(Wrong):
    """A fault of several named sequences together, told in the same words wherever it is met."""


class Step(NamedTuple):
    """A turn, and the place in the text of the word that asked for it."""

    turn: Turn
    start: int
    end: int


_new_step: Final[Callable[[tuple[Turn, int, int]], Step]] = partial(tuple.__new__, Step)
"""As `new_written`."""


def spell(
    nodes: Iterable[Node], setting: MoveSetting, faults: list[Wrong], known: Known | None = None
) -> list[Step]:
    """The turns that the nodes of one phrase come to; see `spell_phrases`."""
    return spell_phrases([tuple(nodes)], setting, faults, known)[0]


def measure(nodes: Iterable[Node], setting: MoveSetting, faults: list[Wrong]) -> int:
    """How many turns nodes come to, with what is wrong with them, and nothing carried out.

    The arguments are those of `spell`.
    """
    return _measured(_Speller(setting, faults, (), {}, 0), tuple(nodes), 0)


def spell_phrases(
    phrases: Iterable[tuple[Node, ...]],
    setting: MoveSetting,
    faults: list[Wrong],
    known: Known | None = None,
) -> list[list[Step]]:
    """The turns that phrases come to, counts carried out; none where a phrase has a fault.

    Args:
        phrases: the nodes of each.
        setting: the cube and the readings.
        faults: every problem found is put here: `layer-range`, `lowercase`, `notation` for a
            name that is unknown or goes round in a circle, `limit`.
        known: the named sequences that were looked up with the same setting, if they are kept;
            others are added. One that stands in a circle, or too deep, is right in its own moves
            alone: what leads to it decides what is wrong.
    """
    speller = _Speller(setting, faults, (), {} if known is None else known, 0)
    spelt: list[list[Step]] = []
    total = 0
    for nodes in phrases:
        before = len(faults)
        if total <= setting.most:  # nothing after it is carried out: it may be as long again
            total = _measured(speller, nodes, total)
        else:
            speller.length(nodes)
        is_done = total <= setting.most and len(faults) == before
        spelt.append(speller.steps(nodes) if is_done else [])
    return spelt


def _measured(speller: _Speller, nodes: tuple[Node, ...], before: int) -> int:
    """How many turns there are with these; one more fault where they are too many."""
    total, most = before + speller.length(nodes), speller.setting.most
    if total > most:
        message = f"these moves come to {total:,} turns; at most {most:,} are replayed"
        speller.faults.append(Wrong("limit", message, nodes[0].start, nodes[-1].end))
    return total


class _Named(Struct, frozen=True, dict=True):
    """A named sequence, looked up: its turns, or what is wrong with it.

    Attributes:
        speller: of its text.
        nodes: what its text says.
        length: how many turns they come to.
        depth: how deep names and brackets stand in one another there, its own name counted.
        faults: what is wrong with it.
    """

    speller: _Speller
    nodes: tuple[Node, ...]
    length: int
    depth: int
    faults: tuple[Wrong, ...]

    @cached_property
    def turns(self) -> tuple[Turn, ...]:
        """Its turns: carried out once, however often others use it, be it of no turns at all."""
        return tuple([step.turn for step in self.speller.steps(self.nodes)])


Known = dict[tuple[int, str], _Named]
"""Named sequences, looked up, by who holds them and by name: each is looked into once."""


_KNOWN: Final[dict[tuple[int, Lowercase], dict[str, Turn]]] = {}
"""The turns worked out so far for a cube and a reading, by their text."""


class _Speller:
    def __init__(
        self,
        setting: MoveSetting,
        faults: list[Wrong],
        inside: tuple[tuple[int, str], ...],
        known: Known,
        depth: int,
    ) -> None:
        self.setting = setting
        self.faults = faults
        # what this text is reached through, outermost first: who holds a name, and the name
        self.inside = inside
        self.known = known
        self.depth = self.deepest = depth  # in how many names and brackets, and the most so far
        self.turns = _KNOWN.setdefault((setting.n, setting.lowercase), {})
        self.named: dict[str, _Named | None] = {}

    def length(self, nodes: tuple[Node, ...]) -> int:
        """How many turns nodes come to, found without carrying out a count; finds all faults."""
        total, turns = 0, self.turns
        for node in nodes:
            if isinstance(node, Written):
                if node.word.text not in turns:
                    self.work_out(node)
                total += 1
            elif isinstance(node, Group):
                self.depth += 1
                self.deepest = max(self.deepest, self.depth)
                halves = [self.length(part) for part in node.parts]
                self.depth -= 1
                once = {
                    "(": sum(halves),
                    ",": 2 * sum(halves),
                    ":": 2 * halves[0] + halves[-1],
                }[node.mark]
                total += node.count * once
            else:
                total += node.count * self.length_of(node)
        return total

    def length_of(self, node: Name) -> int:
        found = self.look_up(node)
        if found is None:
            return 0
        if self.depth + found.depth > DEEPEST_NAMES:
            self.faults.append(_too_deep(node))
        self.deepest = max(self.deepest, self.depth + found.depth)
        return found.length

    def work_out(self, node: Written) -> None:
        try:
            self.turns[node.word.text] = to_turn(node.word, self.setting)
        except Wrong as wrong:
            self.faults.append(Wrong(wrong.rule, wrong.message, node.start, node.end))

    def look_up(self, node: Name) -> _Named | None:
        """A named sequence; None, with a fault, where it is none or something in it is wrong."""
        if node.name not in self.named:
            self.named[node.name] = self.find(node)
        return self.named[node.name]

    def find(self, node: Name) -> _Named | None:
        sequences = self.setting.sequences
        holder = sequences.find(node.name)
        if sequences.may_have_lost(node.name):
            self.faults.append(Wrong(LOST, "this name could not be read", *_span(node)))
            return None
        if holder is None:
            none = _NO_SITE if self.setting.typed else _NONE_NAMED
            message = unknown_name(node.name, sequences.names(), none)
            self.faults.append(Wrong("notation", message, *_span(node)))
            return None
        key = id(holder), node.name  # a page's sequence is another than the site's of that name
        path = (*self.inside, key)
        if key in self.inside:
            circle = in_turn((f"`{name}`" for _, name in path[path.index(key) :]), "uses")
            self.faults.append(_Whole("notation", f"a circle of sequences: {circle}", *_span(node)))
            return None
        if self.depth >= DEEPEST_NAMES:
            self.faults.append(_too_deep(node))
            return None
        if key not in self.known:
            self.known[key] = self.read(node.name, holder, path)
        found = self.known[key]
        # a turn that the cube does not have may stand there several times
        each = {wrong.message: wrong for wrong in found.faults}
        for wrong in list(each.values())[:MOST_TOLD]:
            told = f"in the sequence `{node.name}`: {wrong.message}"
            self.faults.append(
                _Whole(wrong.rule, wrong.message, *_span(node))
                if isinstance(wrong, _Whole)
                else Wrong(wrong.rule, told, *_span(node))
            )
        return None if found.faults else found

    def read(self, name: str, holder: Sequences, path: tuple[tuple[int, str], ...]) -> _Named:
        faults: list[Wrong] = []
        # a site that chooses no reading leaves it to the page
        lowercase = holder.lowercase or self.setting.lowercase
        setting = MoveSetting(self.setting.n, lowercase, holder, self.setting.most)
        speller = _Speller(setting, faults, path, self.known, self.depth + 1)
        nodes = nodes_of(holder.read(name, faults).phrases)
        length = speller.length(nodes)
        return _Named(speller, nodes, length, speller.deepest - self.depth, tuple(faults))

    def steps(self, nodes: tuple[Node, ...]) -> list[Step]:
        """The turns of nodes that `length` found no fault in."""
        steps: list[Step] = []
        turns = self.turns
        for node in nodes:
            if isinstance(node, Written):
                word, start, end = node
                steps.append(_new_step((turns[word.text], start, end)))
            elif isinstance(node, Group):
                steps += self.repeated(node, self.bracket(node))
            else:
                found = self.look_up(node)
                inner = found.turns if found else ()
                steps += self.repeated(node, [Step(turn, node.start, node.end) for turn in inner])
        return steps

    def bracket(self, node: Group) -> list[Step]:
        a = self.steps(node.parts[0])
        if node.mark == "(":
            return a
        b = self.steps(node.parts[1])
        return [*a, *b, *undo(a), *(undo(b) if node.mark == "," else ())]

    @staticmethod
    def repeated(node: Group | Name, once: list[Step]) -> list[Step]:
        return (undo(once) if node.undone else once) * node.count


def names_in(phrases: Iterable[PhraseTree]) -> list[Name]:
    """The named sequences that moves use, wherever they stand in them."""
    return sorted((node for node in all_nodes(phrases) if isinstance(node, Name)), key=_span)


def unknown_name(name: str, known: list[str], none: str = _NONE_NAMED) -> str:
    """The complaint that no sequence has a name.

    Args:
        name: the name.
        known: those that there are, in order.
        none: what to say where there is none.
    """
    if near := meant(name, begun_alike(name, known)):
        hint = f"probably `{near}` was meant"
    else:
        hint = f"the named sequences here are {some_of(known)}" if known else none
    return f"no sequence is called `{name}`; {hint}"


def undo(steps: list[Step]) -> list[Step]:
    """Turns that undo turns: each undone, the last first."""
    return [Step(step.turn.inverse(), step.start, step.end) for step in reversed(steps)]


def _too_deep(node: Name) -> Wrong:
    message = f"named sequences and brackets stand more than {DEEPEST_NAMES} deep here"
    return _Whole("limit", message, *_span(node))


def _span(node: Name) -> tuple[int, int]:
    return node.start, node.end

"""The slips that people make in moves, each as a change to their text: likeliest first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.cube.geometry import OPPOSITE
from sitegen.cube.turn import MIDDLES, ROTATIONS
from sitegen.notation.tree import AMOUNTS, FACE, PLAIN, Group, TurnWord, Written, all_nodes, outer
from sitegen.notation.write import suffix

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.block.model import Spelt
    from sitegen.notation.setting import Lowercase
    from sitegen.notation.tree import Node


class Kind(NamedTuple):
    """A kind of slip.

    Attributes:
        rank: how likely it is, the lower the likelier: our own judgement, no source. What is
            forgotten or misread within a turn comes before what was typed at the wrong place.
        what: the slip in words.
    """

    rank: int
    what: str


PRIME: Final = Kind(1, "a prime")
HALF: Final = Kind(2, "a half turn")
TWICE: Final = Kind(2, "a turn written twice")
LAYERS: Final = Kind(3, "the layers")
COUNT: Final = Kind(4, "a count")
OPPOSITE_FACE: Final = Kind(4, "a letter")
TOO_MANY: Final = Kind(5, "a turn too many")
SWAPPED: Final = Kind(5, "two swapped")
OTHER_FACE: Final = Kind(6, "a letter")
AXIS: Final = Kind(6, "a letter")
FAR_LAYERS: Final = Kind(7, "the layers")
ROTATION_AT_BREAK: Final = Kind(7, "a rotation missing")
MISSING: Final = Kind(8, "a turn missing")
MISSING_UNUSUAL: Final = Kind(9, "a turn missing")
MISSING_INSIDE: Final = Kind(9, "a turn missing")
MISSING_UNUSUAL_INSIDE: Final = Kind(10, "a turn missing")

FAR: Final = 4
"""Layers that lie so far from those that are written are hardly taken for them."""

LARGEST_WITH_RANGES: Final = 9
"""Layers of the largest cube on which ranges are tried that the moves do not use."""


class Slip(NamedTuple):
    """A change that mends a slip.

    Attributes:
        kind: one of those above.
        start: offset in the moves' text of what is replaced.
        end: offset past it.
        text: what stands there instead.
        at: which node of the moves, counted over all phrases, is the first replaced; -1 where the
            slip lies inside a bracket.
        taken: how many nodes are replaced.
        words: the turns that stand there instead, as text: such as the cube has.
    """

    kind: Kind
    start: int
    end: int
    text: str
    at: int
    taken: int
    words: tuple[str, ...]

    @property
    def is_missing_turn(self) -> bool:
        """Whether it puts in a turn that is missing, as can be done in front of any other."""
        return self.kind.rank >= MISSING.rank


def slips(spelt: Spelt, n: int) -> list[Slip]:
    """Every slip looked for in some moves on a cube of n layers, likeliest first."""
    return sorted(_all_slips(spelt, n), key=lambda slip: slip.kind.rank)


def misreadings(spelt: Spelt, lowercase: Lowercase) -> list[list[Slip]]:
    """All wide turns as the inner layers of each alone, and all of these as wide turns, in order.

    Who takes `r` for the one, where its writer means the other, does so wherever it stands.
    """
    inner: list[Slip] = []
    wide: list[Slip] = []
    nodes = (node for node in all_nodes(spelt.phrases) if isinstance(node, Written))
    for node in sorted(nodes, key=lambda node: node.start):
        word, face = node.word, node.word.letter.upper()
        last, is_small = word.last or 2, word.letter.islower() and word.letter not in PLAIN
        if word.wide or (is_small and lowercase == "wide"):
            text, alike = f"2{face}" if last == 2 else f"2-{last}{face}", inner
        elif word.first == 2 or is_small:
            text, alike = outer(face, last), wide
        else:
            continue
        text += AMOUNTS[word.quarters]
        alike.append(Slip(LAYERS, node.start, node.end, text, -1, 1, (text,)))
    return [alike for alike in (inner, wide) if len(alike) > 1]


def _all_slips(spelt: Spelt, n: int) -> Iterator[Slip]:
    """The slips in phrases; then those within brackets, where a change may work in many places."""
    text, phrases = spelt.source.text, spelt.phrases
    usual, unusual = _turns_to_insert(spelt, n)
    missing = [(MISSING, usual), (MISSING_UNUSUAL, unusual)]
    inside = [(MISSING_INSIDE, usual), (MISSING_UNUSUAL_INSIDE, unusual)]
    first = 0
    for number, phrase in enumerate(phrases, 1):
        later = phrases[number].nodes[0] if number < len(phrases) else None
        yield from _Row(text, phrase.nodes, later, first, missing).slips(n)
        first += len(phrase.nodes)
    for group in all_nodes(phrases):
        for part in group.parts if isinstance(group, Group) else ():
            yield from _Row(text, part, None, None, inside).slips(n)


class _Row(NamedTuple):
    """Nodes that stand in a row, in a phrase or in a part of a bracket.

    Attributes:
        text: of all the moves.
        nodes: one or more.
        later: the first node of the next phrase; None at the end, and in brackets.
        first: the number of the first, as a slip gives it; None in brackets.
        missing: the turns that may be missing between them, with the kind of such a slip.
    """

    text: str
    nodes: tuple[Node, ...]
    later: Node | None
    first: int | None
    missing: Sequence[tuple[Kind, Sequence[str]]]

    def slips(self, n: int) -> Iterator[Slip]:
        """The slips in them and between them."""
        before = None
        follow = (*self.nodes[1:], self.later)
        for place, (node, after) in enumerate(zip(self.nodes, follow, strict=True)):
            at = self.number(place)
            yield from _of_node(node, n, at)
            if at >= 0 or len(self.nodes) > 1:
                yield _too_many(node, after, self.text, at)
            if after:
                yield _swapped(node, after, self.text, at)
            yield from self.gap(node.start, before, node, at)
            before = node
        if not self.later:
            yield from self.gap(self.nodes[-1].end, before, None, self.number(len(self.nodes)))

    def number(self, place: int) -> int:
        """The number that a slip gives for a node by its place in the row; -1 in brackets."""
        return -1 if self.first is None else self.first + place

    def gap(self, start: int, before: Node | None, after: Node | None, at: int) -> Iterator[Slip]:
        """The slips that left a turn out at a place between nodes."""
        missing = [*self.missing]
        if at > 0 and before is None:
            missing.append((ROTATION_AT_BREAK, _ROTATIONS))
        # beside a turn of the same layers it would be that turn's amount that is wrong
        beside = {_head(node.word.text) for node in (before, after) if isinstance(node, Written)}
        sign = self.text[start - 1 : start]
        left = "" if not sign or sign.isspace() or sign in "([,:" else " "
        right = " " if after else ""
        for kind, turns in missing:
            for turn in turns:
                if _head(turn) not in beside:
                    yield Slip(kind, start, start, f"{left}{turn}{right}", at, 0, (turn,))


def _of_node(node: Node, n: int, at: int) -> Iterator[Slip]:
    """The slips within one turn, or in the count and prime of a bracket."""
    if isinstance(node, Written):
        for kind, text in _variants(node.word, n):
            yield Slip(kind, node.start, node.end, text, at, 1, (text,))
        return
    body_end = node.end - len(suffix(node.count, undone=node.undone))
    for kind, times, undone in (
        (PRIME, node.count, not node.undone),
        (COUNT, node.count + 1, node.undone),
        (COUNT, node.count - 1, node.undone),
    ):
        if times:
            yield Slip(kind, body_end, node.end, suffix(times, undone=undone), -1, 1, ())


def _too_many(node: Node, following: Node | None, text: str, at: int) -> Slip:
    end = node.end
    while end < len(text) and text[end] == " ":
        end += 1
    kind = TOO_MANY
    if isinstance(node, Written) and isinstance(following, Written) and node.word == following.word:
        kind = TWICE
    return Slip(kind, node.start, end, "", at, 1, ())


def _swapped(node: Node, other: Node, text: str, at: int) -> Slip:
    first, second = text[node.start : node.end], text[other.start : other.end]
    between = text[node.end : other.start] or " "
    plain = isinstance(node, Written) and isinstance(other, Written)
    swapped = f"{second}{between}{first}"
    words = (second, first) if plain else ()
    return Slip(SWAPPED, node.start, other.end, swapped, at if plain else -1, 2, words)


_AXES: Final = ROTATIONS | {face: letter for letter, face in ROTATIONS.items()}
"""For a face the rotation in its direction, and the other way about."""

_FACES: Final = "URFLDB"
"""The faces in the order in which they are tried: our own choice, no source."""

_ROTATIONS: Final = tuple(f"{axis}{amount}" for axis in ROTATIONS for amount in AMOUNTS.values())


def _turns_to_insert(spelt: Spelt, n: int) -> tuple[list[str], list[str]]:
    """The turns that may be missing: those of the forms that the moves use, and all others."""
    heads = [*_FACES]
    written = (node for node in all_nodes(spelt.phrases) if isinstance(node, Written))
    used = {_head(node.word.text) for node in written}
    forms = {head.replace(face, "*") for head in used for face in _FACES if face in head}
    usual = [*heads, *(form.replace("*", face) for form in sorted(forms) for face in _FACES)]
    usual += sorted(head for head in used if head in MIDDLES)
    others = [outer(face, last) for last in range(2, n) for face in heads]
    others += [f"{layer}{face}" for layer in range(2, n) for face in heads if 2 * layer <= n + 1]
    for first, last, text in _ranges(n):
        # from the nearer side, and those in the middle from one side alone
        sides = heads if first + last <= n else heads[:3] if first + last == n + 1 else ()
        others += [f"{text}{face}" for face in sides]
    others += [*(MIDDLES if n % 2 else ()), *ROTATIONS]
    usual = list(dict.fromkeys(usual))
    unusual = [head for head in others if head not in usual]
    return _with_amounts(usual), _with_amounts(unusual)


def _with_amounts(heads: list[str]) -> list[str]:
    return [f"{head}{amount}" for head in heads for amount in AMOUNTS.values()]


def _head(turn: str) -> str:
    """A turn without its amount."""
    return turn.rstrip("'").removesuffix("2")


def _variants(word: TurnWord, n: int) -> Iterator[tuple[Kind, str]]:
    """What one slip makes of a turn, read backwards: its kind, the turn instead."""
    head, tail = _head(word.text), AMOUNTS[word.quarters]
    for quarters, amount in AMOUNTS.items():
        if quarters != word.quarters:
            yield HALF if 2 in (quarters, word.quarters) else PRIME, head + amount
    yield from _other_letters(word, head, tail)
    if word.letter not in PLAIN:
        written = word.last or word.first or (2 if word.wide or word.letter.islower() else 1)
        for last, other in _layer_forms(word.letter.upper(), n):
            if other != head:
                yield LAYERS if abs(last - written) < FAR else FAR_LAYERS, other + tail


def _other_letters(word: TurnWord, head: str, tail: str) -> Iterator[tuple[Kind, str]]:
    """What another letter in its place makes of a turn: the kind of slip, the turn instead."""
    letter, face = word.letter, word.letter.upper()
    if head in _AXES:
        yield AXIS, _AXES[head] + tail
    if letter in PLAIN:
        for other in MIDDLES if letter in MIDDLES else ROTATIONS:
            if other != letter:
                yield OTHER_FACE, other + tail
        return
    before, after = head.split(letter)
    for other in FACE:
        if other != face:
            kind = OPPOSITE_FACE if other == OPPOSITE[face] else OTHER_FACE
            written = other.lower() if letter.islower() else other
            yield kind, before + written + after + tail


def _layer_forms(face: str, n: int) -> Iterator[tuple[int, str]]:
    """Every way to say which layers of a face turn, and the last of them.

    On small cubes; on large ones the usual ways.
    """
    for last in range(1, n):
        yield last, outer(face, last)
    for layer in range(2, n):
        yield layer, f"{layer}{face}"
    for _, last, text in _ranges(n):
        yield last, f"{text}{face}"


def _ranges(n: int) -> Iterator[tuple[int, int, str]]:
    """The first, the last layer and the text of every range, on small cubes; none on large."""
    if n <= LARGEST_WITH_RANGES:
        for first in range(2, n - 1):
            for last in range(first + 1, n):
                yield first, last, f"{first}-{last}"

"""Named sequences as readers are shown them: done once, on a cube that they fit on."""

from __future__ import annotations

from collections import defaultdict
from functools import lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec.structs import replace

from sitegen.cube.describe import describe_motion
from sitegen.cube.geometry import SMALLEST
from sitegen.cube.hold import held_after, rotations_in
from sitegen.cube.measure import differing
from sitegen.cube.position import Motion, Position
from sitegen.cube.tell import sentences
from sitegen.draw.picture import Picture
from sitegen.draw.styles import STYLES
from sitegen.notation.count import METRICS, count_turns
from sitegen.notation.read import read_moves
from sitegen.notation.spell import DEEPEST_NAMES, spell
from sitegen.notation.tree import Group, Name, nodes_of
from sitegen.notation.write import write_turn
from sitegen.pages.meanings import small_letter
from sitegen.pages.prose import as_words
from sitegen.pages.sequences import used_first
from sitegen.pages.site import NamedMoves

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sitegen.block.model import Context
    from sitegen.notation.setting import Sequences
    from sitegen.notation.spell import Known, Step
    from sitegen.notation.tree import Node
    from sitegen.pages.site import Word
    from sitegen.problem import Wrong
    from sitegen.said import Say

LONGEST: Final = 200
"""Turns of the longest moves that are kept carried out, to be searched."""

LONGEST_NAMED: Final = 1_000
"""Turns of the longest named sequence of which it is shown what it does."""

LAYERS_OF_SMALL: Final = 3
"""Layers of the largest cube on which no layer needs a number: its middle ones have names."""


def named_sequences(context: Context, say: Say) -> tuple[NamedMoves, ...]:
    """The sequences that a page, or the site itself, names; not those named further out.

    Args:
        context: the page's, or the site's: the cube they are done on, if they fit on it.
        say: says the theme's texts in the site's language.
    """
    farthest = _farthest(context.sequences)
    known: defaultdict[int, Known] = defaultdict(dict)  # by cube
    return tuple(
        _named_moves(name, farthest.get(name), known, context, say)
        for name in context.sequences.texts
    )


def _named_moves(
    name: str, farthest: int | None, known: Mapping[int, Known], context: Context, say: Say
) -> NamedMoves:
    moves = context.sequences.read(name, [])
    nodes = nodes_of(moves.phrases)
    words = as_words(nodes)
    small = small_letter(moves, context.lowercase)
    n, steps = (0, []) if farthest is None else _fitting_cube(nodes, farthest, known, context)
    if not steps:
        return NamedMoves(name, words, small, "", 0, "", (), 0, ())
    turns = [step.turn for step in steps]
    motion = Motion.of(n, turns)
    found = describe_motion(motion, held_after(motion, rotations_in(turns, n)))
    solved = Position.solved(n)
    now = solved.after(motion)
    picture = Picture(n, now.colours, f"{{{name}}}", differing(solved, now))
    return NamedMoves(
        name=name,
        words=words,
        small=small,
        carried_out=carried_out(steps, words, n),
        n=n,
        svg=STYLES["net"].draw(picture, context.scheme, say),
        counts=tuple((metric, count_turns(turns, n, metric)) for metric in METRICS),
        order=found.order,
        does=tuple(sentences(found, say)),
    )


def _fitting_cube(
    nodes: Sequence[Node], farthest: int, known: Mapping[int, Known], context: Context
) -> tuple[int, list[Step]]:
    """The cube to show moves on, and their turns there; none where they fit on no cube.

    There are none either where moves are too long: this is worked out for all of every site.
    """
    sizes = (context.n, *range(max(SMALLEST, farthest + 1), context.largest + 1))
    if farthest and context.n <= LAYERS_OF_SMALL:
        # layers have numbers on larger cubes, where those written lie this side of the middle
        sizes = (*range(2 * farthest, context.largest + 1), *sizes)
    for n in sizes:
        faults: list[Wrong] = []
        setting = replace(context.setting(n), most=min(context.most_turns, LONGEST_NAMED))
        steps = spell(nodes, setting, faults, known[n]) if nodes else []
        if steps and not faults:
            return n, steps
        if {fault.rule for fault in faults} != {"layer-range"}:
            break  # no cube is large enough for that
    return 0, []


def _farthest(sequences: Sequences) -> dict[str, int]:
    """The farthest layer that is written in each sequence, and in those that it uses; else 0.

    Left out are those that fit on no cube: they use a circle, or stand too deep in one another.
    """
    outlines: dict[tuple[int, str], _SequenceOutline] = {}
    uses: dict[tuple[int, str], dict[tuple[int, str], int]] = {}
    waiting = [(sequences, name) for name in sequences.texts]
    while waiting:
        holder, name = waiting.pop()
        key = id(holder), name
        if key not in uses:
            outlines[key] = one = _sequence_outline(holder.texts[name])
            used = [(there, name) for name in one.names if (there := holder.find(name))]
            uses[key] = {(id(there), name): one.names[name] for there, name in used}
            waiting += used
    farthest: dict[tuple[int, str], int] = {}
    depths: dict[tuple[int, str], int] = {}
    for key in used_first(uses):
        own, inner = outlines[key], uses[key]
        if inner.keys() <= depths.keys():
            depth = max([own.depth, *(at + 1 + depths[used] for used, at in inner.items())])
            if depth <= DEEPEST_NAMES:
                depths[key] = depth
                farthest[key] = max([own.farthest, *(farthest[used] for used in inner)])
    return {name: layer for (holder, name), layer in farthest.items() if holder == id(sequences)}


class _SequenceOutline(NamedTuple):
    """What is written in a sequence.

    Attributes:
        farthest: the largest number of a layer; 0 without one.
        depth: in how many brackets anything stands.
        names: the names, each with in how many brackets it stands.
    """

    farthest: int
    depth: int
    names: Mapping[str, int]


@lru_cache(maxsize=1024)
def _sequence_outline(text: str) -> _SequenceOutline:
    """What is written in a sequence: asked for by all that use it."""
    farthest = deepest = 0
    names: dict[str, int] = {}
    waiting = [(node, 0) for node in nodes_of(read_moves(text, []).phrases)]
    while waiting:
        node, depth = waiting.pop()
        deepest = max(deepest, depth)
        if isinstance(node, Group):
            waiting += [(inner, depth + 1) for part in node.parts for inner in part]
        elif isinstance(node, Name):
            names[node.name] = max(depth, names.get(node.name, 0))
        else:
            farthest = max(farthest, node.word.first or 0, node.word.last or 0)
    return _SequenceOutline(farthest, deepest, names)


def carried_out(steps: Sequence[Step], words: Sequence[Word], n: int) -> str:
    """The turns that moves come to, if they are not written out already and are not too many."""
    if len(steps) > LONGEST:
        return ""
    written = " ".join(write_turn(step.turn, n) for step in steps)
    return "" if written == " ".join(word.text for word in words) else written

"""The named sequences of a site, and of a page: what is wrong with them whatever the cube."""

from __future__ import annotations

import re
from collections import deque
from contextlib import suppress
from functools import lru_cache
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING, Final, TypeVar

from sitegen.cube.geometry import LARGEST
from sitegen.notation.read import read_moves, unclear
from sitegen.notation.setting import MoveSetting
from sitegen.notation.spell import measure, names_in, unknown_name
from sitegen.notation.tree import nodes_of
from sitegen.problem import Problem, Wrong
from sitegen.wording import in_turn

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from sitegen.notation.setting import Sequences
    from sitegen.notation.tree import Name, PhraseTree, Spacing
    from sitegen.problem import Source

T = TypeVar("T")

MOST_SEQUENCES: Final = 500
"""How many sequences a site, and how many a page, may name."""

TOO_MANY: Final = f"at most {MOST_SEQUENCES} sequences may be named"

_MIDDLING: Final = 7
"""A cube with turns of every form, and fewer layers than the largest."""


def wrong_in_name(name: str) -> str:
    """What is wrong with a name given to moves; "" where nothing is."""
    if re.fullmatch(r"[A-Za-z0-9-]+", name):
        return ""
    return f"`{name}`: names of sequences are letters, digits and hyphens"


def sequence_problems(sequences: Sequences, sources: Mapping[str, Source], n: int) -> list[Problem]:
    """What is wrong with named sequences whatever cube they are used on: reading, names, circles.

    Args:
        sequences: the sequences.
        sources: for the name of each that is to be looked at, where its moves stand.
        n: layers of the page's cube, or the site's: on small ones no 2 could be meant otherwise.
    """
    circling = _circling(sequences)
    problems = []
    for name, source in sources.items():
        faults: list[Wrong] = []
        spacings: list[Spacing] = []
        moves = read_moves(sequences.texts[name], faults, spacings, sequences)
        faults += _no_layers(moves.phrases)
        faults += _names_wrong(sequences, name, circling)
        faults += unclear(spacings, n)
        if not moves.phrases and not faults:
            message = f"the sequence `{name}` has no moves; write them, or take it out"
            faults.append(Wrong("notation", message, 0, max(1, len(source.text))))
        text = sequences.texts[name]
        problems += [Problem.at(source, _as_typed(wrong, text, source.text)) for wrong in faults]
    return problems


def _no_layers(phrases: Iterable[PhraseTree]) -> list[Wrong]:
    """Layers written as no cube has them, `1R` or `4-2R`: told in the same words on all."""
    told: list[list[tuple[str, str, int, int]]] = []
    for n in _MIDDLING, LARGEST:
        faults: list[Wrong] = []
        measure(nodes_of(phrases), MoveSetting(n, "wide"), faults)
        told.append([(one.rule, one.message, one.start, one.end) for one in faults])
    on_all = (one for one in told[0] if one in told[1])
    return [Wrong(*one) for one in on_all if one[0] == "layer-range"]


def _as_typed(wrong: Wrong, text: str, typed: str) -> Wrong:
    """A fault with its place counted as typed: YAML's single quotes have each prime twice."""
    if len(typed) != len(text) + text.count("'"):
        return wrong
    start, end = (place + text.count("'", 0, place) for place in (wrong.start, wrong.end))
    return Wrong(wrong.rule, wrong.message, start, end)


def _circling(sequences: Sequences) -> set[str]:
    """The sequences that stand in a circle, or on a way from one circle to another."""
    uses = {
        name: {used.name for used in _uses(text)} & sequences.texts.keys()
        for name, text in sequences.texts.items()
    }
    left = uses.keys() - {*used_first(uses)}
    used_by: dict[str, set[str]] = {name: set() for name in left}
    for name in left:
        for used in uses[name] & left:
            used_by[used].add(name)
    return left - {*used_first(used_by)}


def used_first(uses: Mapping[T, Iterable[T]]) -> list[T]:
    """Sequences, each after those that it uses; circles, and what uses them, are left out."""
    sorter = TopologicalSorter(uses)
    with suppress(CycleError):  # what it can do before one is done all the same
        sorter.prepare()
    order: list[T] = []
    while ready := sorter.get_ready():
        order += ready
        sorter.done(*ready)
    return order


@lru_cache(maxsize=1024)
def _uses(text: str) -> tuple[Name, ...]:
    """The names in a sequence: asked for again for each that uses it."""
    return tuple(names_in(read_moves(text, []).phrases))


def _names_wrong(sequences: Sequences, name: str, circling: set[str]) -> list[Wrong]:
    """The unknown names in a sequence, and the circle it stands in, if any."""
    faults: list[Wrong] = []
    for used in _uses(sequences.texts[name]):
        if sequences.may_have_lost(used.name):
            continue
        if used.name not in sequences:
            message = unknown_name(used.name, sequences.names())
            faults.append(Wrong("notation", message, used.start, used.end))
        elif {name, used.name} <= circling and (circle := _circle(sequences, name, used.name)):
            text = in_turn((f"`{one}`" for one in circle), "uses")
            faults.append(Wrong("notation", f"a circle of sequences: {text}", used.start, used.end))
    return faults


def _circle(sequences: Sequences, goal: str, start: str) -> list[str] | None:
    """The shortest way from a sequence back to itself through one it uses, if there is one."""
    reached_from = {start: goal}
    waiting = deque([start])
    while waiting:
        at = waiting.popleft()
        if at == goal:
            way = [goal]
            while way[-1] != start:
                way.append(reached_from[way[-1]])
            return [goal, *reversed(way)]
        for used in _uses(sequences.texts.get(at, "")):
            if used.name not in reached_from:
                reached_from[used.name] = at
                waiting.append(used.name)
    return None

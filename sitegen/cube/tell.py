"""What a motion does, in sentences: what goes round, what is turned in place, if that is all."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from sitegen.said import Plain, number_in_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sitegen.cube.describe import Cycle, Description
    from sitegen.said import Say, Value

MOST_SENTENCES: Final = 8
"""How many kinds of cycle are told one by one; where there are more, pieces are counted."""

LARGEST_ORDINAL: Final = 10
"""The theme has words for the ordinals from the second to this; others are made from digits."""


def sentences(found: Description, say: Say) -> Iterator[str]:
    """What a motion does, a sentence at a time; centres by themselves only where they are all."""
    for sentence in _said(found):
        text = say(sentence)
        yield text[:1].upper() + text[1:]  # a sentence may begin with a number in words


def _said(found: Description) -> Iterator[Value]:
    cycles = found.cycles or found.centres
    if not cycles:
        yield Plain("motion.nothing")
        return
    alike = Counter(cycle._replace(places=()) for cycle in cycles if cycle.length > 1)
    spots: dict[tuple[str, str], list[Cycle]] = {}
    for cycle in cycles:
        if cycle.length == 1:
            spots.setdefault((cycle.kind, cycle.turned), []).append(cycle)
    if len(alike) + len(spots) > MOST_SENTENCES:
        yield _summary(found)
    else:
        for cycle, times in alike.items():
            yield _round(cycle, times, found.n)
        for turned in spots.values():
            yield _in_place(turned, found.n)
        others = found.cycles and found.centres
        yield Plain("motion.only_centres" if others else "motion.nothing_else")
    yield from _unseen(found)


def _unseen(found: Description) -> Iterator[Value]:
    """Of the centres that move, how many come to a side of their own colour and so do not show."""
    moving = sum(cycle.length for cycle in found.centres)
    shown = found.centres_changed
    if moving and not shown:
        yield Plain("motion.unseen")
    elif shown < moving:
        # never one alone: of each colour there are as many after the moves as before
        yield Plain(
            "motion.seen", {"count": number_in_words(shown), "all": number_in_words(moving)}
        )


def _summary(found: Description) -> Value:
    moved, sizes = Counter[str](), Counter[str]()
    for orbit in found.orbits:
        kind = orbit.name.split()[0]
        moved[kind] += sum(orbit.lengths)
        sizes[kind] += orbit.size
    parts: list[Value] = [
        Plain("motion.moved", {"count": count, "all": sizes[kind], "pieces": _class(kind)})
        for kind, count in moved.items()
        if count
    ]
    return Plain("motion.many", {"pieces": tuple(parts)})


def _class(name: str) -> Value:
    return Plain(f"places.{name}")


def _name(cycle: Cycle, n: int) -> Value:
    """What goes round, several of it."""
    match cycle.kind:
        case "edge" if n > 3:
            return Plain("motion.whole_edges")
        case "middle":
            return Plain("motion.middle_edges")
        case "wing":
            return Plain("motion.wings", {"layer": _ordinal(cycle.layer)})
    return _class(f"{cycle.kind}s")


def _one(cycle: Cycle, n: int) -> Value:
    """What is flipped, if it is one alone."""
    if cycle.kind == "middle":
        return Plain("motion.middle_edge")
    return Plain("motion.whole_edge") if n > 3 else _class("edge")


def _ordinal(layer: int) -> Value:
    if layer <= LARGEST_ORDINAL:
        return Plain(f"ordinals.{layer}")
    return Plain("ordinals.other", {"number": layer})


def _round(cycle: Cycle, times: int, n: int) -> Value:
    """`Three corners go round`, `Two pairs of corners change places`, `Two sets of five edges`."""
    name = "swap" if cycle.length == 2 else "round"
    name = f"{name}s" if times > 1 else name
    turned = f"_{cycle.turned}" if cycle.turned else ""
    values = {
        "count": number_in_words(cycle.length),
        "times": number_in_words(times),
        "pieces": _name(cycle, n),
    }
    return Plain(f"motion.{name}{turned}", values)


def _in_place(cycles: list[Cycle], n: int) -> Value:
    first, times = cycles[0], len(cycles)
    is_corner = first.kind == "corner"
    places = tuple(_twisted(one) if is_corner else one.places[0] for one in cycles)
    name = "motion.twist" if is_corner else "motion.flip"
    if times == 1:
        return Plain(name, {"places": places, "piece": _one(first, n)})
    return Plain(
        f"{name}s", {"count": number_in_words(times), "places": places, "pieces": _name(first, n)}
    )


def _twisted(corner: Cycle) -> Value:
    way = "motion.clockwise" if corner.clockwise else "motion.anticlockwise"
    return Plain(way, {"place": corner.places[0]})

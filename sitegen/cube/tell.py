"""What a motion does, in sentences: what goes round, what is turned in place, if that is all."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from sitegen.cube.describe import Cycle

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sitegen.cube.describe import Description

MOST_SENTENCES: Final = 8
"""How many kinds of cycle are told one by one; where there are more, pieces are counted."""

_NUMBERS: Final = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
                   "ten", "eleven", "twelve")  # fmt: skip
_ORDINALS: Final = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh",
                    "eighth", "ninth", "tenth")  # fmt: skip


def sentences(found: Description) -> Iterator[str]:
    """What a motion does, a sentence at a time; centres by themselves only where they are all."""
    cycles = found.cycles or found.centres
    if not cycles:
        yield "Nothing moves."
        return
    alike = Counter((c.kind, c.layer, c.length, c.turned) for c in cycles if c.length > 1)
    spots = Counter((c.kind, c.turned) for c in cycles if c.length == 1)
    if len(alike) + len(spots) > MOST_SENTENCES:
        yield _summary(found)
    else:
        for (kind, layer, length, turned), times in alike.items():
            yield _round(Cycle(kind, layer, length, turned, ()), times, found.n)
        for kind, turned in spots:
            where = [c for c in cycles if (c.length, c.kind, c.turned) == (1, kind, turned)]
            yield _in_place(where, found.n)
        others = found.cycles and found.centres
        yield "Nothing else but centres moves." if others else "Nothing else moves."
    yield from _unseen(found)


def _unseen(found: Description) -> Iterator[str]:
    """Of the centres that move, how many come to a side of their own colour and so do not show."""
    moving = sum(cycle.length for cycle in found.centres)
    shown = found.centres_changed
    if moving and not shown:
        yield "The centres that move do not show: each comes to a side of its own colour."
    elif shown < moving:
        shows = "shows" if shown == 1 else "show"
        yield f"Of the {_number(moving)} centres that move, only {_number(shown)} {shows}."


def _summary(found: Description) -> str:
    moved, sizes = Counter[str](), Counter[str]()
    for orbit in found.orbits:
        kind = orbit.name.split()[0]
        moved[kind] += sum(orbit.lengths)
        sizes[kind] += orbit.size
    parts = [f"{count} of {sizes[kind]} {kind}" for kind, count in moved.items() if count]
    return f"Many pieces move: {', '.join(parts)}."


def _name(cycle: Cycle, n: int, *, many: bool) -> str:
    """What goes round, in words."""
    s = "s" if many else ""
    if cycle.kind == "edge":
        return f"edge{s}" if n == 3 else f"whole edge{s}"
    if cycle.kind == "wing":
        layer = cycle.layer
        ordinal = _ORDINALS[layer] if layer < len(_ORDINALS) else f"{layer}th"
        return f"wing{s} of the {ordinal} layer"
    return {"corner": "corner", "middle": "middle edge", "centre": "centre"}[cycle.kind] + s


def _round(cycle: Cycle, times: int, n: int) -> str:
    """`Three corners go round`, `Two pairs of corners change places`, `Two sets of five edges`."""
    name, number = _name(cycle, n, many=True), _number(cycle.length)
    does = "change places" if cycle.length == 2 else "go round"
    home = f", {cycle.turned} each time they come home" if cycle.turned else ""
    who = f"{number} {name}"
    if times > 1:
        sets = f"pairs of {name}" if cycle.length == 2 else f"sets of {who}"
        who = f"{_number(times)} {sets}"
    return f"{_begun(who)} {does}{home}."


def _in_place(cycles: list[Cycle], n: int) -> str:
    first, times = cycles[0], len(cycles)
    name, are = _name(first, n, many=times > 1), "is" if times == 1 else "are"
    ways = [
        f" {'clockwise' if c.clockwise else 'anticlockwise'}" if c.kind == "corner" else ""
        for c in cycles
    ]
    places = ", ".join(c.places[0] + way for c, way in zip(cycles, ways, strict=True))
    return f"{_begun(_number(times))} {name} {are} {first.turned} in place: {places}."


def _begun(text: str) -> str:
    return text[0].upper() + text[1:]


def _number(count: int) -> str:
    return _NUMBERS[count] if count < len(_NUMBERS) else str(count)

"""`sitegen explain`: what a sequence does, as a teacher would ask.

With `--format json` one object is printed, whose keys are always all there:

    format      1
    cube        layers each way
    moves       as read, written in the project's own spacing
    turns       metric to number: OBTM, ETM, STM, QTM
    held        what the rotations leave: `rotation` ("" for none), `back` (what undoes it), `up`
                and `front` (the sides that stand there now, by the letters they had before)
    words       sentences, one an entry
    claim       a line for `check:`, or null where nothing moves or it would be too long; with a
                rotation in `held` it holds once `back` is added to the moves
    cycles      of corners and edges, then of centres, at most 48: `kind`, `layer` (wings, else 0),
                `length` (pieces, or whole edges), `turned` ("", "twisted", "flipped"), `places`
    left_out    how many cycles more there are
    orbits      `name`, `size`, `lengths` (how many pieces go round together; 1: in its place)
    parity      orbit to "odd" or "even"
    kept        from solved: `faces`, `classes`, `paired` (null on a 2x2), `changed` (stickers)
    order       a number
    inverse     the moves that undo these
    mirror      the moves with left and right exchanged

All but `moves`, `turns`, `parity`, `order`, `inverse` and `mirror` speak of the cube with the
rotations undone.
"""

from __future__ import annotations

from collections import Counter
from itertools import product
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from sitegen.commands.main import HOLDS, WRONG, CannotRun
from sitegen.commands.net import read_steps
from sitegen.cube.describe import Cycle, Description, describe
from sitegen.cube.geometry import LARGEST
from sitegen.cube.position import Motion, Position
from sitegen.cube.scheme import FACES
from sitegen.cube.size import read_size
from sitegen.notation.count import METRICS, count_turns
from sitegen.notation.mirror import mirrored, undone
from sitegen.notation.read import read_moves
from sitegen.notation.spell import Setting, spell
from sitegen.notation.write import write_moves
from sitegen.problem import Wrong

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterable

    from sitegen.cube.turn import Turn

MOST_PLACES: Final = 96
"""How many places a printed claim may have: more cannot be read."""
MOST_CYCLES: Final = 48
MOST_SENTENCES: Final = 8
_LINE: Final = "\n"

_NUMBERS: Final = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
                   "ten", "eleven", "twelve")  # fmt: skip
_ORDINALS: Final = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh",
                    "eighth", "ninth", "tenth")  # fmt: skip


class Held(NamedTuple):
    """How the rotations among moves leave the cube in the hand.

    Attributes:
        rotation: the shortest rotations that come to the same, or "".
        back: what undoes them, or "".
        up: the letter that the side now up had before.
        front: the same for the side now in front.
    """

    rotation: str
    back: str
    up: str
    front: str


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    parser.add_argument("moves", metavar="MOVES", help="moves; may be empty")
    parser.add_argument(
        "--cube", default="3", metavar="N", help="layers each way, 2 to 33 (default: 3)"
    )
    parser.add_argument(
        "--lowercase", choices=("wide", "slice"), default="", help="how `r` is read: as Rw or as 2R"
    )
    parser.add_argument(
        "--format", choices=("text", "json"), default="text", help="for people, or for programs"
    )


def run(options: argparse.Namespace) -> int:
    """Say it on standard output."""
    try:
        n = read_size(options.cube, LARGEST)
    except Wrong as wrong:
        raise CannotRun(f"--cube: {wrong.message}") from None
    steps = read_steps(options.moves, Setting(n, options.lowercase))
    if steps is None:
        return WRONG
    found = explained(options.moves, n, [step.turn for step in steps])
    if options.format == "json":
        import json

        print(json.dumps(found, ensure_ascii=False, indent=2))
    else:
        print("\n".join(_lines(found)))
    return HOLDS


def explained(text: str, n: int, turns: list[Turn]) -> dict[str, Any]:
    """The object that the module's docstring describes.

    Args:
        text: the moves, in which there is nothing wrong.
        n: layers each way.
        turns: what they come to.
    """
    moves = read_moves(text, [])
    whole = Motion.of(n, turns)
    rotation = Motion.of(n, (turn for turn in turns if turn.is_rotation(n)))
    found = describe(whole, rotation)
    cycles = (*found.cycles, *found.centres)
    return {
        "format": 1,
        "cube": n,
        "moves": write_moves(moves),
        "turns": {metric: count_turns(turns, n, metric) for metric in METRICS},
        "held": _held(rotation)._asdict(),
        "words": list(_words(found)),
        "claim": _claim(found),
        "cycles": [
            {
                "kind": cycle.kind,
                "layer": cycle.layer,
                "length": cycle.length,
                "turned": cycle.turned,
                "places": list(cycle.places),
            }
            for cycle in cycles[:MOST_CYCLES]
        ],
        "left_out": max(0, len(cycles) - MOST_CYCLES),
        "orbits": [
            {"name": orbit.name, "size": orbit.size, "lengths": list(orbit.lengths)}
            for orbit in found.orbits
        ],
        "parity": {name: "odd" if odd else "even" for name, odd in found.parity.items()},
        "kept": {
            "faces": list(found.faces),
            "classes": list(found.classes),
            "paired": found.paired if n > 2 else None,
            "changed": found.changed,
        },
        "order": found.order,
        "inverse": write_moves(undone(moves)),
        "mirror": write_moves(mirrored(moves)),
    }


def _held(rotation: Motion) -> Held:
    n = rotation.n
    shown = Position.solved(n).after(rotation)
    up, front = (FACES[shown.face(FACES.index(face))[0]] for face in "UF")
    amounts = [axis + amount for axis in "xyz" for amount in ("", "'", "2")]
    tries = ("", *amounts, *map(" ".join, product(amounts, repeat=2)))
    for text in tries:
        moves = read_moves(text, [])
        nodes = (node for phrase in moves.phrases for node in phrase.nodes)
        turns = (step.turn for step in spell(nodes, Setting(n), []))
        if Motion.of(n, turns) == rotation:
            return Held(text, write_moves(undone(moves)), up, front)
    raise AssertionError("two rotations come to any")


def _claim(found: Description) -> str | None:
    """The cycles as a claim; centre pieces only where nothing else moves."""
    cycles = found.cycles or found.centres
    if not cycles or sum(len(cycle.places) for cycle in cycles) > MOST_PLACES:
        return None
    return "cycles " + "".join(f"({' '.join(cycle.places)})" for cycle in cycles)


def _words(found: Description) -> Iterable[str]:
    """Sentences: what goes round, what is turned in its place, and whether that is all."""
    cycles = found.cycles or found.centres
    if not cycles:
        return ["Nothing moves."]
    alike = Counter((c.kind, c.layer, c.length, c.turned) for c in cycles if c.length > 1)
    spots = Counter((c.kind, c.turned) for c in cycles if c.length == 1)
    if len(alike) + len(spots) > MOST_SENTENCES:
        return [_summary(found)]
    said = [
        _round(Cycle(kind, layer, length, turned, ()), times, found.n)
        for (kind, layer, length, turned), times in alike.items()
    ]
    for (kind, turned), times in spots.items():
        where = [c for c in cycles if (c.length, c.kind, c.turned) == (1, kind, turned)]
        said.append(_in_place(where, times, found.n))
    centres = found.cycles and found.centres
    return [*said, "Nothing else but centres moves." if centres else "Nothing else moves."]


def _summary(found: Description) -> str:
    moved, sizes = Counter[str](), Counter[str]()
    for orbit in found.orbits:
        kind = orbit.name.split()[0]
        moved[kind] += sum(orbit.lengths)
        sizes[kind] += orbit.size
    parts = [f"{count} of {sizes[kind]} {kind}" for kind, count in moved.items() if count]
    return f"Many pieces move: {', '.join(parts)}."


def _name(cycle: Cycle, n: int, many: bool) -> str:
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
    """`Three corners go round`, `Two pairs of corners change places`."""
    name, number = _name(cycle, n, many=True), _number(cycle.length)
    does = "change places" if cycle.length == 2 else "go round"
    home = f", {cycle.turned} each time they come home" if cycle.turned else ""
    if times == 1:
        return f"{number} {name} {does}{home}.".capitalize()
    sets = "pairs" if cycle.length == 2 else f"sets of {number}"
    return f"{_number(times)} {sets} of {name} {does}{home}.".capitalize()


def _in_place(cycles: list[Cycle], times: int, n: int) -> str:
    first = cycles[0]
    name, are = _name(first, n, many=times > 1), "is" if times == 1 else "are"
    ways = [
        f" {'clockwise' if c.clockwise else 'anticlockwise'}" if c.kind == "corner" else ""
        for c in cycles
    ]
    places = ", ".join(c.places[0] + way for c, way in zip(cycles, ways, strict=True))
    count = _number(times).capitalize()
    return f"{count} {name} {are} {first.turned} in place: {places}."


def _number(count: int) -> str:
    return _NUMBERS[count] if count < len(_NUMBERS) else str(count)


def _lines(found: dict[str, Any]) -> Iterable[str]:
    """The whole, for people."""
    moves = found["moves"].replace(_LINE, " ") or "No moves"
    yield f"{moves}, on a {found['cube']}x{found['cube']}"
    yield ""
    yield from found["words"]
    held = found["held"]
    if held["rotation"]:
        yield (
            f"The cube is then held as after {held['rotation']}: what was side {held['up']} is up, "
            f"what was side {held['front']} is in front."
        )
        yield f"What moves, and what is kept, is told with it turned back ({held['back']})."
    if found["claim"]:
        yield ""
        end = f" (with {held['back']} at the end of the moves)" if held["rotation"] else ""
        yield f"As a claim{end}:"
        yield f"  {found['claim']}"
    elif found["cycles"]:
        yield ""
        yield "As a claim: too long to print. How many pieces go round together:"
        yield from _rounds(found["orbits"])
    yield ""
    rows = {
        "Turns": ", ".join(f"{count} {metric}" for metric, count in found["turns"].items()),
        "Order": str(found["order"]),
        "Parity": _parity(found["parity"]),
        "Kept": _kept(found["kept"], found["cube"]),
        "Undone": found["inverse"].replace(_LINE, " "),
        "Mirrored": found["mirror"].replace(_LINE, " "),
    }
    for name, value in rows.items():
        if value:
            yield f"{name:<10}{value}"


def _rounds(orbits: list[dict[str, Any]]) -> Iterable[str]:
    for orbit in orbits:
        if orbit["lengths"]:
            counts = Counter(orbit["lengths"]).items()
            rounds = [
                f"{length}" if times == 1 else f"{times} x {length}" for length, times in counts
            ]
            yield f"  {orbit['name']}: {', '.join(rounds)}"


def _parity(parity: dict[str, str]) -> str:
    odd = [name for name, how in parity.items() if how == "odd"]
    even = [name for name, how in parity.items() if how == "even"]
    parts = [f"odd: {', '.join(odd)}"] if odd else []
    return "; ".join([*parts, f"even: {', '.join(even)}"] if even else parts)


def _kept(kept: dict[str, Any], n: int) -> str:
    """What looks, done from solved, as it did."""
    faces = kept["faces"]
    sides = [f"face{'s' if len(faces) > 1 else ''} {' '.join(faces)}"] if faces else []
    # edges are all there is of middles and wings: their names would say it again
    inner = ("middles", "wings") if "edges" in kept["classes"] else ()
    whole = [*sides, *(name for name in kept["classes"] if name.split()[0] not in inner)]
    parts = [", ".join(whole) or "no face and no class whole"]
    if n > 3:
        parts.append(f"{kept['paired']} of 12 edges paired")
    parts.append(f"{kept['changed']} of {6 * n * n} stickers show another colour")
    return "; ".join(parts) + " (from solved)"

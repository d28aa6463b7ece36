"""`sitegen explain`: what a sequence does, as a teacher would ask.

With `--format json` one object is printed, whose keys are always all there:

    format      1
    cube        layers each way
    moves       as read, written in the project's own spacing
    turns       metric to number: OBTM, ETM, STM, QTM
    held        what the rotations leave, or where the finished centres of an even cube show
                another way, that: `rotation` ("" for none), `back` (what undoes it), `up` and
                `front` (the sides that stand there now, by the letters they had before)
    written     what the rotations leave, as `rotation`: what `kept` and `only` undo
    words       sentences, one an entry
    claim       a line for `check:`, or null where nothing moves or it would be too long; with a
                rotation in `held` it holds once `back` is added to the moves
    claim_held  the same for the moves as they are, the cube held as they leave it; null without a
                rotation in `held`
    cycles      of corners and edges, then of centres, at most 48: `kind`, `layer` (wings, else 0),
                `length` (pieces, or whole edges), `turned` ("", "twisted", "flipped"), `places`
    left_out    how many cycles more there are
    orbits      `name`, `size`, `lengths` (how many pieces go round together; 1: in its place)
    parity      orbit to "odd" or "even"; `edges` where all are paired
    kept        from solved: `faces`, `layers`, `classes`, `paired` (null on a 2x2), `changed`
                (stickers that show another colour), `centres_changed` (centre pieces among them)
    order       a number
    inverse     the moves that undo these
    mirror      the moves with left and right exchanged
    mirror_fb   the moves with front and back exchanged
    behind      the moves that do the same at the back, as seen after half a turn of the cube

`words`, `claim`, `cycles`, `left_out`, `orbits` and `kept` speak of the cube with the rotations
undone.
"""

from __future__ import annotations

from collections import Counter
from itertools import product
from typing import TYPE_CHECKING, Any, Final

from sitegen.commands.main import CANNOT_RUN, HOLDS
from sitegen.commands.net import add_moves, read_setting, read_steps
from sitegen.cube.describe import Cycle, cycles_of, describe_motion
from sitegen.cube.hold import held_after, rotations_in
from sitegen.cube.position import Motion, Position
from sitegen.cube.scheme import FACES
from sitegen.cube.size import a_cube
from sitegen.cube.tell import sentences
from sitegen.notation.count import METRICS, count_turns
from sitegen.notation.mirror import from_behind, mirrored, undone
from sitegen.notation.read import read_moves
from sitegen.notation.setting import MoveSetting
from sitegen.notation.spell import spell
from sitegen.notation.tree import nodes_of
from sitegen.notation.write import write_moves
from sitegen.pages.formats.words import english

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterable

    from sitegen.cube.turn import Turn

MOST_PLACES: Final = 96
"""How many places a printed claim may have: more cannot be read."""
MOST_CYCLES: Final = 48
MOST_LAYERS: Final = 12
_LINE: Final = "\n"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    add_moves(parser, "moves; may be empty")
    parser.add_argument(
        "--format", choices=("text", "json"), default="text", help="for people, or for programs"
    )


def run(options: argparse.Namespace) -> int:
    """Print what the moves do."""
    setting = read_setting(options)
    steps = read_steps(options.moves, setting)
    if steps is None:
        return CANNOT_RUN
    found = explained(options.moves, setting.n, [step.turn for step in steps])
    if options.format == "json":
        import json

        print(json.dumps(found, ensure_ascii=False, indent=2))
    else:
        print("\n".join(_text_lines(found)))
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
    written = rotations_in(turns, n)
    rotation = held_after(whole, written)
    found = describe_motion(whole, rotation)
    cycles = (*found.cycles, *found.centres)
    held = _held_value(rotation)
    return {
        "format": 1,
        "cube": n,
        "moves": write_moves(moves),
        "turns": {metric: count_turns(turns, n, metric) for metric in METRICS},
        "held": held,
        "written": _held_value(written)["rotation"],
        "words": list(sentences(found, english())),
        "claim": _claim(found.cycles or found.centres),
        "claim_held": _claim(cycles_of(whole)[0]) if held["rotation"] else None,
        "cycles": [cycle._asdict() for cycle in cycles[:MOST_CYCLES]],
        "left_out": max(0, len(cycles) - MOST_CYCLES),
        "orbits": [orbit._asdict() for orbit in found.orbits],
        "parity": {name: "odd" if odd else "even" for name, odd in found.parity.items()},
        "kept": {
            "faces": found.faces,
            "layers": found.layers,
            "classes": found.classes,
            "paired": found.paired if n > 2 else None,
            "changed": found.changed,
            "centres_changed": found.centres_changed,
        },
        "order": found.order,
        "inverse": write_moves(undone(moves)),
        "mirror": write_moves(mirrored(moves, "LR")),
        "mirror_fb": write_moves(mirrored(moves, "FB")),
        "behind": write_moves(from_behind(moves)),
    }


def _held_value(rotation: Motion) -> dict[str, str]:
    """The value of `held`, with the shortest rotations that come to the same."""
    n = rotation.n
    shown = Position.solved(n).after(rotation)
    up, front = (FACES[shown.face(FACES.index(face))[0]] for face in "UF")
    amounts = [axis + amount for axis in "xyz" for amount in ("", "'", "2")]
    tries = ("", *amounts, *map(" ".join, product(amounts, repeat=2)))
    for text in tries:
        moves = read_moves(text, [])
        turns = (step.turn for step in spell(nodes_of(moves.phrases), MoveSetting(n), []))
        if Motion.of(n, turns) == rotation:
            back = write_moves(undone(moves))
            return {"rotation": text, "back": back, "up": up, "front": front}
    raise AssertionError("two rotations come to any")


def _claim(cycles: tuple[Cycle, ...]) -> str | None:
    """Cycles as a claim; None where there are none, or too many to read."""
    if not cycles or sum(len(cycle.places) for cycle in cycles) > MOST_PLACES:
        return None
    return "cycles " + "".join(f"({' '.join(cycle.places)})" for cycle in cycles)


def _text_lines(found: dict[str, Any]) -> Iterable[str]:
    """The object as lines for people."""
    moves = found["moves"].replace(_LINE, " ") or "No moves"
    yield f"{moves}, on {a_cube(found['cube'])}"
    yield ""
    yield from found["words"]
    held = found["held"]
    if held["rotation"]:
        yield (
            f"The cube is then held as after {held['rotation']}: what was side {held['up']} is up, "
            f"what was side {held['front']} is in front."
        )
        yield f"What moves, and what is kept, is told with it turned back ({held['back']})."
    if found["written"] != held["rotation"]:
        yield (
            f"By its rotations alone it would be held as after {found['written']}; its finished "
            "centres show otherwise. The claims `kept` and `only` undo the rotations as written."
        )
    if found["claim"]:
        yield ""
        end = f" (with {held['back']} at the end of the moves)" if held["rotation"] else ""
        yield f"As a claim{end}:"
        yield f"  {found['claim']}"
        if found["claim_held"]:
            yield "As a claim of the moves as they are:"
            yield f"  {found['claim_held']}"
    elif found["cycles"]:
        yield ""
        yield "As a claim: too long to print. How many pieces go round together:"
        yield from _rounds(found["orbits"])
    yield ""
    yield from _table_rows(found)


def _table_rows(found: dict[str, Any]) -> Iterable[str]:
    rows = {
        "Turns": ", ".join(f"{count} {metric}" for metric, count in found["turns"].items()),
        "Order": str(found["order"]),
        "Parity": _parity(found["parity"]),
        "Kept": _kept(found["kept"], found["cube"]),
        "Undone": found["inverse"],
        "Left for right": found["mirror"],
        "Front for back": found["mirror_fb"],
        "From behind": found["behind"],
    }
    for name, value in rows.items():
        if value:
            yield f"{name:<16}{value.replace(_LINE, ' ')}"


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
    """What the moves, done from solved, leave as it looked."""
    if not kept["changed"]:
        return "everything (from solved)"
    faces, layers = kept["faces"], kept["layers"]
    sides = [f"face{'s' if len(faces) > 1 else ''} {' '.join(faces)}"] if faces else []
    # edges are all there is of middles and wings: their names would say it again
    inner = ("middles", "wings") if "edges" in kept["classes"] else ()
    classes = [name for name in kept["classes"] if name.split()[0] not in inner]
    if layers:
        more = f" and {len(layers) - MOST_LAYERS} more" if len(layers) > MOST_LAYERS else ""
        sides.append(f"layer{'s' if layers[1:] else ''} {' '.join(layers[:MOST_LAYERS])}{more}")
    parts = [", ".join([*sides, *classes]) or "no face, layer or class"]
    if n > 3:
        parts.append(f"{kept['paired']} of 12 edges paired")
    parts.append(f"{kept['changed']} of {6 * n * n} stickers show another colour")
    return "; ".join(parts) + " (from solved)"

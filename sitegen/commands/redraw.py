"""`sitegen redraw`: nets that are empty or stale, written from the engine in the author's form."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from sitegen.block.fence import read_fence
from sitegen.commands.check import asked_for, content_root, judged, report
from sitegen.commands.mend import Asking, Offer, put_down
from sitegen.cube.textnet import compare, write_cross
from sitegen.pages.rewrite import Edit
from sitegen.verdicts import errors_inside, verdicts

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Iterator

    from sitegen.block.model import Block, Drawn
    from sitegen.block.replay import Replay
    from sitegen.cube.position import Position
    from sitegen.make import Made
    from sitegen.pages.references import Key, References
    from sitegen.problem import Problem

NETS: Final = ("before", "after")
"""The keys whose nets are written."""

STALE: Final = frozenset({"before-mismatch", "after-mismatch"})
"""The rules whose problems a net written anew mends."""

DEEPER: Final = "  "
"""How much further than its key a net begins."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    parser.add_argument(
        "paths",
        nargs="+",
        metavar="PATH",
        help="a content folder, or pages and folders within one",
    )
    parser.add_argument("--yes", action="store_true", help="write without asking")


def run(options: argparse.Namespace) -> int:
    """Redraw, check again, and report what still does not hold."""
    paths = [Path(path) for path in options.paths]
    root = content_root(paths)
    is_asked = asked_for(paths, root)
    made = _redrawn(root, is_asked, Asking(options.yes, sys.stdout))
    return report(made, "text", is_asked)


def _redrawn(root: Path, is_asked: Callable[[str], bool], asking: Asking) -> Made:
    """Write nets until none is left to ask about; the folder as it is then, judged."""
    made = judged(root)
    asked: set[Key] = set()
    while True:
        # a block that waited may be redrawn once the one it leans on holds
        offers = [offer for offer in _offers(made, is_asked) if offer.key not in asked]
        if not offers:
            if not asked:
                asking.say(
                    "no net to redraw: none is empty or stale in a block that else holds", ""
                )
            return made
        asked.update(offer.key for offer in offers)
        if not put_down(made, offers, asking):
            return made
        made = judged(root)


def _offers(made: Made, is_asked: Callable[[str], bool]) -> Iterator[Offer]:
    """The blocks whose only failures are nets that are empty or stale, and how these would be."""
    failing = errors_inside(verdicts(made))
    for key, errors in failing.items():
        block, done = made.blocks[key], made.replays.get(key)
        if done is None or not is_asked(block.file) or _waits(key, failing, made.references):
            continue
        empty = _empty(block)
        if block.unread <= empty.keys() and all(p.rule in {*STALE, "net-shape"} for p in errors):
            edits = sorted(_edits(done, empty), key=lambda edit: edit.line)
            yield Offer(key, _why(empty, errors), tuple(edits))


def _waits(key: Key, failing: dict[Key, list[Problem]], references: References) -> bool:
    """Whether a block leans on one that fails, directly or through others."""
    seen, stack = {key}, [key]
    while stack:
        for other in references.leans_on(stack.pop()):
            if other not in seen:
                if other in failing:
                    return True
                seen.add(other)
                stack.append(other)
    return False


def _empty(block: Block) -> dict[str, Edit]:
    """The nets with nothing after their key: for each the key's line, as a change yet to come."""
    text = block.source.text
    found = {}
    for entry in read_fence(block.source, []):
        if entry.key in NETS and not text[entry.value_start : entry.value_end].strip():
            line, _ = block.source.place(entry.start)
            own = text[entry.start : entry.value_end].rstrip()
            found[entry.key] = Edit(line, own, own)
    return found


def _edits(done: Replay, empty: dict[str, Edit]) -> Iterator[Edit]:
    block = done.block
    for key, drawn, position in (
        ("before", block.before, done.before),
        ("after", block.after, done.after),
    ):
        if key in empty:
            rows = write_cross(position, block.scheme)
            own = empty[key]
            yield Edit(own.line, own.old, own.new, tuple(DEEPER + row for row in rows))
        elif drawn is not None:
            yield from _stale(drawn, position, block)


def _stale(drawn: Drawn, position: Position, block: Block) -> Iterator[Edit]:
    """The rows of a net that show something else than a position does, put right."""
    differing = compare(drawn.net, position, block.scheme)
    if differing is None:
        return
    compared = differing[2]
    for row, new in zip(drawn.net.rows, compared.found, strict=True):
        if row.text != new:
            line, _ = drawn.source.place(row.start)
            yield Edit(line, row.text.strip(), new.strip())


def _why(empty: dict[str, Edit], errors: list[Problem]) -> str:
    """What is written anew, and a warning where it may be the moves that are wrong."""
    stale = {problem.rule.removesuffix("-mismatch") for problem in errors if problem.rule in STALE}
    words = [
        f"`{key}` is {'empty' if key in empty else 'stale'}"
        for key in NETS
        if key in {*empty, *stale}
    ]
    doubt = any(problem.repairs for problem in errors)
    hint = "; or a slip in the moves: `sitegen check` shows which" if doubt else ""
    return ", ".join(words) + hint

"""`sitegen check --slips`: how many slips in the moves the pages' own statements would notice."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from sitegen.block.blind import Sight, sight
from sitegen.commands.main import wants_colour
from sitegen.notation.spell import names_in
from sitegen.report.person import Person
from sitegen.report.tame import tame
from sitegen.wording import counted

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from sitegen.block.blind import Unseen
    from sitegen.block.model import Block
    from sitegen.made import Made

WORST: Final = 5
"""How many blocks are shown with slips that they would let pass."""

SHOWN: Final = 3
"""How many such slips are shown of each."""


class BlockSight(NamedTuple):
    """A block, and what it would notice."""

    block: Block
    sight: Sight


class SlipsTried(NamedTuple):
    """What the blocks asked for would notice, and how many were left out: they do not hold."""

    seen: tuple[BlockSight, ...]
    unjudged: int


def try_slips(made: Made, within: Callable[[str], bool]) -> SlipsTried:
    """Try every slip on each block that has moves and holds.

    Args:
        made: the folder, judged.
        within: whether a file is asked for.
    """
    judged = made.verdicts
    amiss = judged.failed | judged.waiting.keys()
    seen = []
    unjudged = 0
    for key, block in made.blocks.items():
        if not within(block.file):
            continue
        if key in amiss:
            unjudged += 1
        elif block.moves and block.steps:
            setting = made.contexts[block.file].setting(block.n)
            seen.append(BlockSight(block, sight(made.replays[key], block.moves, setting)))
    return SlipsTried(tuple(seen), unjudged)


def slips_report(made: Made, within: Callable[[str], bool]) -> str:
    """What the pages would notice, for a person: a line a page, and the worst blocks.

    Args:
        made: the folder, judged.
        within: whether a file is asked for.
    """
    found = try_slips(made, within)
    pages: dict[str, list[Sight]] = {}
    for block, seen in found.seen:
        pages.setdefault(block.file, []).append(seen)
    lines = [f"{tame(file)}: {_noticed(sights)}" for file, sights in pages.items()]
    every = [seen.sight for seen in found.seen]
    lines.append(f"in all: {_noticed(every)}" if every else "no block that holds has moves")
    if found.unjudged:
        blocks = "1 block is" if found.unjudged == 1 else f"{found.unjudged} blocks are"
        lines.append(f"{blocks} left out: what does not hold, or waits, notices nothing yet")
    if any(names_in(block.phrases) for block, _ in found.seen):
        lines.append("each `{name}` is one sign here: slips in what it stands for are not tried")
    worst = sorted(found.seen, key=lambda seen: -len(seen.sight.unseen))[:WORST]
    person = Person(lambda _file, _line: "", colour=wants_colour(sys.stdout))
    parts = ["\n".join(lines)]
    parts += ["\n".join(_block(seen, person)) for seen in worst if seen.sight.unseen]
    return "\n\n".join(parts)


def _block(seen: BlockSight, person: Person) -> Iterator[str]:
    block, unseen = seen.block, seen.sight.unseen
    name = f" [{tame(block.id)}]" if block.id else ""
    place = person.paint(f"{tame(block.file)}:{block.head.lines[0]}", "1")
    yield f"{place}{name}: {_noticed([seen.sight])}"
    for slip in _telling(unseen):
        yield f"      this would pass unseen ({slip.what}):"
        yield from person.changes(slip.changes)
    if len(unseen) > SHOWN:
        yield f"      and {len(unseen) - SHOWN} more"


def _telling(unseen: Iterable[Unseen]) -> list[Unseen]:
    """The slips to show: the likeliest of each kind first."""
    kinds: dict[str, int] = {}
    ranked = []
    for place, slip in enumerate(unseen):
        kinds[slip.what] = kinds.get(slip.what, 0) + 1
        ranked.append((kinds[slip.what], place, slip))
    return [slip for _, _, slip in sorted(ranked, key=lambda rank: rank[:2])[:SHOWN]]


def _noticed(sights: Iterable[Sight]) -> str:
    each = [*sights]
    tried, left = sum(s.tried for s in each), sum(s.left for s in each)
    noticed = sum(s.noticed for s in each)
    cut = f"; {left} more were not tried, for the time they take" if left else ""
    return f"{noticed} of {counted(tried, 'slip')} would be noticed{cut}"


def slips_value(made: Made, within: Callable[[str], bool]) -> dict[str, Any]:
    """What the pages would notice, ready for JSON, with every slip that would pass unseen.

    Args:
        made: the folder, judged.
        within: whether a file is asked for.
    """
    found = try_slips(made, within)
    return {
        "tried": sum(seen.sight.tried for seen in found.seen),
        "noticed": sum(seen.sight.noticed for seen in found.seen),
        "unjudged": found.unjudged,
        "blocks": [
            {
                "file": block.file,
                "line": block.head.lines[0],
                "block": block.id or None,
                "tried": seen.tried,
                "noticed": seen.noticed,
                "left": seen.left,
                "unseen": [
                    {
                        "slip": slip.what,
                        "lines": [
                            {"line": line.line, "old": line.old, "new": line.new}
                            for line in slip.changes
                        ],
                    }
                    for slip in seen.unseen
                ],
            }
            for block, seen in found.seen
        ],
    }

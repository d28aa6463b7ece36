"""What does not hold in a replayed block, and whether the block could notice a slip at all."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from sitegen.block.model import Drawn, Spelt
from sitegen.cube.address import write_sticker
from sitegen.cube.facing import seen_otherwise
from sitegen.cube.measure import changed
from sitegen.cube.nearest import advice
from sitegen.cube.possible import broken_law
from sitegen.cube.textnet import compare, fits, write_cross
from sitegen.problem import Compared, Problem, Wrong
from sitegen.wording import counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.block.claims.claim import Stated
    from sitegen.block.model import Block
    from sitegen.block.replay import Replay
    from sitegen.cube.position import Position
    from sitegen.cube.textnet import Net
    from sitegen.problem import Source


FEW: Final = 2
"""Stickers of a net that may differ for the drawing, not the moves, to be the likelier slip."""


def check(replay: Replay) -> list[Problem]:
    """All that does not hold in a replayed block, in the order of its keys in the reference."""
    block = replay.block
    problems = list(_impossible(block))
    if problems:
        return problems
    problems += _goal(replay)
    problems += _net(replay, block.before, replay.before, "before")
    problems += _net(replay, block.after, replay.after, "after")
    failed: list[tuple[Stated, Problem]] = []
    if block.check and not block.impossible:
        failed = [(c, p) for c in block.claims for p in _claim(replay, c, block.check)]
        problems += [problem for _, problem in failed]
    if problems and start_may_hold_moves(block):
        message = (
            f"{problems[0].message}; no moves stand in this block, and `from` goes on over lines: "
            "is `moves:` missing among them?"
        )
        return [replace(problems[0], message=message), *problems[1:]]
    is_alone = len(problems) == len(failed) == 1 and "check" not in block.unread
    if is_alone and (other := _other_number(replay, failed[0][0])):
        message = f"{problems[0].message}; where all else is right, it is `{other}`"
        return [replace(problems[0], message=message)]
    if drawing_is_likelier(block, problems):
        message = f"{problems[0].message}; every claim holds, so the drawing is the likelier slip"
        return [replace(problems[0], message=message)]
    return problems


def start_may_hold_moves(block: Block) -> bool:
    """Whether a line `moves:` may be missing, so that the moves stand in `from`."""
    setup = block.start if block.moves is None and "moves" not in block.unread else None
    return setup is not None and isinstance(setup.origin, Spelt) and len(setup.origin.phrases) > 1


def drawing_is_likelier(block: Block, problems: Sequence[Problem]) -> bool:
    """Whether a net is likelier wrong than the moves: it alone fails, and in few stickers."""
    compared = problems[0].compared if len(problems) == 1 and block.claims else None
    return compared is not None and 0 < sum(map(len, compared.marks)) <= FEW


def holds(replay: Replay) -> bool:
    """Whether all that a block states holds; that its drawn positions are possible is known."""
    block = replay.block
    if replay.goal and replay.goal.banks != replay.after.banks:
        return False
    for drawn, position in ((block.before, replay.before), (block.after, replay.after)):
        if drawn is not None and not fits(drawn.net, position):
            return False
    return all(claim.judge(replay.moment(claim.line)).holds for claim in block.claims)


def _impossible(block: Block) -> Iterator[Problem]:
    """Problems of drawn positions that no turns can reach, and of `impossible` said wrongly."""
    for given in (block.start, block.goal):
        if given is None or not isinstance(given.origin, Drawn):
            continue
        if given is block.start and "impossible" in block.unread:
            continue
        drawn = given.origin
        position = drawn.net.position(block.n)
        broken = broken_law(position, block.scheme)
        if given is block.start and block.impossible and block.impossible_at:
            said = block.impossible_at
            if broken and broken.reason == block.impossible:
                continue
            message = (
                f"this net is impossible, first for the reason `{broken.reason}`: "
                f"{broken.message}; say that reason, or mend the net"
                if broken
                else "this net is a position of the cube: turns lead to it from solved; take "
                "`impossible` out, or mend the net"
            )
            yield Problem.at(said, Wrong("impossible-position", message, *said.filled), block.id)
        elif broken:
            message = (
                f"no turns lead to this net ({broken.reason}): {broken.message}; "
                f"{advice(position, block.scheme)}; if the lesson is about it, say "
                f"`impossible: {broken.reason}`"
            )
            wrong = Wrong("impossible-position", message, *drawn.net.rows[0].line.span)
            yield Problem.at(drawn.source, wrong, block.id)


def _goal(replay: Replay) -> Iterator[Problem]:
    block, goal = replay.block, replay.goal
    if goal is None or block.goal is None:
        return
    differ = changed(goal, replay.after)
    if not differ:
        return
    found, expected = write_cross(replay.after, block.scheme), write_cross(goal, block.scheme)
    marks = tuple(
        tuple(i for i, (a, b) in enumerate(zip(one, other, strict=True)) if a != b)
        for one, other in zip(expected, found, strict=True)
    )
    drawn = block.goal.origin
    source = block.goal.source
    if isinstance(drawn, Drawn):
        span = next(row.line.span for row in drawn.net.rows if not differ.isdisjoint(row.stickers))
    else:
        span = source.filled
    differs = f"{counted(len(differ), 'sticker')} {'differs' if len(differ) == 1 else 'differ'}"
    message = f"the moves do not lead to this position: {differs} from it"
    compared = Compared(tuple(expected), tuple(found), marks)
    yield Problem.at(source, Wrong("to-mismatch", message, *span), block.id, compared)


def _net(replay: Replay, drawn: Drawn | None, position: Position, key: str) -> Iterator[Problem]:
    if drawn is None:
        return
    differing = compare(drawn.net, position, replay.block.scheme)
    if differing is None:
        return
    start, end, compared = differing
    number = sum(map(len, compared.marks))
    first = next(
        cell.sticker for cell in drawn.net.stated if position.colours[cell.sticker] != cell.colour
    )
    shown = replay.block.scheme.names[position.colours[first]]
    differ = "differs" if number == 1 else "differ"
    message = (
        f"{counted(number, 'sticker')} of this net {differ} from the position {key} the moves; "
        f"the first is `{write_sticker(first, position.n)}`, which shows {shown}"
        f"{seen_otherwise(drawn.net, position) or _when_it_is_so(replay, drawn.net)}"
    )
    wrong = Wrong(f"{key}-mismatch", message, start, end)
    yield Problem.at(drawn.source, wrong, replay.block.id, compared)


def _when_it_is_so(replay: Replay, net: Net) -> str:
    """What a message adds about a net that is right at another moment of the same moves; or ""."""
    block = replay.block
    last = len(block.phrases)
    line = next((line for line, now in enumerate(replay.positions()) if fits(net, now)), None)
    if line is None:
        return ""
    if 0 < line < last:
        return f"; the net shows the position after line {line} of them"
    key, given = ("before", block.before) if line == 0 else ("after", block.after)
    return f"; the net shows the position {key} them{'' if given else f': write it under `{key}`'}"


def _claim(replay: Replay, claim: Stated, source: Source) -> Iterator[Problem]:
    moment = replay.moment(claim.line)
    verdict = claim.judge(moment)
    if not verdict.holds:
        unnegated = re.sub(r"\bnot\s+", "", claim.text, count=1)
        message = f"`{claim.text}` does not hold"
        message += f": `{unnegated}` does" if verdict.refuted else f"; found: {verdict.found()}"
        if _is_meant_of_the_start(replay, claim):
            message += f"; before the moves it holds: `at first {claim.text}`"
        wrong = Wrong("check-failed", message, claim.start, claim.end)
        yield Problem.at(source, wrong, replay.block.id)


def _is_meant_of_the_start(replay: Replay, claim: Stated) -> bool:
    """Whether a claim about the end, which `to` gives whatever the moves are, holds at first."""
    if not replay.block.starts_from_goal:
        return False
    speaks_of_the_end = claim.line is None and claim.claim.about == "position"
    return speaks_of_the_end and claim.judge(replay.moment(0)).holds


def _other_number(replay: Replay, claim: Stated) -> str:
    """A claim that is a word and a number, with the one that holds; "" for any other."""
    number = claim.claim.right_number(replay.moment(claim.line))
    if number is None or claim.negated or _is_meant_of_the_start(replay, claim):
        return ""
    body = re.sub(r"^(\w+\s+)[0-9]+", rf"\g<1>{number}", claim.body)
    # `paired all` is no number
    return claim.text.removesuffix(claim.body) + body if body != claim.body else ""


def unchecked(block: Block, *, follows: bool) -> Problem | None:
    """The warning for a block with moves in which a wrong turn could not be noticed.

    Args:
        block: the block.
        follows: whether its `to` names a position that is worked out from where it ends.
    """
    if not block.steps or block.moves is None or _would_notice(block, follows=follows):
        return None
    if follows:
        lack = "what `to` names is worked out from where they end"
    elif block.starts_from_goal:
        lack = "what is stated speaks of the end alone, which `to` gives whatever the moves are"
    elif block.before or block.claims or block.after:
        lack = "what is stated does not depend on the moves"
    else:
        lack = "nothing is stated of it"
    # what `to` gives is the end, so there the beginning is what the moves decide
    more = "`before`, or an `at first` claim" if block.starts_from_goal else "`after`, or a claim"
    message = f"a wrong turn in these moves would not be noticed: {lack}; add {more}"
    source = block.moves.source
    first, last = block.moves.phrases[0].start, block.moves.phrases[0].end
    return Problem.at(source, Wrong("unchecked", message, first, last), block.id)


def _would_notice(block: Block, *, follows: bool) -> bool:
    backwards = block.starts_from_goal
    if block.goal and not backwards and not follows:
        return True
    moving = block.before if backwards else block.after
    if moving and moving.net.states_something:
        return True
    return any(_depends_on_moves(claim, block) for claim in block.claims)


def _depends_on_moves(claim: Stated, block: Block) -> bool:
    if claim.claim.about != "position":
        return True
    if claim.line is not None and 0 < claim.line < len(block.phrases):
        return True
    return (claim.line == 0) == block.starts_from_goal

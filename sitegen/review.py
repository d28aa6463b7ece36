"""Problems as a copy for review shows them: beside the block, at the top of the page, in a list."""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from sitegen.block.contrast import contrast
from sitegen.block.repair import REPAIRABLE
from sitegen.cube.scheme import in_words
from sitegen.draw.styles import STYLES
from sitegen.made import block_of
from sitegen.pages.figure import as_written, figure
from sitegen.pages.remarks import remark
from sitegen.pages.site import (
    Elsewhere,
    Failure,
    Figure,
    Mend,
    MendedLine,
    Part,
    Remark,
    Review,
    Reviewed,
    Shown,
    Trouble,
)
from sitegen.said import Plain

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from sitegen.block.replay import Replay
    from sitegen.made import Made
    from sitegen.pages.figure import Standpoint
    from sitegen.pages.listed import Listed
    from sitegen.pages.references import BlockKey
    from sitegen.problem import Change, Problem
    from sitegen.said import Say, Value

_CODE: Final = re.compile(r"`([^`\n]+)`")


def failure(key: BlockKey, made: Made, at: Standpoint) -> Failure | None:
    """A block as it is shown in a copy for review; None where nothing is wrong with it.

    Args:
        key: the block.
        made: the folder it is in.
        at: where it stands on its page.
    """
    judged = made.verdicts
    problems = judged.inside.get(key, ())
    waits_for = () if key in judged.failed else judged.waiting.get(key, ())
    if not problems and not waits_for:
        return None
    block, done = made.blocks[key], made.replays.get(key)
    errors = [problem for problem in problems if problem.severity == "error"]
    if done is None:
        n = 0 if "cube" in block.unread else block.n
        plain = Figure(id=at.anchor, number=at.number, title=block.title, n=n)
    else:
        plain = figure(done, at)
        is_judged = not waits_for and all(p.rule in REPAIRABLE for p in errors)
        plain = replace(plain, checked=_holding(done, at) if is_judged else ())
    return Failure(
        replace(plain, fold="open", source=as_written(block)),
        troubles(problems, lambda one: contrast_shown(one, done, at.say, letters=at.letters)),
        tuple(at.say(_place(other, made, key)) for other in waits_for),
    )


def _holding(done: Replay, at: Standpoint) -> tuple[Remark, ...]:
    """The claims of a judged block that hold."""
    scheme = in_words(done.block.scheme, at.say)
    return tuple(
        remark(claim.said(), scheme)
        for claim in done.block.claims
        if claim.judge(done.moment(claim.line)).holds
    )


def _place(key: BlockKey, made: Made, seen_from: BlockKey) -> Value:
    """Where a block stands, or what is wrong above all blocks, in words."""
    file, number = key
    of_page = "" if file == seen_from[0] else "_of_page"
    if number < 0:
        return Plain(f"review.line{of_page}", {"line": -number, "file": file})
    block = made.blocks[key]
    place: Value = Plain(f"review.block{of_page}", {"line": block.head.lines[0], "file": file})
    return Plain("review.named_block", {"block": place, "id": block.id}) if block.id else place


def troubles(
    problems: Iterable[Problem], shown: Callable[[Problem], tuple[Shown, ...]] = lambda _: ()
) -> tuple[Trouble, ...]:
    """Problems ready to be set; what mends a block is said at its first one.

    Args:
        problems: in the order in which they are told.
        shown: the pictures of one of them.
    """
    told: set[tuple[Mend, ...]] = set()
    found = []
    for problem in problems:
        mends = tuple(
            Mend(repair.slip, tuple(map(_line, repair.changes))) for repair in problem.repairs
        )
        found.append(
            Trouble(
                line=problem.line,
                rule=problem.rule,
                is_warning=problem.severity == "warning",
                message=tuple(_parts(problem.message)),
                contrast=shown(problem),
                mends=() if mends in told else mends,
            )
        )
        told.add(mends)
    return tuple(found)


def _line(change: Change) -> MendedLine:
    new, start, end = change.new, change.start, change.end
    return MendedLine(change.line, change.old, new[:start], new[start:end], new[end:])


def _parts(message: str) -> Iterable[Part]:
    """A message cut at its code spans."""
    for place, text in enumerate(_CODE.split(message)):
        if text:
            yield Part(text, place % 2 == 1)


def contrast_shown(
    problem: Problem, done: Replay | None, say: Say, *, letters: bool
) -> tuple[Shown, ...]:
    """What was expected and what was found, as pictures; none where nothing can be compared.

    Args:
        problem: what is wrong.
        done: the block it is in, if it is in one that could be replayed.
        say: says the theme's texts.
        letters: print the colours' letters on the stickers.
    """
    pictures = contrast(done, problem.rule, letters=letters) if done else None
    if done is None or pictures is None:
        return ()
    draw, scheme = STYLES["net"].draw, done.block.scheme
    return (
        Shown("expected", draw(pictures.expected, scheme, say)),
        Shown("found", draw(pictures.found, scheme, say)),
    )


def review(
    problems: Sequence[Problem], blocks: Iterable[BlockKey], pages: Mapping[str, Listed]
) -> Review:
    """What a copy for review has to show, page by page.

    Args:
        problems: all that is wrong.
        blocks: those that wait for others, failed ones among them.
        pages: the pages that the copy has.
    """
    counts = Counter(problem.file for problem in problems)
    failed = {block_of(problem, pages) for problem in problems if problem.severity == "error"}
    waiting = Counter(key[0] for key in blocks if key not in failed)
    reviewed = [
        Reviewed(page.entry, counts[file], waiting[file])
        for file, page in pages.items()
        if counts[file] or waiting[file]
    ]
    others: dict[str, list[Problem]] = {}
    for problem in problems:
        if problem.file not in pages:
            others.setdefault(problem.file, []).append(problem)
    elsewhere = (Elsewhere(file, troubles(told)) for file, told in others.items())
    return Review(tuple(reviewed), tuple(elsewhere))

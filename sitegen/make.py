"""THE MAIN PATH: a content folder read, its blocks replayed and judged.

A whole folder can be made at once, as `make` does it, or page by page, where only those pages are
judged together that lean on one another: what is found is the same.
"""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING

from msgspec.structs import replace

from sitegen.answers import fact_problems
from sitegen.block.blank import is_but_blank
from sitegen.block.check import check, unchecked
from sitegen.block.model import Reference
from sitegen.block.repair import REPAIRABLE, repairs
from sitegen.block.replay import Replay, replay
from sitegen.leaf import BrokenPage, PageReader
from sitegen.made import Made, lines_hung_on, with_waiting
from sitegen.pages.around import clash_problems
from sitegen.pages.course import course_problems
from sitegen.pages.folder import read_folder
from sitegen.pages.leaning import leanings, waiting_on
from sitegen.pages.links import link_problems, targets
from sitegen.pages.moved import moved_problems
from sitegen.pages.needs import needs_problems
from sitegen.pages.references import find_references, goals_following, replay_order
from sitegen.pages.settings import read_settings
from sitegen.problem import any_error

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping
    from pathlib import Path

    from sitegen.block.model import Block, Given
    from sitegen.cube.position import Position
    from sitegen.leaf import Leaf
    from sitegen.pages.folder import Folder
    from sitegen.pages.links import Targets
    from sitegen.pages.references import BlockKey, References
    from sitegen.pages.settings import Settings
    from sitegen.problem import Problem


def make(root: Path, progress: Callable[[int, int], None]) -> Made:
    """Read and judge a content folder, all at once.

    Args:
        root: the folder.
        progress: told how many pages are read, and of how many.

    Raises:
        OSError: the folder cannot be listed.
    """
    folder = read_folder(root)
    settings, wrong = read_settings(folder.settings or b"")
    read, leaves = PageReader(root), []
    for number, file in enumerate(folder.pages, 1):
        leaves.append(read(settings, file))
        progress(number, len(folder.pages))
    made = judge(folder, settings, leaves)
    known = targets(folder, settings, made.listed, lambda file: made.pages[file].targets)
    problems = in_order(
        [
            *made.problems,
            *wrong,
            *problems_of_all(folder, settings, known),
            *(problem for page in made.pages.values() for problem in link_problems(page, known)),
        ]
    )
    hung_on = chain.from_iterable(lines_hung_on(made).values())
    return replace(made, problems=with_waiting(problems, hung_on))


def problems_of_all(folder: Folder, settings: Settings, known: Targets) -> Iterator[Problem]:
    """What is wrong with a content folder that no page of it tells by itself.

    Args:
        folder: what it holds.
        settings: its settings.
        known: its pages, and what the program writes beside them.
    """
    yield from folder.problems
    yield from course_problems(settings, folder)
    yield from moved_problems(known.pages, folder.others)
    yield from needs_problems(known.pages)
    yield from clash_problems(known.ours, known.pages, folder.others)


def in_order(problems: Iterable[Problem]) -> list[Problem]:
    """Problems in the order in which they are told."""
    return sorted(problems, key=lambda p: (p.file, p.line, p.column, p.rule, p.message))


def judge(folder: Folder, settings: Settings, leaves: Iterable[Leaf | BrokenPage]) -> Made:
    """Replay the blocks of some pages, and judge them.

    Args:
        folder: what the content folder holds.
        settings: its settings.
        leaves: the pages, in order; with each of them all those that it leans on.
    """
    made = Made(folder, settings)
    problems: list[Problem] = []
    in_blocks: dict[BlockKey, list[Problem]] = {}
    broken: dict[str, BlockKey] = {}
    for leaf in leaves:
        problems += leaf.problems
        if isinstance(leaf, BrokenPage):
            broken[leaf.file] = leaf.file, -leaf.problems[0].line
            continue
        file = leaf.file
        made.pages[file], made.listed[file] = leaf.page, leaf.listed
        made.contexts[file], made.said[file] = leaf.context, leaf.said
        for number, (block, wrong) in enumerate(zip(leaf.blocks, leaf.in_blocks, strict=True)):
            made.blocks[file, number] = block
            in_blocks[file, number] = list(wrong)
    references = find_references(made.blocks, folder.page_set, made.pages, made.by_former_address)
    for key, unread in references.unread.items():
        block = made.blocks[key]
        lines = dict.fromkeys((*block.waits_for, *(broken[file] for file in unread)))
        made.blocks[key] = replace(block, waits_for=tuple(lines))
    for key, problem in references.problems:
        in_blocks[key].append(problem)
    # where blocks lead that fail or wait may not be where they are meant to
    failed = {key for key, wrong in in_blocks.items() if any_error(wrong)}
    waiting = {key for key, block in made.blocks.items() if block.waits_for}
    made = replace(
        made,
        references=references,
        leaning=leanings(made.blocks, references, failed | waiting),
        replays=_replays(made.blocks, references),
    )
    _judge_blocks(made, in_blocks, failed, waiting)
    problems += chain.from_iterable(in_blocks.values())
    problems += fact_problems(made, failed | waiting)
    return replace(made, problems=in_order(problems))


def _judge_blocks(
    made: Made,
    in_blocks: dict[BlockKey, list[Problem]],
    failed: set[BlockKey],
    waiting: set[BlockKey],
) -> None:
    """Judge the blocks that wait on no other.

    Args:
        made: the pages, their blocks replayed.
        in_blocks: what is wrong in each block; what is found joins it.
        failed: the blocks with an error; those found to have one join them.
        waiting: the blocks that wait; those that lean on one that fails join them.
    """
    following = goals_following(made.blocks, made.references)
    for key, leant_on in made.leaning.items():
        if any(other in failed or other in waiting for other in leant_on):
            waiting.add(key)
        done = made.replays.get(key)
        if done is None or key in waiting:
            continue
        wrong = check(done)
        # a repair takes the positions of other blocks as given; in `following` they would change
        is_legible = key not in failed or is_but_blank(made.blocks[key], in_blocks[key])
        if is_legible and key not in following:
            wrong = _with_repairs(done, wrong, made)
        if wrong:
            failed.add(key)
        in_blocks[key] += wrong
    for key, block in made.blocks.items():
        if key in failed or block.waits_for:
            continue
        if warning := unchecked(block, follows=key in following):
            in_blocks[key].append(warning)
    for key, count in waiting_on(failed, made.leaning).items():
        in_blocks[key] = [replace(problem, waiting=count) for problem in in_blocks[key]]


def _with_repairs(done: Replay, wrong: list[Problem], made: Made) -> list[Problem]:
    """The problems of a block, with changes to its moves that would mend those that moves can."""
    first = next((at for at, problem in enumerate(wrong) if problem.rule in REPAIRABLE), None)
    if first is None:
        return wrong
    found, stopped = repairs(done, made.contexts[done.block.file].setting(done.block.n))
    told = [replace(p, repairs=found) if p.rule in REPAIRABLE else p for p in wrong]
    if stopped:
        told[first] = replace(told[first], message=f"{told[first].message}; {stopped}")
    return told


def _replays(blocks: Mapping[BlockKey, Block], references: References) -> dict[BlockKey, Replay]:
    """Replay every block that can be; what their `to` names is known once all of them are."""
    replays: dict[BlockKey, Replay] = {}
    for key in replay_order(blocks, references):
        block = blocks[key]
        if block.can_be_replayed:
            start = _position_of(block.start, references.start.get(key), replays)
            goal = _position_of(block.goal, references.goal.get(key), replays)
            done = replay(block, start, goal)
            if done is not None:
                replays[key] = done
    for key, other in references.goal.items():
        if key in replays:
            goal = _position_of(blocks[key].goal, other, replays)
            replays[key] = replace(replays[key], goal=goal)
    return replays


def _position_of(
    given: Given | None, other: BlockKey | None, replays: Mapping[BlockKey, Replay]
) -> Position | None:
    """The position that a `from` or a `to` refers to: where another block began, or ended."""
    done = replays.get(other) if other else None
    if done is None or given is None or not isinstance(given.origin, Reference):
        return None
    return done.before if given.origin.at_start else done.after

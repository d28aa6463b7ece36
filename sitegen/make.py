"""THE MAIN PATH: a content folder read, its blocks replayed and judged.

A whole folder can be made at once, as `make` does it, or page by page, where only those pages are
judged together that lean on one another: what is found is the same.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from sitegen.block.blank import is_but_blank
from sitegen.block.check import check, unchecked
from sitegen.block.facts import FACTS, Unanswered
from sitegen.block.repair import REPAIRABLE, repairs
from sitegen.block.replay import Replay, replay
from sitegen.leaf import PageReader
from sitegen.pages.around import clash_problems
from sitegen.pages.course import course_problems
from sitegen.pages.folder import read_folder
from sitegen.pages.leaning import leanings, waiting_on
from sitegen.pages.links import link_problems, targets
from sitegen.pages.moved import moved_problems
from sitegen.pages.page_names import Near, candidates, page_named
from sitegen.pages.references import (
    BlockKey,
    References,
    find_references,
    goals_following,
    look_for_page,
    no_block,
    replay_order,
)
from sitegen.pages.settings import Settings, read_settings
from sitegen.problem import Problem, Wrong, any_error
from sitegen.verdicts import lines_hung_on, verdicts, with_waiting

if TYPE_CHECKING:
    from collections.abc import Callable, Container, Iterable, Iterator, Mapping
    from pathlib import Path

    from sitegen.block.model import Block, Context, Given
    from sitegen.cube.position import Position
    from sitegen.leaf import Leaf
    from sitegen.pages.folder import Folder
    from sitegen.pages.links import Targets
    from sitegen.pages.listed import Listed
    from sitegen.pages.page import Page
    from sitegen.pages.prose import FactAsked, ReadSpan
    from sitegen.told import Value


class Made(Struct):
    """A content folder, or some pages of it, read and judged.

    Attributes:
        folder: what it holds.
        settings: its settings.
        pages: the pages that could be read, by file, in order.
        listed: the same pages, as others know them.
        contexts: what each page gives its blocks.
        blocks: the blocks.
        said: what each code span of a page is, in the order of the page's spans.
        references: where the blocks' references lead.
        leaning: for each block, in the order of judging, those that it waits for where they fail.
        replays: the blocks that could be replayed.
        answers: what the prose was told of them so far, by block and question.
        problems: all that is wrong, in order.
    """

    folder: Folder
    settings: Settings
    pages: dict[str, Page] = field(default_factory=dict)
    listed: dict[str, Listed] = field(default_factory=dict)
    contexts: dict[str, Context] = field(default_factory=dict)
    blocks: dict[BlockKey, Block] = field(default_factory=dict)
    said: dict[str, tuple[ReadSpan, ...]] = field(default_factory=dict)
    references: References = field(default_factory=References)
    leaning: dict[BlockKey, list[BlockKey]] = field(default_factory=dict)
    replays: dict[BlockKey, Replay] = field(default_factory=dict)
    answers: dict[tuple[BlockKey, tuple[str, ...]], Value] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    @property
    def holds(self) -> bool:
        """Whether nothing is wrong; warnings are not wrong."""
        return not any_error(self.problems)

    @property
    def waiting(self) -> Mapping[BlockKey, tuple[BlockKey, ...]]:
        """The blocks that are not judged, failed ones among them, each with what it waits for."""
        return {} if self.holds else verdicts(self).waiting


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
    lines = (line for lines in lines_hung_on(made).values() for line in lines)
    made.problems = with_waiting(problems, lines)
    return made


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
    yield from clash_problems(known.ours, known.pages, folder.others)


def in_order(problems: Iterable[Problem]) -> list[Problem]:
    """Problems in the order in which they are told."""
    return sorted(problems, key=lambda p: (p.file, p.line, p.column, p.rule, p.message))


def judge(folder: Folder, settings: Settings, leaves: Iterable[Leaf]) -> Made:
    """Replay the blocks of some pages, and judge them.

    Args:
        folder: what the content folder holds.
        settings: its settings.
        leaves: the pages, in order; with each of them all those that it leans on.
    """
    made = Made(folder, settings)
    in_blocks: dict[BlockKey, list[Problem]] = {}
    for leaf in leaves:
        _add_leaf(made, leaf, in_blocks)
    made.references = find_references(made.blocks, folder.page_set, made.pages)
    for key, problem in made.references.problems:
        in_blocks[key].append(problem)
    unjudged = _judge_blocks(made, in_blocks)
    made.problems += [p for problems in in_blocks.values() for p in problems]
    made.problems = in_order([*made.problems, *_fact_problems(made, unjudged)])
    return made


def _add_leaf(made: Made, leaf: Leaf, in_blocks: dict[BlockKey, list[Problem]]) -> None:
    file = leaf.file
    made.problems += leaf.problems
    if leaf.page is None or leaf.listed is None or leaf.context is None:
        return
    made.pages[file], made.listed[file], made.contexts[file] = leaf.page, leaf.listed, leaf.context
    made.said[file] = leaf.said
    for number, (block, wrong) in enumerate(zip(leaf.blocks, leaf.in_blocks, strict=True)):
        made.blocks[file, number] = block
        in_blocks[file, number] = list(wrong)


def _judge_blocks(made: Made, in_blocks: dict[BlockKey, list[Problem]]) -> set[BlockKey]:
    """Replay every block that can be, and judge those that wait on no other.

    Returns:
        the blocks that fail or wait: where they lead may not be where they are meant to.
    """
    failed = {key for key in made.blocks if any_error(in_blocks[key])}
    waiting = {key for key, block in made.blocks.items() if block.waits_for}
    _replay_blocks(made)
    made.leaning = leanings(made.blocks, made.references, failed | waiting)
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
    return failed | waiting


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


def _replay_blocks(made: Made) -> None:
    """Replay every block that can be; what their `to` names is known once all of them are."""
    references = made.references
    for key in replay_order(made.blocks, references):
        block = made.blocks[key]
        if block.can_be_replayed:
            start, goal = references.start.get(key), references.goal.get(key)
            done = replay(
                block, _position_of(block.start, start, made), _position_of(block.goal, goal, made)
            )
            if done is not None:
                made.replays[key] = done
    for key, other in references.goal.items():
        done = made.replays.get(key)
        if done is not None:
            made.replays[key] = replace(done, goal=_position_of(done.block.goal, other, made))


def _position_of(given: Given | None, other: BlockKey | None, made: Made) -> Position | None:
    """The position that a `from` or a `to` refers to: where another block began, or ended."""
    if given is None or other not in made.replays:
        return None
    done = made.replays[other]
    return done.before if getattr(given.origin, "at_start", False) else done.after


def _fact_problems(made: Made, unjudged: Container[BlockKey]) -> Iterable[Problem]:
    """Problems of facts: asked of a block that is not there, or unknown to every block."""
    some = cache(lambda: candidates(made.folder.page_set))
    for file, page_said in made.said.items():
        near = Near(file, some)
        for span, said in zip(made.pages[file].spans, page_said, strict=True):
            if said.asked is None:
                continue
            try:
                _answerable(made, file, said.asked, unjudged, near)
            except Wrong as wrong:
                yield span.problem(Wrong(wrong.rule, wrong.message, 0, len(span.text)))


def _answerable(
    made: Made, file: str, asked: FactAsked, unjudged: Container[BlockKey], near: Near
) -> None:
    """See that a fact has an answer, or may have one once the block that it is asked of is mended.

    Raises:
        Wrong: `reference` where there is no such block; `bad-value` where there is no such fact.
    """
    key = find_block(made, file, asked)
    if key in made.replays:
        try:
            fact(made, key, asked)
        except Unanswered:
            if key not in unjudged:
                raise
    elif key is None and asked.words[0] in FACTS:
        target = page_named(file, asked.page) if asked.page else file
        if asked.page:
            look_for_page(file, asked.page, made.folder.page_set, made.pages, near)
        if asked.id in made.pages[target].swallowed:
            return
        ids = made.pages[target].numbers
        raise Wrong("reference", no_block(asked.id, "" if target == file else target, ids))


def find_block(made: Made, file: str, asked: FactAsked) -> BlockKey | None:
    """The block that a fact is asked of; None where there is none, as for `#fff is grey`."""
    target = page_named(file, asked.page) if asked.page else file
    page = made.pages.get(target)
    if page is None:
        return None
    number = page.numbers.get(asked.id)
    return None if number is None else (target, number)


def fact(made: Made, key: BlockKey, asked: FactAsked) -> Value:
    """What a block that was replayed answers; worked out once, however often it is asked.

    Raises:
        Wrong: `bad-value` for a fact, or words after it, that nobody knows.
    """
    if asked.words[0] not in FACTS:
        known = ", ".join(f"`{name}`" for name in FACTS)
        raise Wrong("bad-value", f"`{asked.words[0]}` is no fact of a block; facts are {known}")
    question = key, asked.words
    if question not in made.answers:
        made.answers[question] = FACTS[asked.words[0]].answer(made.replays[key], asked.words[1:])
    return made.answers[question]

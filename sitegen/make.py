"""THE MAIN PATH: a content folder read, its blocks replayed and judged, its pages set."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final, Protocol
from urllib.parse import unquote

from sitegen.block.check import check, unchecked
from sitegen.block.facts import FACTS
from sitegen.block.keys import read_block
from sitegen.block.repair import REPAIRABLE, repairs
from sitegen.block.replay import Replay, replay
from sitegen.pages.around import Outline, anchors
from sitegen.pages.course import course_problems
from sitegen.pages.folder import read_folder, read_text
from sitegen.pages.moved import moved_problems
from sitegen.pages.page import LONGEST_PAGE, Page, is_outside, read_page
from sitegen.pages.prose import Said, read_span
from sitegen.pages.references import (
    Key,
    References,
    find_references,
    no_block,
    page_named,
    replay_order,
    waiting_on,
)
from sitegen.pages.settings import Settings, read_settings
from sitegen.problem import Problem, Wrong

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from pathlib import Path

    from sitegen.block.model import Block, Context, Given
    from sitegen.cube.position import Position
    from sitegen.pages.folder import Folder
    from sitegen.pages.prose import Asked


@dataclass
class Made:
    """A content folder, read and judged.

    Attributes:
        folder: what it holds.
        settings: its settings.
        pages: its pages by file, in order. Those that need not be read are here too, without
            their contents; what follows has nothing of them but `outlines`.
        contexts: what each page gives its blocks.
        blocks: its blocks.
        outlines: the same for each page, in order, as lists and reports know them.
        digests: for each page, the SHA-256 of its text.
        said: what each code span of a page is, in the order of the page's spans.
        references: where the blocks' references lead.
        replays: the blocks that could be replayed.
        problems: all that is wrong, in order.
    """

    folder: Folder
    settings: Settings
    pages: dict[str, Page] = field(default_factory=dict)
    contexts: dict[str, Context] = field(default_factory=dict)
    blocks: dict[Key, Block] = field(default_factory=dict)
    outlines: dict[str, tuple[Outline, ...]] = field(default_factory=dict)
    digests: dict[str, str] = field(default_factory=dict)
    said: dict[str, tuple[Said, ...]] = field(default_factory=dict)
    references: References = field(default_factory=References)
    replays: dict[Key, Replay] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    @property
    def holds(self) -> bool:
        """Whether nothing is wrong; warnings are not wrong."""
        return all(problem.severity != "error" for problem in self.problems)


class Recall(Protocol):
    """Knows of pages what an earlier build found, so that not every page has to be read."""

    def begin(self, made: Made) -> None:
        """Put the pages that need not be read, and their outlines, into `made`."""

    def more(self, made: Made) -> Sequence[str]:
        """The pages that must be read as well, now that some are; none when that is all."""


def make(root: Path, progress: Callable[[int, int], None], recall: Recall | None = None) -> Made:
    """Read and judge a content folder.

    Args:
        root: the folder.
        progress: told how many pages are read, and of how many.
        recall: what is known of its pages; without it all are read.

    Raises:
        OSError: the folder cannot be listed.
    """
    folder = read_folder(root)
    settings, wrong = read_settings(folder.settings or b"")
    made = Made(folder, settings, problems=[*folder.problems, *wrong])
    in_blocks: dict[Key, list[Problem]] = {}
    if recall:
        recall.begin(made)
    to_read: Sequence[str] = [file for file in folder.pages if file not in made.pages]
    while True:
        for number, file in enumerate(to_read, 1):
            made.pages.pop(file, None)
            _read_one(made, file, in_blocks)
            progress(number, len(to_read))
        _put_in_order(made)
        to_read = recall.more(made) if recall else ()
        if not to_read:
            break
    made.references = find_references(made.blocks, folder.pages)
    for key, problem in made.references.problems:
        in_blocks[key].append(problem)
    _judge(made, in_blocks)
    made.problems += [p for problems in in_blocks.values() for p in problems]
    made.problems += course_problems(settings, made.pages)
    made.problems += moved_problems(made.pages, made.folder.others)
    made.problems += _link_problems(made)
    made.problems += _fact_problems(made)
    made.problems.sort(key=lambda p: (p.file, p.line, p.column, p.rule, p.message))
    return made


def _put_in_order(made: Made) -> None:
    """Sort what was read in several rounds by page: what is told depends on who comes first."""
    pages = [file for file in made.folder.pages if file in made.pages]
    made.pages = {file: made.pages[file] for file in pages}
    made.said = {file: made.said[file] for file in pages if file in made.said}
    place = {file: number for number, file in enumerate(made.folder.pages)}
    made.blocks = dict(sorted(made.blocks.items(), key=lambda one: (place[one[0][0]], one[0][1])))


def _read_one(made: Made, file: str, in_blocks: dict[Key, list[Problem]]) -> None:
    """Read a page, its blocks and its prose."""
    settings = made.settings
    text, unreadable = read_text(made.folder.root, file, LONGEST_PAGE)
    if unreadable:
        made.problems += unreadable
        return
    page, problems = read_page(file, text, settings)
    made.problems += problems
    front = page.front
    context = replace(
        settings.context(),
        n=front.cube or settings.cube,
        lowercase=front.lowercase,
        sequences=front.sequences,
    )
    made.pages[file], made.contexts[file] = page, context
    made.digests[file] = hashlib.sha256(text.encode()).hexdigest()
    outlines = []
    for given in page.blocks:
        key = file, given.number
        block, wrong = read_block(given.number, given.id, given.head, given.body, context)
        made.blocks[key] = block
        in_blocks[key] = wrong
        outlines.append(Outline(block.id, block.n, bool(block.title), *block.lines))
    made.outlines[file] = tuple(outlines)
    said = []
    for span in page.spans:
        faults: list[Wrong] = []
        said.append(read_span(span.text, context, faults))
        made.problems += [span.problem(fault) for fault in faults]
    made.said[file] = tuple(said)


def _judge(made: Made, in_blocks: dict[Key, list[Problem]]) -> None:
    """Replay every block that can be, and judge those that wait on no other."""
    references = made.references
    failed = {key for key in made.blocks if any(p.severity == "error" for p in in_blocks[key])}
    waiting: set[Key] = set()
    for key in replay_order(made.blocks, references):
        leant_on = {*references.leans_on(key)} - {key}
        if leant_on & failed or leant_on & waiting:
            waiting.add(key)
        done = _replay(made.blocks[key], key, made)
        if done is None or key in waiting:
            continue
        wrong = check(done)
        if key not in failed:
            wrong = _with_repairs(done, wrong, made)
        if wrong:
            failed.add(key)
        in_blocks[key] += wrong
    for key, block in made.blocks.items():
        if key not in failed and (warning := unchecked(block)):
            in_blocks[key].append(warning)
    for key, count in waiting_on(failed, references).items():
        in_blocks[key] = [replace(problem, waiting=count) for problem in in_blocks[key]]


def _with_repairs(done: Replay, wrong: list[Problem], made: Made) -> list[Problem]:
    """The problems of a block, each that a change to the moves could mend with such changes."""
    if not any(problem.rule in REPAIRABLE for problem in wrong):
        return wrong
    found = repairs(done, made.contexts[done.block.file].setting(done.block.n))
    return [replace(p, repairs=found) if p.rule in REPAIRABLE else p for p in wrong]


def _replay(block: Block, key: Key, made: Made) -> Replay | None:
    if not block.can_be_replayed:
        return None
    start, goal = made.references.start.get(key), made.references.goal.get(key)
    own = goal == key and not block.starts_from_goal  # `to` names this block's own start or end
    done = replay(block, _stands(block.start, start, made), _stands(block.goal, goal, made))
    if done is not None:
        made.replays[key] = done
        if own:
            done = made.replays[key] = replace(done, goal=_stands(block.goal, key, made))
    return done


def _stands(given: Given | None, other: Key | None, made: Made) -> Position | None:
    """Where the block that a `from` or a `to` refers to stood, at the moment it is referred to."""
    if given is None or other not in made.replays:
        return None
    done = made.replays[other]
    return done.before if getattr(given.origin, "at_start", False) else done.after


_SHOWN_FROM_OUTSIDE: Final = (
    "`{}` is no file of the site, and its pages show nothing else; put the file into the content "
    "folder"
)


def _link_problems(made: Made) -> Iterable[Problem]:
    """Links to pages, files and headings that are not there."""
    published = {file: page for file, page in made.pages.items() if not page.front.draft}
    others: dict[str, frozenset[str] | None] = {
        **anchors(made.settings, published, made.outlines),
        **dict.fromkeys(made.folder.others),  # nobody reads what may be linked to in these
    }
    broken = set(made.folder.pages) - set(made.pages)  # told already
    for file, page in made.pages.items():
        for link in page.links:
            if is_outside(link.address):
                message = _SHOWN_FROM_OUTSIDE.format(link.address)
            else:
                message = _dead(file, link.address, made.pages, others, broken)
            if message:
                yield link.problem(message)
        for name, line, column in page.front.needs:
            if page_named(file, name) not in {**made.pages, **dict.fromkeys(broken)}:
                message = f"`needs` names `{name}`, and there is no such page"
                yield Problem(file, line, column, len(name), "link", message)


def _dead(
    file: str,
    address: str,
    pages: Mapping[str, Page],
    others: Mapping[str, frozenset[str] | None],
    broken: set[str],
) -> str:
    """Why a link leads nowhere; "" if it leads somewhere."""
    path, _, anchor = address.partition("#")
    path = path.partition("?")[0]
    target = page_named(file, path) if path else file
    if path.startswith("/"):
        return f"`{address}` begins with `/`; links are relative to the page, so the site can move"
    if target.startswith("../"):
        return f"`{address}` leads out of the content folder"
    if target in broken or target == ".":
        return ""
    if target in pages:
        here = pages[target]
        if here.front.draft and not pages[file].front.draft:
            return f"`{address}` leads to a draft, which is not published"
        known = here.anchors.union(here.figure_anchors)
        if anchor and unquote(anchor) not in known:
            return f"no heading and no block of `{target}` has the anchor `#{anchor}`"
        return ""
    as_page = target.removesuffix(".html") + ".md"
    if target.endswith(".html") and as_page in pages:
        return f"link to the page itself: `{path.removesuffix('.html')}.md`"
    if target in others:
        there = others[target]
        if anchor and there is not None and unquote(anchor) not in there:
            return f"`{target}` has no anchor `#{anchor}`"
        return ""
    return f"`{address}` leads nowhere: there is no file `{target}`"


def _fact_problems(made: Made) -> Iterable[Problem]:
    """Facts asked of blocks that are not there, or that know no such fact."""
    for file, page_said in made.said.items():
        for span, said in zip(made.pages[file].spans, page_said, strict=True):
            if said.asked is None:
                continue
            try:
                _answerable(made, file, said.asked)
            except Wrong as wrong:
                yield span.problem(Wrong(wrong.rule, wrong.message, 0, len(span.text)))


def _answerable(made: Made, file: str, asked: Asked) -> None:
    """See that a fact has an answer.

    Raises:
        Wrong: `reference` where there is no such block; `bad-value` where there is no such fact.
    """
    key = find_block(made, file, asked)
    if key in made.replays:
        fact(made.replays[key], asked)
    elif key is None and asked.words[0] in FACTS:
        target = page_named(file, asked.page) if asked.page else file
        if target not in made.pages:
            raise Wrong("reference", f"there is no page `{asked.page}`")
        ids = [block.id for block in made.pages[target].blocks if block.id]
        raise Wrong("reference", no_block(asked.id, "" if target == file else target, ids))


def find_block(made: Made, file: str, asked: Asked) -> Key | None:
    """The block that a fact is asked of; none is where `#fff is grey` asks for no fact at all."""
    target = page_named(file, asked.page) if asked.page else file
    page = made.pages.get(target)
    if page is None:
        return None
    return next(((target, b.number) for b in page.blocks if b.id == asked.id), None)


def fact(done: Replay, asked: Asked) -> str:
    """What a block answers.

    Raises:
        Wrong: `bad-value` for a fact, or words after it, that nobody knows.
    """
    if asked.words[0] not in FACTS:
        known = ", ".join(f"`{name}`" for name in FACTS)
        raise Wrong("bad-value", f"`{asked.words[0]}` is no fact of a block; facts are {known}")
    return FACTS[asked.words[0]].answer(done, asked.words[1:])

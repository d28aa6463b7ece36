"""What a preview shows of a judged folder: pages that hold as they are, others as they last held.

Both halves are folders ready to be set, so that a preview assembles a site as a build does.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeVar

from sitegen.pages.course import course_problems
from sitegen.pages.folder import FILE
from sitegen.verdicts import verdicts

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.block.model import Block, Context
    from sitegen.block.replay import Replay
    from sitegen.make import Made
    from sitegen.pages.around import Outline
    from sitegen.pages.page import Page
    from sitegen.pages.prose import Said
    from sitegen.pages.references import Key
    from sitegen.pages.settings import Settings
    from sitegen.verdicts import Verdicts


T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Held:
    """A page as it last held: all that is needed to set it again."""

    page: Page
    context: Context
    said: tuple[Said, ...]
    blocks: dict[Key, Block]
    outlines: tuple[Outline, ...]
    replays: dict[Key, Replay]
    starts: dict[Key, Key]
    goals: dict[Key, Key]


@dataclass
class Memory:
    """What held, so far.

    Attributes:
        pages: each page as it last held, by file.
        settings: the settings, as they could last be read; None if they never could.
    """

    pages: dict[str, Held] = field(default_factory=dict)
    settings: Settings | None = None


@dataclass(frozen=True, slots=True)
class Shown:
    """A judged folder, sorted into what is shown of it.

    Attributes:
        site: the folder as it is shown; nothing in it fails to be set.
        review: the pages that never held, to be set as a copy for review; the others' titles
            alone. None if there are no such pages.
        held_back: the pages shown as they last held.
        never_held: the pages that `review` shows.
        unread: the pages that never could be read, and cannot be shown at all.
        drafts: the pages that are no part of the published site.
        judged: the folder's problems, sorted.
    """

    site: Made
    review: Made | None
    held_back: frozenset[str]
    never_held: frozenset[str]
    unread: frozenset[str]
    drafts: frozenset[str]
    judged: Verdicts


def shown(made: Made, memory: Memory) -> Shown:
    """Sort a judged folder; what holds of it is kept in `memory`."""
    judged = verdicts(made)
    broken = _broken(made, judged)
    for file in made.pages.keys() - broken:
        memory.pages[file] = _held(made, file)
    if not _settings_amiss(made):
        memory.settings = made.settings
    pages: dict[str, Page] = {}
    site = replace(
        made,
        settings=memory.settings or made.settings,
        pages=pages,
        contexts=dict(made.contexts),
        said=dict(made.said),
        blocks=dict(made.blocks),
        outlines=dict(made.outlines),
        replays=dict(made.replays),
        references=replace(
            made.references, start=dict(made.references.start), goal=dict(made.references.goal)
        ),
    )
    for file in made.folder.pages:
        if file not in broken:
            pages[file] = made.pages[file]
        elif file in memory.pages:
            _put_back(memory.pages[file], site)
        elif file in made.pages:
            pages[file] = _title_alone(made.pages[file])
    drafts = frozenset(file for file, page in pages.items() if page.front.draft)
    never = frozenset(broken & made.pages.keys() - memory.pages.keys())
    site.pages = {file: _public(page) for file, page in pages.items()}
    return Shown(
        site,
        _review(made, never) if never else None,
        frozenset(broken & memory.pages.keys()),
        never,
        frozenset(broken - pages.keys()),
        drafts,
        judged,
    )


def _broken(made: Made, judged: Verdicts) -> set[str]:
    """The pages with an error, or with a block that waits for one elsewhere."""
    files = set(made.folder.pages)
    if _settings_amiss(made):  # every page may hang on what could not be read
        return files
    errors = {problem.file for problem in made.problems if problem.severity == "error"}
    waiting = {file for file, _ in judged.waiting}
    unplayed = {file for file, _ in made.blocks.keys() - made.replays.keys()}
    return files & (errors | waiting | unplayed | (files - made.pages.keys()))


def _settings_amiss(made: Made) -> bool:
    """Whether the settings could not be read whole; a course that misses a page is no matter."""
    courses = course_problems(made.settings, made.pages)
    return any(
        problem.file == FILE and problem.severity == "error" and problem not in courses
        for problem in made.problems
    )


def _held(made: Made, file: str) -> Held:
    keys = [(file, block.number) for block in made.pages[file].blocks]
    start, goal = made.references.start, made.references.goal
    return Held(
        made.pages[file],
        made.contexts[file],
        made.said[file],
        {key: made.blocks[key] for key in keys},
        made.outlines[file],
        {key: made.replays[key] for key in keys},
        {key: start[key] for key in keys if key in start},
        {key: goal[key] for key in keys if key in goal},
    )


def _put_back(held: Held, site: Made) -> None:
    """Let a page stand in a folder as it last held."""
    file = held.page.file
    _replace(site.blocks, file, held.blocks)
    _replace(site.replays, file, held.replays)
    _replace(site.references.start, file, held.starts)
    _replace(site.references.goal, file, held.goals)
    site.pages[file], site.said[file] = held.page, held.said
    site.contexts[file], site.outlines[file] = held.context, held.outlines


def _replace(kept: dict[Key, T], file: str, held: dict[Key, T]) -> None:
    for key in [key for key in kept if key[0] == file]:
        del kept[key]
    kept.update(held)


def _title_alone(page: Page) -> Page:
    """A page that others can list and link to, with nothing on it."""
    return replace(page, blocks=(), spans=(), body=())


def _public(page: Page) -> Page:
    """A draft as it would be published; a preview says of each draft that it is one."""
    return replace(page, front=replace(page.front, draft=False)) if page.front.draft else page


def _review(made: Made, never: Iterable[str]) -> Made:
    """The pages that never held, whole; the others' titles."""
    whole = set(never)
    pages = {
        file: _public(page if file in whole else _title_alone(page))
        for file, page in made.pages.items()
    }
    return replace(made, pages=pages)

"""What a preview shows of a folder: pages that hold as they are, others as they last held."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field

from sitegen.pages.course import course_problems
from sitegen.pages.files import SETTINGS_FILE

if TYPE_CHECKING:
    from sitegen.kept.making import State
    from sitegen.kept.rows import PageRow
    from sitegen.pages.settings import Settings


class LastHeld(Struct):
    """What held, so far.

    Attributes:
        pages: each page as it last held, by file.
        settings: the settings, as they could last be read; None if they never could.
    """

    pages: dict[str, PageRow] = field(default_factory=dict)
    settings: Settings | None = None


class ShownPages(Struct, frozen=True):
    """A judged folder, sorted into what is shown of it.

    Attributes:
        settings: the settings that it is shown with.
        rows: the pages that can be shown or listed, in order, drafts as if they were none.
        held_back: the pages shown as they last held.
        never_held: the pages that never held, to be shown as a copy for review shows them.
        unread: the pages that never could be read, or set, and cannot be shown at all.
        drafts: the pages that are no part of the published site.
    """

    settings: Settings
    rows: dict[str, PageRow]
    held_back: frozenset[str]
    never_held: frozenset[str]
    unread: frozenset[str]
    drafts: frozenset[str]


def pages_to_show(state: State, last_held: LastHeld) -> ShownPages:
    """Sort a judged folder; what holds of it is kept in `last_held`."""
    broken = _broken(state)
    for file, row in state.rows.items():
        if file not in broken:
            last_held.pages[file] = row
    if not _settings_amiss(state) or last_held.settings is None:
        last_held.settings = state.settings
    rows: dict[str, PageRow] = {}
    for file in state.folder.pages:
        if file in broken and file in last_held.pages:
            rows[file] = last_held.pages[file]
        elif file in state.rows:
            rows[file] = state.rows[file]
    never = frozenset(broken & state.rows.keys() - last_held.pages.keys())
    return ShownPages(
        last_held.settings,
        {file: _as_published(row) for file, row in rows.items()},
        frozenset(broken & last_held.pages.keys()),
        never,
        frozenset(broken - rows.keys()),
        frozenset(file for file, row in rows.items() if row.listed.draft),
    )


def _broken(state: State) -> set[str]:
    """The pages with an error, or not set: where a block waits, or the theme does not work."""
    files = set(state.folder.pages)
    if _settings_amiss(state):  # every page may hang on what could not be read
        return files
    errors = {problem.file for problem in state.problems if problem.severity == "error"}
    unset = {file for file, row in state.rows.items() if not row.stored_as}
    return files & (errors | unset)


def _settings_amiss(state: State) -> bool:
    """Whether the settings could not be read whole; a course that misses a page is no matter."""
    courses = {*course_problems(state.settings, state.folder)}
    return any(
        problem.file == SETTINGS_FILE and problem.severity == "error" and problem not in courses
        for problem in state.problems
    )


def _as_published(row: PageRow) -> PageRow:
    """A draft as it would be published; a preview says of each draft that it is one."""
    return row._replace(listed=row.listed._replace(draft=False)) if row.listed.draft else row

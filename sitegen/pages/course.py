"""The order of lessons: courses as `site.toml` lists them, and the pages that stand in none."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import Struct

from sitegen.pages.files import SETTINGS_FILE
from sitegen.pages.page_names import Near, candidates
from sitegen.pages.site import Course
from sitegen.problem import Problem
from sitegen.wording import some_of, with_odd_signs

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sitegen.pages.folder import Folder
    from sitegen.pages.listed import Listed
    from sitegen.pages.settings import Settings
    from sitegen.pages.site import Entry


class Standing(Struct, frozen=True):
    """Where a page stands: its course's title, and its neighbours there."""

    course: str
    previous: Entry | None
    next: Entry | None


HINTED: Final = 20
"""For how many names of no page the page is looked for that may be meant."""


def course_problems(settings: Settings, folder: Folder) -> list[Problem]:
    """Pages that a course lists and that are not there, or that are listed twice.

    Args:
        settings: the site's, with its courses.
        folder: what there is; of a page in it that cannot be read that is told already.
    """
    problems: list[Problem] = []
    seen: set[str] = set()
    listed = {name for course in settings.courses for name in course.pages}
    loose = [file for file in folder.pages if file not in listed]
    near = Near("", candidates(loose))
    for course in settings.courses:
        for name, (line, column, length) in zip(course.pages, course.at, strict=True):
            if name not in folder.page_set:
                # what is near is looked for among all others, so not for thousands of names
                is_hinted = loose and len(problems) < HINTED
                hint = (near(name) or f"; in no course yet: {some_of(loose)}") if is_hinted else ""
                message = f"the course `{course.title}` lists `{name}`, which is no page{hint}"
            elif name in seen:
                message = f"`{name}` is listed twice; a page stands in one course, once"
            else:
                seen.add(name)
                continue
            said = with_odd_signs(message, name)
            problems.append(Problem(SETTINGS_FILE, line, column, length, "settings", said))
    return problems


def courses(
    settings: Settings, pages: Mapping[str, Listed]
) -> tuple[tuple[Course, ...], dict[str, Standing]]:
    """The courses of these pages, and where each page stands.

    Pages in no course come last, in the order of their files, in a course of no title; they have
    no neighbours.
    """
    made: list[Course] = []
    standing: dict[str, Standing] = {}
    for listed in settings.courses:
        files = [
            file for file in dict.fromkeys(listed.pages) if file in pages and file not in standing
        ]
        entries = [pages[file].entry for file in files]
        made.append(Course(listed.title, listed.summary, tuple(entries)))
        around = [None, *entries, None]
        for i, file in enumerate(files):
            standing[file] = Standing(listed.title, around[i], around[i + 2])
    loose = [file for file in pages if file not in standing]
    if loose:
        made.append(Course("", "", tuple(pages[file].entry for file in loose)))
        standing |= {file: Standing("", None, None) for file in loose}
    return tuple(made), standing

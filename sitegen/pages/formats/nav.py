"""The margin of a page: where it stands in its course, and what stands near."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sitegen.pages.site import Course, Entry

NEIGHBOURS: Final = 8
"""Lessons listed in a page's margin on each side of it; a course may hold thousands."""


class Nav(Struct, frozen=True):
    """Where a page stands, for its margin.

    Attributes:
        course: the course it belongs to.
        course_number: that course's place among the site's, from 1.
        number: the page's place in it, from 1.
        first: the place of the first page listed, from 1.
        pages: the page with its neighbours.
        left_before: how many pages of the course stand before these.
        left_after: how many stand after.
        others: the courses near this one that have a page, each with its number.
    """

    course: Course
    course_number: int
    number: int
    first: int
    pages: Sequence[Entry]
    left_before: int
    left_after: int
    others: tuple[tuple[int, Course], ...]


def places(courses: Sequence[Course]) -> dict[str, tuple[int, int]]:
    """For each address, the place of its course and its own place there, both from 0."""
    return {
        entry.address: (number, place)
        for number, course in reversed(tuple(enumerate(courses)))
        for place, entry in enumerate(course.pages)
    }


def nav(courses: Sequence[Course], number: int, place: int) -> Nav:
    """The margin of a page, by its course's place and its own, both from 0."""
    course = courses[number]
    first, last = _places_near(place, len(course.pages))
    low, high = _places_near(number, len(courses))
    return Nav(
        course=course,
        course_number=number + 1,
        number=place + 1,
        first=first + 1,
        pages=course.pages[first:last],
        left_before=first,
        left_after=len(course.pages) - last,
        others=tuple(
            (i + 1, courses[i]) for i in range(low, high) if i != number and courses[i].pages
        ),
    )


def shown_in_margin(courses: Sequence[Course], number: int, place: int) -> object:
    """What the default theme shows in a page's margin, as a value to be compared."""
    found = nav(courses, number, place)
    around = found.course.pages[max(0, place - 1) : place + 2]  # previous and next, if it has any
    others = tuple((i, course.title) for i, course in found.others)
    same = found.course_number, found.number, found.first, found.left_before, found.left_after
    return found.course.title, same, found.pages, around, others


def _places_near(place: int, count: int) -> tuple[int, int]:
    """First and last (not included) of the places near one of `count`; as many near an end."""
    first = max(0, min(place - NEIGHBOURS, count - 2 * NEIGHBOURS - 1))
    return first, min(count, first + 2 * NEIGHBOURS + 1)

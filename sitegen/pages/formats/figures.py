"""The figures of the site as small pictures, course by course; and as cards, to be cut out."""

from __future__ import annotations

from collections import Counter
from itertools import groupby
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from sitegen.pages.formats.cut import sheets

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from sitegen.pages.formats.html import Html
    from sitegen.pages.site import Course, Entry, Extract, Extracts, Plate, Site

LONGEST_MOVES: Final = 90
"""Words of moves that a card has room for; longer ones are left to the lesson."""

MANY_MOVES: Final = 36
"""Words from which they are printed smaller."""


class Hung(NamedTuple):
    """A figure, and the page it is on.

    Attributes:
        entry: the page.
        plate: the figure.
        place: which of the page's figures it is, from 0.
        svg: its picture, once that is needed.
    """

    entry: Entry
    plate: Plate
    place: int
    svg: str = ""

    @property
    def length(self) -> str:
        """How much room its moves take on a card: `few`, `many`, or `none` are printed."""
        count = len(self.plate.words)
        return "few" if count <= MANY_MOVES else "many" if count <= LONGEST_MOVES else "none"


class Listed(NamedTuple):
    """A course that has figures: its place among the site's, from 1, and how many of which cube."""

    number: int
    course: Course
    address: str
    sizes: tuple[tuple[int, int], ...]


def figures(html: Html, site: Site, extracts: Extracts) -> Iterator[tuple[str, bytes]]:
    """Every figure that has a title: a page a course, grouped by cube."""
    by_course = _by_course(site, extracts)
    titled = {
        number: [one for one in hung if one.plate.title] for number, hung in by_course.items()
    }
    yield from _lists(html, site, titled, "figures", extracts.pictures)


def cards(html: Html, site: Site, extracts: Extracts) -> Iterator[tuple[str, bytes]]:
    """Every figure as a card, eight to a sheet of paper."""
    yield from _lists(html, site, _by_course(site, extracts), "cards", extracts.pictures)


def _by_course(site: Site, extracts: Sequence[Extract]) -> dict[int, list[Hung]]:
    """The figures of each course, by its place from 1, in the order of cubes, then of pages."""
    plates = {one.entry.address: one.plates for one in extracts}
    found = {
        number: [
            Hung(entry, plate, place)
            for entry in course.pages
            for place, plate in enumerate(plates.get(entry.address, ()))
        ]
        for number, course in enumerate(site.courses, 1)
    }
    return {number: sorted(hung, key=_size) for number, hung in found.items()}


def _size(hung: Hung) -> int:
    return hung.plate.n


def _lists(
    html: Html,
    site: Site,
    by_course: dict[int, list[Hung]],
    name: str,
    pictures: Callable[[str], tuple[str, ...]],
) -> Iterator[tuple[str, bytes]]:
    """A page of all courses, and the pages of each."""
    listed = []
    for number, hung in by_course.items():
        if not hung:
            continue
        address = f"{name}/course-{number}.html"
        course = site.courses[number - 1]
        listed.append(Listed(number, course, address, _sizes(hung)))
        for sheet in sheets(list(_with_pictures(hung, pictures)), address):
            groups = [(n, list(group)) for n, group in groupby(sheet.items, _size)]
            values: dict[str, Any] = {"course": course, "sheet": sheet, "groups": groups}
            yield sheet.address, html.beside(f"{name}_of_course.html", sheet.address, **values)
    if listed:
        yield f"{name}.html", html.beside(f"{name}.html", f"{name}.html", listed=listed)


def _with_pictures(
    hung: Sequence[Hung], pictures: Callable[[str], tuple[str, ...]]
) -> Iterator[Hung]:
    found = {address: pictures(address) for address in {one.entry.address for one in hung}}
    for one in hung:
        yield one._replace(svg=found[one.entry.address][one.place])


def _sizes(hung: Sequence[Hung]) -> tuple[tuple[int, int], ...]:
    return tuple(sorted(Counter(map(_size, hung)).items()))

"""The figures of the site as small pictures, course by course; and as cards, to be cut out."""

from __future__ import annotations

from collections import Counter
from functools import lru_cache, partial
from itertools import groupby
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.pages.sheets import sheets

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from sitegen.pages.formats.html import Html
    from sitegen.pages.formats.table import Chunks
    from sitegen.pages.sheets import Sheet
    from sitegen.pages.site import Course, Entry, Extracts, FigureKind, Plate, Site

LONGEST_MOVES: Final = 90
"""Turns that a card has room for; longer moves are left to the lesson."""

MANY_MOVES: Final = 36
"""Turns from which they are printed smaller."""

LONGEST_TURN: Final = 6
"""Letters that take up the room of a turn, or of as many turns as there are times so many."""


class FigurePlace(NamedTuple):
    """Where a figure is found: its page, and which of that page's figures it is, from 0."""

    entry: Entry
    place: int
    n: int


class PlacedFigure(NamedTuple):
    """A figure, and the page it is on."""

    entry: Entry
    plate: Plate

    @property
    def length(self) -> str:
        """How much room its moves take on a card: `few`, `many`, or `none` are printed.

        A card lies on a table far from its lesson, so what names in the moves stand for is on it.
        """
        named = self.plate.named
        words = [*self.plate.words, *(word for one in named for word in one.words)]
        texts = [*(word.text for word in words), *(one.name for one in named)]
        count = sum(1 + len(text) // LONGEST_TURN for text in texts)
        return "few" if count <= MANY_MOVES else "many" if count <= LONGEST_MOVES else "none"


class CourseFigures(NamedTuple):
    """A course that has figures, where these stand, and how many there are of which cube."""

    course: Course
    address: str
    sizes: tuple[tuple[int, int], ...]


def figures(html: Html, site: Site, extracts: Extracts) -> Iterator[tuple[str, Chunks]]:
    """Every figure that has a title: a page a course, grouped by cube."""
    yield from _lists(html, site, extracts, "figures", only_titled=True)


def cards(html: Html, site: Site, extracts: Extracts) -> Iterator[tuple[str, Chunks]]:
    """Every figure as a card, eight to a sheet of paper."""
    yield from _lists(html, site, extracts, "cards", only_titled=False)


def _lists(
    html: Html, site: Site, extracts: Extracts, name: str, *, only_titled: bool
) -> Iterator[tuple[str, Chunks]]:
    """A page of all courses, and the pages of each."""
    kinds = {one.entry.address: one.figures for one in extracts}
    listed = []
    for number, course in enumerate(site.courses, 1):
        found = _places(course, kinds, only_titled=only_titled)
        if not found:
            continue
        address = f"{name}/course-{number}.html"
        sizes = sorted(Counter(one.n for one in found).items())
        listed.append(CourseFigures(course, address, tuple(sizes)))
        for sheet in sheets(found, address):
            template = f"{name}_of_course.html"
            yield sheet.address, [partial(_set_sheet, html, template, course, sheet, extracts)]
    if listed:
        yield (
            f"{name}.html",
            [partial(html.page_beside, f"{name}.html", f"{name}.html", listed=listed)],
        )


def _set_sheet(
    html: Html, template: str, course: Course, sheet: Sheet[FigurePlace], extracts: Extracts
) -> bytes:
    hung = groupby(_figures_at(sheet.items, extracts), lambda one: one.plate.n)
    groups = [(n, list(group)) for n, group in hung]
    return html.page_beside(template, sheet.address, course=course, sheet=sheet, groups=groups)


def _places(
    course: Course, kinds: Mapping[str, Sequence[FigureKind]], *, only_titled: bool
) -> list[FigurePlace]:
    """The figures of a course in the order of cubes, then of pages."""
    found = [
        FigurePlace(entry, place, kind.n)
        for entry in course.pages
        for place, kind in enumerate(kinds.get(entry.address, ()))
        if kind.is_titled or not only_titled
    ]
    return sorted(found, key=lambda one: one.n)


def _figures_at(places: Sequence[FigurePlace], extracts: Extracts) -> Iterator[PlacedFigure]:
    """The figures themselves: those of a page stand one after another, cube by cube."""
    details = lru_cache(maxsize=1)(extracts.details)
    return (PlacedFigure(one.entry, details(one.entry.address).plates[one.place]) for one in places)

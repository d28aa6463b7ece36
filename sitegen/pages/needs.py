"""Pages to read first that need one another in a circle, so that none of them can be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.pages.page_names import page_named
from sitegen.problem import Problem
from sitegen.wording import in_circle, with_odd_signs

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from sitegen.pages.listed import Listed, PlacedName


def needs_problems(pages: Mapping[str, Listed]) -> Iterator[Problem]:
    """The circles of `needs`, each told once: at the name that leads back.

    Args:
        pages: all pages by their files, in order.
    """
    seen: set[str] = set()
    for first in pages:
        if first in seen:
            continue
        seen.add(first)
        way = [first]  # each page needs the next
        place = {first: 0}  # of each page on the way
        left = [_needed(first, pages)]  # of what each of them needs
        while left:
            step = next(left[-1], None)
            if step is None:
                left.pop()
                del place[way.pop()]
                continue
            at, needed = step
            if needed in place:
                yield _circle(way, place[needed], at)
            elif needed not in seen:
                seen.add(needed)
                place[needed] = len(way)
                way.append(needed)
                left.append(_needed(needed, pages))


def _needed(file: str, pages: Mapping[str, Listed]) -> Iterator[tuple[PlacedName, str]]:
    """What a page needs; a name that is told as none to be read first is left out."""
    for at in pages[file].needs:
        needed = page_named(file, at.name)
        if needed == file or needed not in pages:
            continue
        if pages[file].draft or not pages[needed].draft:
            yield at, needed


def _circle(way: list[str], first: int, at: PlacedName) -> Problem:
    """What is told of a circle.

    Args:
        way: pages, each of which needs the next.
        first: the place there of the page that the last of them needs.
        at: the name of that in what the last of them needs.
    """
    length = len(way) - first

    def name(turn: int) -> str:
        return f"`{way[-1] if turn in (0, length) else way[first + turn - 1]}`"

    message = (
        "a circle of `needs`, so none of these pages can be read first: "
        f"{in_circle(length, name, 'needs')}; take one of these names out"
    )
    said = with_odd_signs(message, at.name)
    return Problem(way[-1], at.line, at.column, len(at.name), "link", said)

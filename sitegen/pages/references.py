"""References led to the blocks that they name: dead ends, circles, the order of replaying."""

from __future__ import annotations

from collections import Counter
from functools import cache
from itertools import islice
from typing import TYPE_CHECKING, Final

from msgspec import Struct, field

from sitegen.block.model import Reference
from sitegen.cube.size import a_cube
from sitegen.pages.page_names import Near, candidates, page_asked
from sitegen.problem import Problem, Wrong
from sitegen.wording import begun_alike, in_circle, meant, some_of

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping
    from collections.abc import Set as AbstractSet

    from sitegen.block.model import Block, Given
    from sitegen.pages.page import Page

BlockKey = tuple[str, int]
"""A block: its page's file, and its number there. What blocks wait for may also be a line above all
blocks, at the top of a page or in `site.toml`, or the first for which a page cannot be read: the
file, and the line less than nothing."""

MOST_IDS: Final = 500
"""How many ids of a page are looked through for those to hold against one that is not there."""


class References(Struct):
    """Where the references of all blocks lead.

    Attributes:
        start: for each block whose `from` refers to another, that other.
        goal: for each block whose `to` does, that other.
        problems: references that lead nowhere, to another size of cube, or round in a circle.
        circle_of: for each block that stands in a circle, the circle's first block.
        lost: for each block whose reference leads to one that another took in, which is not closed,
            those others.
        unread: for each block whose reference leads to a page that could not be read, that page.
    """

    start: dict[BlockKey, BlockKey] = field(default_factory=dict)
    goal: dict[BlockKey, BlockKey] = field(default_factory=dict)
    problems: list[tuple[BlockKey, Problem]] = field(default_factory=list)
    circle_of: dict[BlockKey, BlockKey] = field(default_factory=dict)
    lost: dict[BlockKey, list[BlockKey]] = field(default_factory=dict)
    unread: dict[BlockKey, list[str]] = field(default_factory=dict)

    def leans_on(self, key: BlockKey) -> list[BlockKey]:
        """The blocks whose positions a block is worked out from or held against."""
        there = [there[key] for there in (self.start, self.goal) if key in there]
        return there + self.lost.get(key, [])


def find_references(
    blocks: Mapping[BlockKey, Block],
    pages: AbstractSet[str],
    read: Mapping[str, Page],
    former: Mapping[str, str],
) -> References:
    """Lead every reference to its block.

    Args:
        blocks: all blocks of all pages.
        pages: the files of all pages.
        read: those of them that could be read.
        former: the pages that were renamed, by the addresses they had, in small letters.
    """
    named: dict[str, dict[str, BlockKey]] = {}
    for key, block in blocks.items():
        if block.id:
            named.setdefault(block.file, {}).setdefault(block.id, key)
    found = References()
    some = candidates(pages)
    near = cache(lambda file: Near(file, some, former))
    for key, block in blocks.items():
        for given, table in ((block.start, found.start), (block.goal, found.goal)):
            if given is None or not isinstance(given.origin, Reference):
                continue
            try:
                page = look_for_page(block.file, given.origin.page, pages, near(block.file))
                if page not in read:
                    found.unread.setdefault(key, []).append(page)
                elif (unclosed := _taken_in_by(block, given.origin, read)) is not None:
                    found.lost.setdefault(key, []).append(unclosed)
                else:
                    table[key] = _block_named(block, given.origin, blocks, named)
            except Wrong as wrong:
                found.problems.append((key, _reference_problem(block, given, wrong.message)))
    _find_circles(blocks, found)
    return found


def _reference_problem(block: Block, given: Given, message: str) -> Problem:
    wrong = Wrong("reference", message, *given.source.filled)
    return Problem.at(given.source, wrong, block.id)


def _taken_in_by(block: Block, reference: Reference, read: Mapping[str, Page]) -> BlockKey | None:
    """The block that is not closed above the one that a reference leads to, and took it in."""
    if not reference.id:
        above = read[block.file].blocks[block.number - 1] if block.number else None
        return (block.file, above.number) if above and above.swallowed else None
    page = read[page_asked(block.file, reference.page)]
    if reference.id in page.numbers or reference.id not in page.swallowed:
        return None
    return page.file, page.swallowed[reference.id]


def _block_named(
    block: Block,
    reference: Reference,
    blocks: Mapping[BlockKey, Block],
    named: Mapping[str, Mapping[str, BlockKey]],
) -> BlockKey:
    if not reference.id:
        key = block.file, block.number - 1
        if block.number == 0:
            raise Wrong(
                "reference",
                "`last` is the block above, and this is the page's first; name a block by its id, "
                "or begin at `solved`",
            )
    else:
        file = page_asked(block.file, reference.page)
        here = named.get(file, {})
        if reference.id not in here:
            where = "" if file == block.file else file
            raise Wrong("reference", no_block(reference.id, where, here))
        key = here[reference.id]
    other = blocks[key]
    if "cube" not in other.unread | block.unread and other.n != block.n:
        raise Wrong(
            "reference",
            f"that block is on {a_cube(other.n)}, and this one on {a_cube(block.n)}; name a block "
            f"of {a_cube(block.n)}, or write `cube: {other.n}` in this one",
        )
    return key


def look_for_page(file: str, name: str, pages: AbstractSet[str], near: Near) -> str:
    """The page of which a block or a fact is asked; it may be one that could not be read.

    Args:
        file: the page that asks.
        name: the other, as written there; "" for the page itself.
        pages: the files of all pages.
        near: guesses which page was meant.

    Raises:
        Wrong: `reference`: there is no such page.
    """
    found = page_asked(file, name)
    if found not in pages:
        looked = f": no file `{found}`" if found != name else ""
        raise Wrong("reference", f"there is no page `{name}`{looked}{near(name)}")
    return found


def no_block(wanted: str, page: str, ids: Collection[str]) -> str:
    """The complaint that a page ("" for the same one) has no block of a name, and which it has."""
    some = begun_alike(wanted, sorted(islice(ids, MOST_IDS)))
    alike = (one for one in some if one.casefold() == wanted.casefold())
    near = next(alike, "") or meant(wanted, some, 0.7)
    if near:
        listed = f"did you mean `{near}`?"
    elif ids:
        listed = f"its ids are {some_of(ids)}"
    else:
        listed = "it has no ids; a block's id stands after `moves` in its first line"
    if not page and not near:
        listed += f"; a block of another page is named with it, as `page.md#{wanted}`"
    where = f"`{page}`" if page else "this page"
    return f"no block `{wanted}` stands on {where}; {listed}"


def _source_of(
    key: BlockKey, blocks: Mapping[BlockKey, Block], found: References
) -> BlockKey | None:
    """The block that must be replayed before this one can be."""
    return found.goal.get(key) if blocks[key].starts_from_goal else found.start.get(key)


def goals_following(blocks: Mapping[BlockKey, Block], found: References) -> set[BlockKey]:
    """The blocks whose `to` names a position that is worked out from where they end themselves.

    Other moves in such a block would change that position as well. What is worked out from a block
    is numbered right behind it, so that it is not looked for block by block.
    """
    asking = [key for key in found.goal if not blocks[key].starts_from_goal]
    order = replay_order(blocks, found) if asking else []
    stems: dict[BlockKey, BlockKey | None] = {}

    def stem(given: Given | None, other: BlockKey | None) -> BlockKey | None:
        """The block whose end decides a position that is referred to."""
        origin = given.origin if given else None
        at_start = isinstance(origin, Reference) and origin.at_start
        if other is not None and at_start and not blocks[other].starts_from_goal:
            return stems.get(other)
        return other

    for key in order:
        stems[key] = stem(blocks[key].basis, _source_of(key, blocks, found))
    size = dict.fromkeys(order, 1)
    for key, on in reversed(stems.items()):
        if on in size:
            size[on] += size[key]
    first: dict[BlockKey | None, int] = {}
    free: Counter[BlockKey | None] = Counter()
    for key, on in stems.items():
        where = on if on in size else None
        first[key] = free[where]
        free[where] += size[key]
        free[key] = first[key] + 1
    return {
        key
        for key in asking
        if key in first
        and (on := stem(blocks[key].goal, found.goal[key])) in first
        and first[key] <= first[on] < first[key] + size[key]
    }


def _find_circles(blocks: Mapping[BlockKey, Block], found: References) -> None:
    """Tell every block of a circle."""
    for path, onward in _walks(blocks, found, set()):
        if onward in path:
            _tell_circle(path[path.index(onward) :], blocks, found)


def _walks(
    blocks: Mapping[BlockKey, Block], found: References, seen: set[BlockKey]
) -> Iterator[tuple[list[BlockKey], BlockKey | None]]:
    """From each block to what it is worked out from, and on from there, up to what was seen.

    Each is worked out from one other at most, so the walks meet every block once.

    Yields:
        The blocks of a walk, and the one that comes next: seen in this walk or before, or None.
    """
    for first in blocks:
        path: list[BlockKey] = []
        at: BlockKey | None = first
        while at is not None and at not in seen:
            seen.add(at)
            path.append(at)
            at = _source_of(at, blocks, found)
        yield path, at


def _tell_circle(
    circle: list[BlockKey], blocks: Mapping[BlockKey, Block], found: References
) -> None:
    found.circle_of |= dict.fromkeys(circle, circle[0])
    for number, key in enumerate(circle):
        block = blocks[key]
        if block.basis is not None:
            message = (
                "a circle of references, so no position is known: "
                f"{_circle_from(number, circle, blocks)}; let one of them begin elsewhere"
            )
            found.problems.append((key, _reference_problem(block, block.basis, message)))


def _circle_from(number: int, circle: list[BlockKey], blocks: Mapping[BlockKey, Block]) -> str:
    """The blocks of a circle as one of them is told, which comes first."""
    file, length = circle[number][0], len(circle)

    def name(turn: int) -> str:
        return _name_in_message(blocks[circle[(number + turn) % length]], file)

    return in_circle(length, name, "leans on")


def _name_in_message(block: Block, file: str) -> str:
    page = "" if block.file == file else block.file
    if block.id:
        return f"`{page}#{block.id}`"
    return f"the block in line {block.head.lines[0]}{f' of {page}' if page else ''}"


def replay_order(blocks: Mapping[BlockKey, Block], found: References) -> list[BlockKey]:
    """All blocks that stand in no circle, each after the one that it is worked out from."""
    walks = _walks(blocks, found, set(found.circle_of))
    return [key for path, _ in walks for key in reversed(path)]

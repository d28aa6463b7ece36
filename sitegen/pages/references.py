"""Who leans on whom: references led to their blocks, dead ends, circles, and who waits on whom."""

from __future__ import annotations

import posixpath
import re
from collections import Counter
from functools import cache
from itertools import islice
from typing import TYPE_CHECKING, Final, TypeVar
from urllib.parse import unquote

from msgspec import Struct, field

from sitegen.block.model import Reference
from sitegen.cube.size import a_cube
from sitegen.problem import Problem, Wrong
from sitegen.wording import in_turn, meant, some_of

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Container, Iterable, Iterator, Mapping
    from collections.abc import Set as AbstractSet

    from sitegen.block.model import Block, Given

T = TypeVar("T")

BlockKey = tuple[str, int]
"""A block: its page's file, and its number there. What blocks wait for may also be a line above all
blocks, at the top of a page or in `site.toml`: the file, and the line less than nothing."""

MOST_SHOWN: Final = 12
"""How many blocks of a circle are named in a message: there may be thousands."""

MOST_IDS: Final = 40
"""How many ids of a page are held against one that is not there."""

MOST_COMPARED: Final = 200
"""How many names are looked through for one that may be meant."""

MOST_OFFERED: Final = 100
"""How many names of a page that are no page's are held against those that there are."""

_NO_LINK: Final = re.compile(r"[ %#?()<>]")
"""What means something else in a link than in the name of a file, or ends it."""

LONGEST_NAME: Final = 100
"""Characters of a name that is held against others, which takes the square of them."""


class References(Struct):
    """Where the references of all blocks lead.

    Attributes:
        start: for each block whose `from` refers to another, that other.
        goal: for each block whose `to` does, that other.
        problems: references that lead nowhere, to another size of cube, or round in a circle.
        circle_of: for each block that stands in a circle, the circle's first block.
    """

    start: dict[BlockKey, BlockKey] = field(default_factory=dict)
    goal: dict[BlockKey, BlockKey] = field(default_factory=dict)
    problems: list[tuple[BlockKey, Problem]] = field(default_factory=list)
    circle_of: dict[BlockKey, BlockKey] = field(default_factory=dict)

    def leans_on(self, key: BlockKey) -> list[BlockKey]:
        """The blocks whose positions a block is worked out from or held against."""
        return [there[key] for there in (self.start, self.goal) if key in there]


def page_named(file: str, name: str) -> str:
    """The page that a link written in `file` names, relative to the content folder.

    It may begin with `../` where the link leads out of the folder.
    """
    return posixpath.normpath(posixpath.join(posixpath.dirname(file), unquote(name)))


def link_to(target: str, file: str) -> str:
    """What a link of a page to a file is, as it can be written: with `%20` for a space."""
    path = posixpath.relpath(target, posixpath.dirname(file) or ".")
    return _NO_LINK.sub(lambda sign: f"%{ord(sign[0]):02X}", path)


def compared(pages: Iterable[str]) -> list[str]:
    """The pages that a name which is no page's is held against: the first of them."""
    return sorted(pages)[:MOST_COMPARED]


class Near:
    """Guesses which page a name that is no page's was meant for; `MOST_OFFERED` times."""

    def __init__(self, file: str, pages: Callable[[], Iterable[str]]) -> None:
        """Offer none yet.

        Args:
            file: the page.
            pages: those that names are held against, as `compared` gives them.
        """
        self._file, self._pages, self._left = file, pages, MOST_OFFERED

    def __call__(self, name: str) -> str:
        """For a message: the page that was probably meant, or ""."""
        if len(name) > LONGEST_NAME or not self._left:
            return ""
        self._left -= 1
        wanted = page_named(self._file, name).removesuffix(".md")
        stems = [page.removesuffix(".md") for page in self._pages()]
        # neither the ending, which all have, nor a folder that many lie in makes them alike
        last_parts = sorted({posixpath.basename(stem) for stem in stems})
        close = meant(posixpath.basename(wanted), last_parts)
        near = meant(wanted, [stem for stem in stems if posixpath.basename(stem) == close], 0)
        if not near:
            return ""
        # `site.toml`, of which no page asks, names pages as they are called
        named = link_to(f"{near}.md", self._file) if self._file else f"{near}.md"
        return f"; did you mean `{named}`?"


def find_references(
    blocks: Mapping[BlockKey, Block], pages: AbstractSet[str], read: Container[str]
) -> References:
    """Lead every reference to its block.

    Args:
        blocks: all blocks of all pages.
        pages: the files of all pages.
        read: those of them that could be read.
    """
    named: dict[str, dict[str, BlockKey]] = {}
    for key, block in blocks.items():
        if block.id:
            named.setdefault(block.file, {}).setdefault(block.id, key)
    found = References()
    some = cache(lambda: compared(pages))
    near = cache(lambda file: Near(file, some))
    for key, block in blocks.items():
        for given, table in ((block.start, found.start), (block.goal, found.goal)):
            if given is None or not isinstance(given.origin, Reference):
                continue
            try:
                if given.origin.page:
                    _look_for_page(block.file, given.origin.page, pages, read, near(block.file))
                table[key] = _block_named(block, given.origin, blocks, named)
            except Wrong as wrong:
                found.problems.append((key, _reference_problem(block, given, wrong.message)))
    _find_circles(blocks, found)
    return found


def _reference_problem(block: Block, given: Given, message: str) -> Problem:
    wrong = Wrong("reference", message, *given.source.filled)
    return Problem.at(given.source, wrong, block.id)


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
        file = page_named(block.file, reference.page) if reference.page else block.file
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


def _look_for_page(
    file: str, name: str, pages: AbstractSet[str], read: Container[str], near: Near
) -> None:
    """See that a page that a block names is there, and could be read."""
    found = page_named(file, name)
    if found not in pages:
        looked = f": no file `{found}`" if found != name else ""
        raise Wrong("reference", f"there is no page `{name}`{looked}{near(name)}")
    if found not in read:
        raise Wrong("reference", unread_page(name))


def unread_page(name: str) -> str:
    """The complaint that a page is there, and that nobody knows its blocks."""
    return f"`{name}` could not be read, so that nobody knows its blocks; mend that page first"


def no_block(wanted: str, page: str, ids: Collection[str]) -> str:
    """The complaint that a page ("" for the same one) has no block of a name, and which it has."""
    some = [*islice(ids, MOST_IDS)]
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
        at_start = given is not None and getattr(given.origin, "at_start", False)
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
    length = len(circle)
    for number, key in enumerate(circle):
        block = blocks[key]
        shown = range(length + 1) if length <= MOST_SHOWN else (0, 1, 2, length - 1, length)
        turn = [
            _name_in_message(blocks[circle[(number + at) % length]], block.file) for at in shown
        ]
        names = in_turn(turn[:3] if length > MOST_SHOWN else turn, "leans on")
        if length > MOST_SHOWN:
            before, itself = turn[3:]
            names += f", and so on through {length - 4} more to {before}, which leans on {itself}"
        if block.basis is not None:
            message = (
                f"a circle of references, so no position is known: {names}; "
                "let one of them begin elsewhere"
            )
            found.problems.append((key, _reference_problem(block, block.basis, message)))


def _name_in_message(block: Block, file: str) -> str:
    page = "" if block.file == file else block.file
    if block.id:
        return f"`{page}#{block.id}`"
    return f"the block in line {block.head.lines[0]}{f' of {page}' if page else ''}"


def replay_order(blocks: Mapping[BlockKey, Block], found: References) -> list[BlockKey]:
    """All blocks that stand in no circle, each after the one that it is worked out from."""
    walks = _walks(blocks, found, set(found.circle_of))
    return [key for path, _ in walks for key in reversed(path)]


def leanings(
    blocks: Mapping[BlockKey, Block], found: References, amiss: Container[BlockKey]
) -> dict[BlockKey, list[BlockKey]]:
    """For each block those that it waits for where they fail, in the order of judging.

    Args:
        blocks: all blocks.
        found: where their references lead.
        amiss: the blocks that failed before any was judged, or hang on lines above all blocks.
    """
    leaning: dict[BlockKey, list[BlockKey]] = {}
    for key in (*_judging_order(blocks, found), *found.circle_of):
        # where a `to` leads back to the block, this is judged before the other can be; a circle's
        # blocks, which are not judged, wait for all that they lean on
        leaning[key] = [
            other
            for other in dict.fromkeys(found.leans_on(key))
            if other != key and (other in leaning or other in amiss)
        ]
    return leaning


def _judging_order(blocks: Mapping[BlockKey, Block], found: References) -> list[BlockKey]:
    """All blocks that stand in no circle, each after those it leans on.

    A `to` may name a block that leans on this one in turn. Of such blocks, which are the components
    of what leans on what, each comes after the one that it is worked out from.
    """
    replayed = replay_order(blocks, found)
    rank = {key: number for number, key in enumerate(replayed)}
    order: list[BlockKey] = []
    for together in _components(replayed, found.leans_on, set(found.circle_of)):
        order += sorted(together, key=rank.__getitem__)
    return order


def _components(
    blocks: Collection[BlockKey],
    leans_on: Callable[[BlockKey], Iterable[BlockKey]],
    left_out: AbstractSet[BlockKey] = frozenset(),
) -> Iterator[list[BlockKey]]:
    """Blocks put together that lean on one another, each such after those that it leans on.

    Args:
        blocks: the blocks.
        leans_on: those that a block leans on directly.
        left_out: those that are not looked at.
    """
    leaners = leaners_of((key, leans_on(key)) for key in blocks)
    seen = set(left_out)
    ended = [key for first in blocks for key in reached(first, lambda k: leaners.get(k, ()), seen)]
    seen = set(left_out)
    for first in reversed(ended):
        if first not in seen:
            yield reached(first, leans_on, seen)


def leaners_of(leaning: Iterable[tuple[T, Iterable[T]]]) -> dict[T, list[T]]:
    """For each that something leans on, those that do so directly, in order."""
    leaners: dict[T, list[T]] = {}
    for one, others in leaning:
        for other in others:
            leaners.setdefault(other, []).append(one)
    return leaners


def reached(
    first: BlockKey, onward: Callable[[BlockKey], Iterable[BlockKey]], seen: set[BlockKey]
) -> list[BlockKey]:
    """All that is reached from a block and was not seen, each after what is reached from it."""
    order: list[BlockKey] = []
    stack = [(first, False)]
    while stack:
        key, left = stack.pop()
        if left:
            order.append(key)
        elif key not in seen:
            seen.add(key)
            stack.append((key, True))
            stack += [(other, False) for other in onward(key) if other not in seen]
    return order


def waiting_on(
    failed: Collection[BlockKey], leaning: Mapping[BlockKey, Iterable[BlockKey]]
) -> dict[BlockKey, int]:
    """For each failed block, how many others wait for it, directly or through others.

    Blocks that all wait for one another count as one. Where each of these leans on one other at
    most, as in every chain, the counts are sums; only below a block that leans on two has each
    failed block to look for itself.

    Args:
        failed: the blocks.
        leaning: for each block those that it waits for.
    """
    if not failed:
        return {}
    first_of = {
        key: together[0]
        for together in _components(leaning, lambda key: leaning.get(key, ()))
        for key in together
    }
    sizes = Counter(first_of.values())
    above: dict[BlockKey, set[BlockKey]] = {}
    for key, others in leaning.items():
        above.setdefault(first_of[key], set()).update(first_of[other] for other in others)
    for key, leant_on in above.items():
        leant_on.discard(key)
    below = leaners_of(above.items())
    counts = _summed(above, below, sizes)
    for first in {first_of[key] for key in failed} - counts.keys():
        seen: set[BlockKey] = set()
        counts[first] = sum(sizes[one] for one in reached(first, lambda k: below.get(k, ()), seen))
    return {key: counts[first_of[key]] - 1 for key in failed}


def _summed(
    above: Mapping[BlockKey, set[BlockKey]],
    below: Mapping[BlockKey, list[BlockKey]],
    sizes: Mapping[BlockKey, int],
) -> dict[BlockKey, int]:
    """For each block how many lean on it, itself counted, as sums of those of its leaners.

    Only where each that leans on it leans on no other: sums would count some twice elsewhere.
    """
    summed: dict[BlockKey, int] = {}
    open_below = {key: len(leaning) for key, leaning in below.items()}
    ready = [key for key in sizes if not open_below.get(key)]
    while ready:
        key = ready.pop()
        summed[key] = sizes[key] + sum(summed[other] for other in below.get(key, ()))
        parents = above.get(key, ())
        if len(parents) == 1:
            (parent,) = parents
            open_below[parent] -= 1
            if not open_below[parent]:
                ready.append(parent)
    return summed

"""The order in which blocks are judged, each after those it leans on; how many wait for each."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, TypeVar

from sitegen.pages.references import replay_order

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Container, Iterable, Iterator, Mapping
    from collections.abc import Set as AbstractSet

    from sitegen.block.model import Block
    from sitegen.pages.references import BlockKey, References

T = TypeVar("T")


def leanings(
    blocks: Mapping[BlockKey, Block], found: References, amiss: Container[BlockKey]
) -> dict[BlockKey, list[BlockKey]]:
    """For each block, in the order of judging, those that it waits for where they fail.

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
    """Leaning turned round: for each that is leant on, those that lean on it directly."""
    leaners: dict[T, list[T]] = {}
    for one, others in leaning:
        for other in others:
            leaners.setdefault(other, []).append(one)
    return leaners


def reached(first: T, onward: Callable[[T], Iterable[T]], seen: set[T]) -> list[T]:
    """All that is reached from one and was not seen, each after what is reached from it."""
    order: list[T] = []
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

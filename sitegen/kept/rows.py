"""What is kept of a page: what others see of it, whom it leans on, where it is stored when set."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import json

from sitegen.block.model import Reference
from sitegen.kept.snapshot import Stat, digest
from sitegen.pages.listed import Listed
from sitegen.pages.page_names import page_named

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sitegen.leaf import Leaf


class Tail(NamedTuple):
    """What is seldom asked for of a page.

    Attributes:
        targets: every `#...` that can be linked to on the page.
        links: where its links lead, each once, as written.
    """

    targets: frozenset[str]
    links: tuple[str, ...]


class PageRow(NamedTuple):
    """What is kept of a page that could be read.

    Attributes:
        stat: what the file system said of its file before that was read.
        text: the SHA-256 of its text.
        told: whether anything was told of it.
        face: what those who link to it have to know, digested.
        upstream: the other pages that its blocks lean on, and those its prose asks facts of.
        lends: what these other pages can lean on here, digested.
        stored_as: the name of the set page in the store; "" where it was not set.
        taken: a value of what the pages about the whole site take from it.
        listed: the page as others know it.
        tail: a `Tail`, as JSON has it: there are thousands, and few are looked into.
    """

    stat: Stat
    text: str
    told: bool
    face: str
    upstream: tuple[str, ...]
    lends: str
    stored_as: str
    taken: str
    listed: Listed
    tail: bytes


_LIGHT: Final = json.Decoder(
    list[tuple[Stat, str, bool, str, tuple[str, ...], str, str, str, Listed]]
)


def row(leaf: Leaf, stat: Stat) -> PageRow:
    """What is to be kept of a page that was read, and not yet judged.

    Args:
        leaf: the page.
        stat: what the file system said of its file before it was read.
    """
    targets = sorted(leaf.page.targets)
    links = list(dict.fromkeys(link.address for link in leaf.page.links))
    return PageRow(
        stat=stat,
        text=leaf.digest,
        told=False,
        face=digest(repr((leaf.listed.draft, targets, leaf.listed.former_addresses))),
        upstream=tuple(sorted(set(_upstream(leaf)) - {leaf.file})),
        lends=digest(repr(tuple(_lends(leaf)))),
        stored_as="",
        taken="",
        listed=leaf.listed,
        tail=json.encode((targets, links)),
    )


def tail_of(one: PageRow) -> Tail:
    """What is seldom asked for of a page."""
    targets, links = json.decode(one.tail)
    return Tail(frozenset(targets), tuple(links))


def _upstream(leaf: Leaf) -> Iterator[str]:
    for block in leaf.blocks:
        for given in (block.start, block.goal):
            if given and isinstance(given.origin, Reference) and given.origin.page:
                yield page_named(leaf.file, given.origin.page)
    for said in leaf.said:
        if said.asked and said.asked.page:
            yield page_named(leaf.file, said.asked.page)


def _lends(leaf: Leaf) -> Iterator[object]:
    """What blocks of other pages can see: what the blocks say, and what that is read with."""
    yield leaf.context.n, leaf.context.lowercase, dict(leaf.context.sequences.texts)
    yield dict(leaf.context.unread)
    for block in leaf.blocks:
        yield block.head.text, block.source.text


def to_json(rows: dict[str, PageRow]) -> bytes:
    """Rows as bytes: a line of JSON for all, without their tails, and a line for each tail."""
    light = json.encode([one[:-1] for one in rows.values()])
    return b"\n".join((light, *(one.tail for one in rows.values())))


def from_json(data: bytes) -> dict[str, PageRow]:
    """Rows as they were kept, by file.

    Raises:
        ValueError: they were not kept by this program.
    """
    light, *tails = data.split(b"\n")
    found = _LIGHT.decode(light)
    return {one[-1].file: PageRow(*one, tail) for one, tail in zip(found, tails, strict=True)}

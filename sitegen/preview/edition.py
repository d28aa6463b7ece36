"""One state of the site, as it is served: every address, and what is laid over its page."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from sitegen.preview.panel import Panel


@dataclass(frozen=True, slots=True)
class Copied:
    """A file of the author's that is served as it is.

    Attributes:
        path: where it is; read when it is asked for.
        stamp: when it was last written (nanoseconds) and its size (bytes).
    """

    path: Path
    stamp: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Item:
    """What stands at an address.

    Attributes:
        content: the file.
        panel: what is laid over it, for a page of the site; None for all else.
        since: the number of the edition in which it, or for a page anything that pages are
            shown with, last changed.
    """

    content: bytes | Copied
    panel: Panel | None
    since: int


@dataclass(frozen=True, slots=True)
class Edition:
    """One state of the site. It is never changed: the next one takes its place whole.

    Attributes:
        number: counted from 1; 0 before the first build is done.
        items: by address, relative to the site's root.
    """

    number: int = 0
    items: Mapping[str, Item] = field(default_factory=dict)


def next_edition(
    last: Edition, files: Mapping[str, bytes | Copied], panels: Mapping[str, Panel]
) -> Edition:
    """The edition that follows another; what is the same in both keeps its `since`.

    Args:
        last: the edition before it.
        files: every file of the site, by address.
        panels: what is laid over each page.
    """
    number = last.number + 1
    items: dict[str, Item] = {}
    shared = 0
    for address, content in files.items():
        item = Item(content, panels.get(address), number)
        before = last.items.get(address)
        if before and before.content == content and before.panel == item.panel:
            item = before
        items[address] = item
        if item.panel is None:
            shared = max(shared, item.since)
    gone = last.items.keys() - items.keys()
    if any(last.items[address].panel is None for address in gone):
        shared = number
    # a stylesheet or a picture may be part of any page
    for address, item in items.items():
        if item.panel is not None and item.since < shared:
            items[address] = Item(item.content, item.panel, shared)
    return Edition(number, items)

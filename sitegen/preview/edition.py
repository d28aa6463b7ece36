"""One state of the site, as it is served: every address, and what is laid over its page."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from sitegen.preview.panel import Panel


class Copied(Struct, frozen=True):
    """A file of the author's that is served as it is.

    Attributes:
        path: where it is; read when it is asked for.
        stamp: when it was last written (nanoseconds) and its size (bytes).
    """

    path: Path
    stamp: tuple[int, int]


class Later(Struct, frozen=True, eq=False):
    """A page that is put together when it is asked for.

    Attributes:
        source: a value that differs where anything does that it is made from.
        make: makes it.
    """

    source: str
    make: Callable[[], bytes]

    def __eq__(self, other: object) -> bool:
        """Whether it would be the same page."""
        return isinstance(other, Later) and self.source == other.source

    def __hash__(self) -> int:
        """The hash of its source, by which it is compared."""
        return hash(self.source)


Served = bytes | Copied | Later


class Rest:
    """The files about the whole site: there are many, and few are looked at between two changes."""

    def __init__(self, source: str, make: Callable[[], Mapping[str, bytes]]) -> None:
        """Make nothing yet.

        Args:
            source: a value that differs where anything does that they are made from.
            make: makes them all, by address.
        """
        self.source = source
        self._make = make
        self._files: Mapping[str, bytes] | None = None
        self._making = threading.Lock()

    @property
    def files(self) -> Mapping[str, bytes]:
        """The files by address, made when they are first asked for."""
        with self._making:
            if self._files is None:
                self._files = self._make()
            return self._files


class Item(Struct, frozen=True):
    """What stands at an address.

    Attributes:
        content: the file.
        panel: what is laid over it, for a page of the site; None for all else.
        since: the number of the edition in which it, or for a page anything that pages are
            shown with, last changed.
    """

    content: Served
    panel: Panel | None
    since: int


class Edition(Struct, frozen=True):
    """One state of the site. It is never changed: the next one takes its place whole.

    Attributes:
        number: counted from 1; 0 before the first build is done.
        items: by address, relative to the site's root.
        rest: the files about the whole site; an address above comes first.
        other: what is laid over the pages among these.
        since: the number of the edition in which these, or what they are shown with, last changed.
    """

    number: int = 0
    items: Mapping[str, Item] = field(default_factory=dict)
    rest: Rest = field(default_factory=lambda: Rest("", dict))
    other: Panel | None = None
    since: int = 0

    def find(self, address: str) -> Item | None:
        """What stands at an address, if anything does."""
        found = self.items.get(address)
        if found:
            return found
        data = self.rest.files.get(address)
        if data is None:
            return None
        return Item(data, self.other if address.endswith(".html") else None, self.since)


def next_edition(
    last: Edition,
    files: Mapping[str, Served],
    panels: Mapping[str, Panel],
    rest: Rest,
    other: Panel,
) -> Edition:
    """The edition that follows another; what is the same in both keeps its `since`.

    Args:
        last: the edition before it.
        files: every file of the site but the rest, by address.
        panels: what is laid over each page of these.
        rest: the files about the whole site.
        other: what is laid over the pages among them.
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
    is_same = last.rest.source == rest.source and last.other == other
    since = max(last.since if is_same else number, shared)
    return Edition(number, items, rest, other, since)

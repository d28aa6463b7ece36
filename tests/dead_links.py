"""Links of a built site that lead to no file of it, or to no element of a page."""

from __future__ import annotations

import posixpath
from html.parser import HTMLParser
from typing import TYPE_CHECKING
from urllib.parse import unquote, urlsplit

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


class _Page(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.ids: set[str] = set()
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        del tag
        self.links += [value for name, value in attrs if name in ("href", "src") and value]
        self.ids |= {value for name, value in attrs if name == "id" and value}


def dead_links(out: Path) -> Iterator[str]:
    """Every link that leads nowhere, with the page it stands on.

    Links of the page for wrong addresses, which name the site's folder on its server, are passed
    over. An empty fragment and `#top` lead to the top of any page (HTML, 7.4.6.3, from memory).

    Args:
        out: the site.
    """
    pages = {
        path.relative_to(out).as_posix(): _Page(path.read_text("utf-8"))
        for path in out.rglob("*.html")
    }
    for address, page in pages.items():
        for link in page.links:
            parts = urlsplit(link)
            if parts.scheme or parts.netloc or parts.path.startswith("/"):
                continue
            path = posixpath.join(posixpath.dirname(address), unquote(parts.path))
            target = posixpath.normpath(path) if parts.path else address
            anchors = {"", "top"} | (pages[target].ids if target in pages else set())
            if not (out / target).is_file() or unquote(parts.fragment) not in anchors:
                yield f"{address}: {link}"

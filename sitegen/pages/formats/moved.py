"""What stands at the old address of a page that was renamed: a page that leads on to it."""

from __future__ import annotations

import posixpath
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.pages.formats.html import Html
    from sitegen.pages.site import Extract, Site


def pages(html: Html, site: Site, extracts: Sequence[Extract]) -> Iterator[tuple[str, bytes]]:
    """A page for each old address; a copy for review has none, as they may be what is wrong."""
    if site.review is not None:
        return
    for one in extracts:
        for address in one.formerly:
            target = posixpath.relpath(one.entry.address, posixpath.dirname(address) or ".")
            yield address, html.page_beside("moved.html", address, entry=one.entry, target=target)

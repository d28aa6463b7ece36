"""The list of all lessons, the page for wrong addresses, and the list of what does not hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.pages.around import CONTENTS, NOT_FOUND

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.pages.formats.html import Html
    from sitegen.pages.site import Extract, Site


def pages(html: Html, site: Site, extracts: Sequence[Extract]) -> Iterator[tuple[str, bytes]]:
    """The list of lessons, as the front page where nobody wrote one; the others always."""
    counts = {one.entry.address: len(one.figures) for one in extracts}
    totals = [sum(counts[page.address] for page in course.pages) for course in site.courses]
    template = "contents.html" if html.contents == CONTENTS else "index.html"
    yield html.contents, html.page_beside(template, html.contents, counts=counts, totals=totals)
    yield NOT_FOUND, html.page_beside("not_found.html", "")
    if site.review:
        yield "failures.html", html.page_beside("failures.html", "failures.html")

"""What a site is published as beside its lessons: a row each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from sitegen.pages.formats import (
    contents,
    feed,
    figures,
    moved,
    pieces,
    search,
    sequences,
    sitemap,
)
from sitegen.pages.formats.html import Html
from sitegen.pages.site import Extracts, Site

Chunks = Sequence[Callable[[], bytes]]
"""The functions that make the parts of a file, in order; another process may call any of them."""

Content = bytes | Chunks
"""What a file holds; where making it is much work, its `Chunks`."""

Format = Callable[[Html, Site, Extracts], Iterator[tuple[str, Content]]]
"""From the theme, the site and what was taken from its pages, to addresses and content."""


def _theme(html: Html, _site: Site, _extracts: Extracts) -> Iterator[tuple[str, bytes]]:
    """The theme's files."""
    return html.assets.files()


FORMATS: Final[tuple[Format, ...]] = (
    _theme,
    contents.pages,
    figures.figures,
    figures.cards,
    pieces.pages,
    sequences.pages,
    search.files,
    feed.files,
    sitemap.files,
    moved.pages,
)
"""All of them are written by every build, where a site has anything for them."""

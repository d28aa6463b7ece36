"""The forms a site is published in: a row each."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from sitegen.pages.formats import html
from sitegen.pages.site import Lesson, Site

Format = Callable[[html.Html, Site, Callable[[], Iterator[Lesson]]], Iterator[tuple[str, bytes]]]
"""From the theme, the site and its lessons, made when asked for, to addresses and content."""

FORMATS: Final[dict[str, Format]] = {"html": html.pages}
"""By name. All of them are written by every build."""

"""Whole pages set in HTML with the theme: what is around a text, and pages beside the lessons."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final
from urllib.parse import urlsplit

from sitegen.pages.around import FRONT_PAGE, contents_at
from sitegen.pages.formats.assets import Assets
from sitegen.pages.formats.nav import nav, places
from sitegen.pages.formats.parts import Parts

if TYPE_CHECKING:
    from pathlib import Path

    from sitegen.pages.site import Lesson, Site

STYLESHEETS: Final = (
    "tokens.css",
    "layout.css",
    "figure.css",
    "pictures.css",
    "print.css",
    "own.css",
)
"""The stylesheets of every page, in the order in which they are linked."""

AROUND_STYLESHEET: Final = "around.css"
"""The stylesheet of the pages beside the lessons."""

REVIEW_STYLESHEET: Final = "failure.css"
"""The stylesheet that only a copy for review has."""


class Html(Parts):
    """A theme, ready to set the pages of a site."""

    def __init__(
        self, site: Site, own: Path | None, compiled: dict[str, bytes] | None = None
    ) -> None:
        """Load the templates.

        Args:
            site: the whole site, the same for every page.
            own: the folder of the site's own theme; it need not exist.
            compiled: as `Templates` takes it.

        Raises:
            ThemeError: an own template cannot be read.
        """
        super().__init__(site.lang, own, compiled)
        self.assets = Assets(self._own, site.scheme, () if site.review else (REVIEW_STYLESHEET,))
        self._templates.add_filter("asset", self.assets.address)
        self.set_site(site)
        self._templates.get("page.html")  # so that it is read before any page is set

    def set_site(self, site: Site) -> None:
        """Set pages of this site from now on.

        Args:
            site: of the same colours and language as before.
        """
        self._site = site
        self._places = places(site.courses)
        self.contents = contents_at(site.own)
        self._templates.add_globals(
            site=site, contents=self.contents, front=FRONT_PAGE, sheets=self._sheets()
        )

    def page(self, lesson: Lesson) -> str:
        """One lesson, whole.

        Raises:
            ThemeError: an own template does not work.
        """
        address = lesson.entry.address
        return self._templates.set(
            "page.html",
            **self._frame(address, lesson.lang, lesson.entry.summary),
            lesson=lesson,
            nav=nav(self._site.courses, *self._places[address]),
        )

    def page_beside(self, template: str, address: str, **values: object) -> bytes:
        """A page beside the lessons, whole.

        Args:
            template: the name of its template.
            address: where it is published; "" for one that is shown at any address: its links begin
                at the site's `url`, if that is set.
            values: what its template asks for.

        Raises:
            ThemeError: an own template does not work.
        """
        frame = self._frame(address, self._site.lang, self._site.summary)
        frame["sheets"] = self._sheets(AROUND_STYLESHEET)
        if not address and self._site.url:
            frame["root"] = f"{urlsplit(self._site.url).path.rstrip('/')}/"
        return self._templates.set(template, **frame, nav=None, **values).encode()

    def _sheets(self, *more: str) -> tuple[str, ...]:
        """The names of a page's stylesheets: the site's own comes last."""
        *ours, own = STYLESHEETS
        return (*ours, *more, *([REVIEW_STYLESHEET] if self._site.review else []), own)

    def _frame(self, address: str, lang: str, description: str) -> dict[str, object]:
        """What `base.html` asks for on every page."""
        return {
            "words": self.words(lang),
            "address": address,
            "home": f"{self._site.url.rstrip('/')}/",
            "root": "../" * address.count("/"),
            "lang": lang,
            "description": description,
        }

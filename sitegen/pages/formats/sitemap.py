"""The addresses of all pages for those who search the web, by the protocol of sitemaps.org."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final
from urllib.parse import quote
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from sitegen.pages.around import FRONT_PAGE

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from sitegen.pages.formats.html import Html
    from sitegen.pages.site import Extract, Site

ADDRESS: Final = "sitemap.xml"

NAMESPACE: Final = "http://www.sitemaps.org/schemas/sitemap/0.9"

MOST: Final = 50_000
"""Addresses in one file (sitemaps.org, "Sitemaps XML format"); more take several, and an index."""


def files(html: Html, site: Site, extracts: Sequence[Extract]) -> Iterator[tuple[str, bytes]]:
    """The map of a site that knows its `url`."""
    if not site.url:
        return
    home = site.url.rstrip("/")
    written = [one.entry.address for one in extracts]
    pages = dict.fromkeys(
        [FRONT_PAGE, html.contents, *(one.address for one in site.beside), *written]
    )
    places = [f"{home}/{quote(address)}" for address in pages]
    yield from maps(home, places)


def maps(home: str, places: Sequence[str]) -> Iterator[tuple[str, bytes]]:
    """One file of addresses, or an index and several.

    Args:
        home: the site's address, without a slash at its end.
        places: the addresses.
    """
    if len(places) <= MOST:
        yield ADDRESS, _list("urlset", "url", places)
        return
    parts = [places[start : start + MOST] for start in range(0, len(places), MOST)]
    names = [f"sitemap-{number}.xml" for number in range(1, len(parts) + 1)]
    yield ADDRESS, _list("sitemapindex", "sitemap", (f"{home}/{name}" for name in names))
    for name, part in zip(names, parts, strict=True):
        yield name, _list("urlset", "url", part)


def _list(kind: str, each: str, places: Iterable[str]) -> bytes:
    root = Element(kind, {"xmlns": NAMESPACE})
    for place in places:
        SubElement(SubElement(root, each), "loc").text = place
    indent(root)
    data: bytes = tostring(root, encoding="utf-8", xml_declaration=True)
    return data + b"\n"

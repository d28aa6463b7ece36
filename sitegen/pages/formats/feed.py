"""The site's news, as an Atom feed (RFC 4287): the pages that have a date, newest first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final
from urllib.parse import quote
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from sitegen.in_xml import in_xml

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.pages.formats.html import Html
    from sitegen.pages.site import Extract, Site

ADDRESS: Final = "feed.xml"

NAMESPACE: Final = "http://www.w3.org/2005/Atom"
"""RFC 4287, section 1.2."""

MOST: Final = 50
"""Pages in the feed: what a reader may have missed since last looking in."""


def files(html: Html, site: Site, extracts: Sequence[Extract]) -> Iterator[tuple[str, bytes]]:
    """The feed of a site that knows its `url` and has a page with a date."""
    del html
    if site.has_feed:
        yield ADDRESS, feed(site, extracts)


def feed(site: Site, extracts: Sequence[Extract]) -> bytes:
    """The feed, as XML.

    A date is a day, and what Atom asks for is a moment: the day's first, in UTC. A page's id is its
    address, so a page that is renamed is news (section 4.2.6 asks for an id that never changes, and
    a site of files has none that outlives a name).
    """
    home = site.url.rstrip("/")
    dated = (one for one in extracts if one.date)
    newest = sorted(dated, key=lambda one: one.date, reverse=True)[:MOST]
    root = Element("feed", {"xmlns": NAMESPACE, "xml:lang": site.lang})
    _add_text(root, "title", site.title)
    if site.summary:
        _add_text(root, "subtitle", site.summary)
    _add_text(root, "id", f"{home}/")
    SubElement(root, "link", {"rel": "self", "href": f"{home}/{ADDRESS}"})
    SubElement(root, "link", {"rel": "alternate", "type": "text/html", "href": f"{home}/"})
    _add_text(root, "updated", _moment(newest[0].date))
    _add_text(SubElement(root, "author"), "name", site.author or site.title)
    for one in newest:
        address = f"{home}/{quote(one.entry.address)}"
        entry = SubElement(root, "entry", {"xml:lang": one.entry.lang or site.lang})
        _add_text(entry, "title", one.entry.title)
        _add_text(entry, "id", address)
        SubElement(entry, "link", {"rel": "alternate", "type": "text/html", "href": address})
        _add_text(entry, "updated", _moment(one.date))
        if one.entry.summary:
            _add_text(entry, "summary", one.entry.summary)
        for tag in one.tags:
            SubElement(entry, "category", {"term": in_xml(tag)})
    indent(root)
    data: bytes = tostring(root, encoding="utf-8", xml_declaration=True)
    return data + b"\n"


def _add_text(parent: Element, name: str, text: str) -> None:
    SubElement(parent, name).text = in_xml(text)


def _moment(day: str) -> str:
    return f"{day}T00:00:00Z"

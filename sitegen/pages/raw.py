"""Raw HTML, where a site lets it through: what it links to, shows, and can be linked by."""

from __future__ import annotations

import re
from html import escape, unescape
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

_TAG: Final = re.compile(r"""<[A-Za-z](?:[^"'>]|"[^"]*"|'[^']*')*>""")
_ATTRIBUTE: Final = re.compile(
    r"""(?P<name>[^\s"'<>/=]+)(?P<is>\s*=\s*)"""
    r"""(?:"(?P<double>[^"]*)"|'(?P<single>[^']*)'|(?P<bare>[^\s"'=<>`]+))"""
)
_LINKS: Final = ("href",)
_SHOWN: Final = ("src", "poster")


def _attributes(html: str) -> Iterator[tuple[str, str]]:
    for tag in _TAG.finditer(html):
        for found in _ATTRIBUTE.finditer(tag[0]):
            yield found["name"].lower(), _value(found)


def _value(found: re.Match[str]) -> str:
    return unescape(found["double"] or found["single"] or found["bare"] or "")


def raw_ids(html: str) -> list[str]:
    """The ids of its elements."""
    return [value for name, value in _attributes(html) if name == "id"]


def raw_links(html: str) -> list[tuple[str, bool]]:
    """The addresses it names, each with whether what stands there is part of the page."""
    return [
        (value, name in _SHOWN)
        for name, value in _attributes(html)
        if name in _LINKS or name in _SHOWN
    ]


def with_published(html: str, published: Callable[[str], str]) -> str:
    """The same HTML with its links as they are published."""

    def link(found: re.Match[str]) -> str:
        value = _value(found)
        new = published(value) if found["name"].lower() in _LINKS else value
        return found[0] if new == value else f'{found["name"]}{found["is"]}"{escape(new)}"'

    return _TAG.sub(lambda tag: _ATTRIBUTE.sub(link, tag[0]), html)

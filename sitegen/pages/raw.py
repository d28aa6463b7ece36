"""Raw HTML, where a site lets it through: what it links to, shows, and can be linked by."""

from __future__ import annotations

import re
from html import escape, unescape
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

# Written so that whatever they begin to match, they match: an unclosed tag, quote or comment goes
# on to the end, as in a browser. Were the next `<` tried instead, the time would grow with the
# square of the text.
_PAIR: Final = (
    r"""(?P<name>[^\s/>][^\s/>=]*)(?:(?P<is>\s*=\s*)"""
    r"""(?:"(?P<double>[^"]*)(?:"|\Z)|'(?P<single>[^']*)(?:'|\Z)|(?P<bare>[^\s>"'][^\s>]*)))?"""
)
ATTRIBUTE: Final = re.compile(_PAIR)
"""An attribute of a tag, with its value if it has one."""

TAG: Final = re.compile(
    r"<!--(?:-?>|.*?(?:--!?>|\Z))"
    rf"|(?P<tag><(?:(?P<text>script|style)(?=[\s/>])|[a-z][^\s/>]*)(?:[\s/]+|{_PAIR})*(?:>|\Z))"
    r"(?(text).*?(?=</(?P=text)|\Z))",
    re.DOTALL | re.IGNORECASE,
)
"""A tag, a script or style with what is in it, or a comment (HTML Standard, 13.2.5)."""

_LINKS: Final = ("href",)
_SHOWN: Final = ("src", "poster")


def _attributes(html: str) -> Iterator[tuple[str, str]]:
    for found in TAG.finditer(html):
        for attribute in ATTRIBUTE.finditer(found["tag"] or ""):
            if attribute["is"]:
                yield attribute["name"].lower(), _value(attribute)


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
    """HTML with its links as they are published."""

    def link(found: re.Match[str]) -> str:
        value = _value(found)
        new = published(value) if found["name"].lower() in _LINKS else value
        return found[0] if new == value else f'{found["name"]}{found["is"]}"{escape(new)}"'

    def tag(found: re.Match[str]) -> str:
        written = found["tag"] or ""
        return ATTRIBUTE.sub(link, written) + found[0][len(written) :]

    return TAG.sub(tag, html)

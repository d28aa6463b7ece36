"""Pages as a preview serves them: with their panel, its stylesheet and the script put in."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from sitegen.pages.formats.theme import DEFAULT_THEME

if TYPE_CHECKING:
    from sitegen.preview.panel import Panel

OWN: Final = ".preview/"
"""Where the preview's own files are served: no file of a site has a name that begins with a dot."""

EVENTS: Final = f"{OWN}events"
"""The address of the event stream."""

_THEME: Final = Path(__file__).parent / "theme"
_OF_SITES: Final = ("icon.svg", "layout.css", "tokens.css")
"""Files of the default theme that stand-ins are set with: there may be no site yet, or none that
works."""

_HEAD_ENDS: Final = re.compile(rb"</head\s*>|(?=<body[\s>])", re.IGNORECASE)
_BODY_BEGINS: Final = re.compile(rb"<body(?:\s[^>]*)?>", re.IGNORECASE)


def own_files() -> dict[str, bytes]:
    """The preview's stylesheet and script, and what stand-ins are set with, by address."""
    files = [*_THEME.glob("preview.*"), *(DEFAULT_THEME / name for name in _OF_SITES)]
    return {f"{OWN}{path.name}": path.read_bytes() for path in files}


def laid_over(page: bytes, panel: Panel, version: str) -> bytes:
    """A page with its panel on top.

    Args:
        page: HTML of the site's theme, which may be the author's own and lack any tag.
        panel: what is laid over it.
        version: tells whether the page has changed since.
    """
    head = _render("head.html", version=version).encode()
    body = _render("panel.html", panel=panel).encode()
    at = _HEAD_ENDS.search(page)
    start = at.start() if at else 0
    page = page[:start] + head + page[start:]
    at = _BODY_BEGINS.search(page, start)
    end = at.end() if at else start + len(head)
    return page[:end] + body + page[end:]


def stand_in(kind: str, panel: Panel, version: str) -> bytes:
    """A page for an address that has none to show.

    Args:
        kind: `starting` (nothing is built yet), `missing` (there is no such page) or `unread` (the
            page cannot be shown, its problems can).
        panel: what is laid over it.
        version: tells whether something has come since.
    """
    return laid_over(_render("stand_in.html", kind=kind).encode(), panel, version)


def _render(name: str, **values: Any) -> str:  # noqa: ANN401 - what templates see
    return _templates().get_template(name).render(values)


@cache
def _templates() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(_THEME),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.filters["link"] = quote
    environment.globals["own"] = OWN
    return environment

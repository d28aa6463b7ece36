"""Stylesheets of a site's own theme with a brace or a comment that is never closed.

A browser reads such a sheet to its end and says nothing; what stands below is lost.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from sitegen.pages.formats.theme import Fault, raise_all, texts_of
from sitegen.wording import MOST_NAMED

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

_SIGN: Final = re.compile(
    r"""/\*(?s:.*?)(?P<comment>\*/|\Z)"""
    r"""|"(?:\\(?s:.)|[^"\\\n])*"?|'(?:\\(?s:.)|[^'\\\n])*'?"""
    r"""|(?<![\w-])(?i:url)\(\s*(?!["'\s])(?:\\(?s:.)|[^\\)])*"""
    r"""|\\."""
    r"""|[{}]""",
)
"""A brace, or what may hold one that counts for nothing: a comment, a text, a bare address, an
escape (CSS Syntax Module Level 3, from memory)."""


def see_closed(own: Path) -> None:
    """See that every brace and comment of a site's own stylesheets is closed.

    Args:
        own: the theme's folder.

    Raises:
        ThemeError: one is not.
    """
    raise_all(
        Fault(path, line, message)
        for path, text in texts_of(own, (".css",))
        for line, message in _unclosed(text)
    )


def _unclosed(text: str) -> Iterator[tuple[int, str]]:
    """The lines of a stylesheet with what is never closed, or closes nothing, and what to say."""
    opened: list[int] = []
    line, place = 1, 0
    for sign in _SIGN.finditer(text):
        line += text.count("\n", place, sign.start())
        place = sign.start()
        if sign["comment"] == "":
            yield line, "this comment is never closed, so that all below is lost; end it with `*/`"
        elif sign[0] == "{":
            opened.append(line)
        elif sign[0] == "}" and not opened:
            yield line, "this `}` closes nothing, and spoils the rule below it; take it out"
        elif sign[0] == "}":
            opened.pop()
    if opened:
        first, *others = opened
        left_open = "this `{` is never closed, so that the rules below stand in it"
        if others:
            lines = ", ".join(map(str, others[:MOST_NAMED]))
            more = len(others) - MOST_NAMED
            left_open += f", nor are those in {'lines' if others[1:] else 'line'} {lines}"
            left_open += f" and {more} more" if more > 0 else ""
        yield first, f"{left_open}; write {'each' if others else 'the'} `}}`"

"""Files of a site's own theme that nothing asks for: with a slip in the name, most of them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from sitegen.pages.formats.assets import PICTURES, named_by_sheets
from sitegen.pages.formats.theme import DEFAULT_THEME, Fault, files_of
from sitegen.pages.settings import is_language_tag
from sitegen.wording import meant

if TYPE_CHECKING:
    from collections.abc import Collection
    from pathlib import Path

_WORDS: Final = re.compile(r"words\.(?:(?P<tag>[^/]+)\.)?toml", re.IGNORECASE)

_KINDS: Final = {".html": ".html", ".htm": ".html", ".css": ".css", ".js": ".js"}
"""What ends the name of a file that is of use under a name that is asked for, and what should."""


def unasked(own: Path, named: Collection[str | None]) -> list[Fault]:
    """The files of a theme that are of no use: pictures and the like may lie ready for later.

    Args:
        own: the theme's folder.
        named: the files that its templates name; None is among them where they may name any.
    """
    ours = {PICTURES, *(name for name, _ in files_of(DEFAULT_THEME))}
    asked = {*ours, *named, *named_by_sheets(own)}
    faults = []
    for name, path in files_of(own):
        if path.is_file() and name.isprintable():
            ends = path.suffix.lower()
            if ends == ".toml" and _tag(name) is None:
                hint = "words stand in `words.toml`, those of one language in, say, `words.de.toml`"
                faults.append(_fault(path, hint))
            elif ends in _KINDS and asked.isdisjoint((None, name)):
                of_kind = [_stem(one) for one in sorted(ours) if one.endswith(_KINDS[ends])]
                near = meant(_stem(name), of_kind)
                hint = f"did you mean `{near}{_KINDS[ends]}`?" if near else _what_to_do(ends)
                faults.append(_fault(path, hint))
    return faults


def languages(own: Path) -> list[str]:
    """The languages that a theme has words for, of pages or not."""
    tags = (_tag(name) for name, path in files_of(own) if path.is_file())
    return [tag for tag in tags if tag]


def _tag(name: str) -> str | None:
    """The language that a file holds words of, "" for all; None for a file that holds none."""
    found = _WORDS.fullmatch(name)
    if found is None:
        return None
    tag = found["tag"] or ""
    return tag if not tag or is_language_tag(tag) else None


def _stem(name: str) -> str:
    """A name without what ends it, in which all of a kind are alike."""
    return name.rpartition(".")[0]


def _what_to_do(ends: str) -> str:
    where = "a template or a stylesheet" if ends == ".css" else "a template"
    return f"name it in {where} of yours, or take it away"


def _fault(path: Path, hint: str) -> Fault:
    return Fault(path, 1, f"nothing asks for this file, so it changes nothing; {hint}")

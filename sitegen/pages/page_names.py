"""Pages by the names that links and references give them, and which page was probably meant."""

from __future__ import annotations

import posixpath
import re
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final
from urllib.parse import unquote

from sitegen.pages.names import folded, published_as
from sitegen.wording import meant

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

MOST_COMPARED: Final = 200
"""How many names are looked through for one that may be meant."""

MOST_OFFERED: Final = 100
"""For how many wrong names on a page the right one is looked for."""

LONGEST_NAME: Final = 100
"""Characters of a name for which the right one is looked for: the time that this takes grows with
the square of them."""

_NO_LINK: Final = re.compile(r"[ %#?()<>]")
"""What means something else in a link than in the name of a file, or ends it."""


def page_named(file: str, name: str) -> str:
    """The page that a link written in `file` names, relative to the content folder.

    It may begin with `../` where the link leads out of the folder.
    """
    return posixpath.normpath(posixpath.join(posixpath.dirname(file), unquote(name)))


def page_asked(file: str, name: str) -> str:
    """The page that `file` asks by a name, as `page_named` has it: itself where it gives none."""
    return page_named(file, name) if name else file


def link_to(target: str, file: str) -> str:
    """What a link of a page to a file is, as it can be written: with `%20` for a space."""
    path = posixpath.relpath(target, posixpath.dirname(file) or ".")
    return _NO_LINK.sub(lambda sign: f"%{ord(sign[0]):02X}", path)


def page_now(target: str, former: Mapping[str, str]) -> str | None:
    """The page that says that it was once called so; None if none does.

    Args:
        target: what is no page's name, relative to the content folder.
        former: the pages that were renamed, by the addresses they had, in small letters.
    """
    return former.get(folded(published_as(target)))


def called_now(file: str, target: str, former: Mapping[str, str]) -> str:
    """For a message on a page: what one is called now that was once called so, or ""."""
    now = page_now(target, former)
    return f"; that page is called `{link_to(now, file)}` now" if now else ""


def candidates(pages: Iterable[str]) -> Callable[[], list[str]]:
    """Gives the pages that a name which is no page's is held against: the first of them."""
    return cache(lambda: sorted(pages)[:MOST_COMPARED])


class Near:
    """Guesses which page a name that is no page's was meant for; `MOST_OFFERED` times."""

    def __init__(
        self,
        file: str,
        pages: Callable[[], Iterable[str]],
        former: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        """Offer none yet.

        Args:
            file: the page.
            pages: those that names are held against, as `candidates` gives them.
            former: the pages that were renamed, by the addresses they had, in small letters.
        """
        self._file, self._pages, self._former = file, pages, former
        self._left = MOST_OFFERED

    def __call__(self, name: str) -> str:
        """For a message: the page that was probably meant, or ""."""
        if now := called_now(self._file, page_named(self._file, name), self._former):
            return now
        if len(name) > LONGEST_NAME or not self._left:
            return ""
        self._left -= 1
        wanted = page_named(self._file, name).removesuffix(".md").removesuffix(".html")
        stems = [page.removesuffix(".md") for page in self._pages()]
        # neither the ending, which all have, nor a folder that many lie in makes them alike
        last_parts = sorted({posixpath.basename(stem) for stem in stems})
        close = meant(posixpath.basename(wanted), last_parts)
        near = meant(wanted, [stem for stem in stems if posixpath.basename(stem) == close], 0)
        if not near:
            return ""
        # `site.toml`, of which no page asks, names pages as they are called
        named = link_to(f"{near}.md", self._file) if self._file else f"{near}.md"
        return f"; did you mean `{named}`?"

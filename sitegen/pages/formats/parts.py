"""Figures, boxes and moves set in HTML with the theme: all that stands in a page's text."""

from __future__ import annotations

from functools import lru_cache, partial
from typing import TYPE_CHECKING, Final

from sitegen.cube.scheme import DEFAULT
from sitegen.pages.formats.assets import Assets
from sitegen.pages.formats.braces import see_closed
from sitegen.pages.formats.remarks import set_remark
from sitegen.pages.formats.templates import Templates
from sitegen.pages.formats.theme import (
    ThemeError,
    error_of,
    joined,
    raise_all,
    see_merged,
)
from sitegen.pages.formats.unasked import languages, unasked
from sitegen.pages.formats.words import Phrasebook

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from markupsafe import Markup

    from sitegen.pages.formats.words import Words
    from sitegen.pages.site import Failure, Figure, Remark, Trouble, Word

_OWN: Final = ("figure.html", "box.html", "inline_moves.html")
"""The templates of what every site may have."""

PARTS: Final = frozenset(
    {*_OWN, "failure.html", "moves.html", "page_troubles.html", "score.html", "troubles.html"}
)
"""All templates that the text of a page is set with; what these ask for is among them."""


class Parts:
    """A theme, ready to set what stands in a page's text; it knows nothing of the whole site."""

    def __init__(
        self, lang: str, own: Path | None, compiled: dict[str, bytes] | None = None
    ) -> None:
        """Open a theme.

        Args:
            lang: the site's language.
            own: the folder of the site's own theme; it need not exist.
            compiled: as `Templates` takes it.

        Raises:
            ThemeError: its words cannot be read.
        """
        self._lang = lang
        self._own = own if own is not None and own.is_dir() else None
        self._phrasebook = Phrasebook(self._own)
        self._templates = Templates(self._own, {} if compiled is None else compiled)
        self._templates.add_filter("told", self._set_remark)
        # the same few moves stand in running text again and again
        self.moves = lru_cache(maxsize=4096)(self._set_moves)

    def load(self) -> None:
        """Read all of the theme, so that what is wrong with it is told though no page needs it.

        Raises:
            ThemeError: the words, own templates or other files of its own cannot be used.
        """
        tags = languages(self._own) if self._own else ()
        # one that cannot be read, which is told, may name any file
        named: dict[Path, frozenset[str | None]] = dict.fromkeys(
            self._templates.own().values(), frozenset((None,))
        )
        work: list[Callable[[], object]] = [
            *(partial(self.words, tag) for tag in ("", *tags)),
            *(partial(self._templates.get, name) for name in _OWN),
            *(partial(self._read, path, named) for path in named),
            *(partial(self._templates.see_blocks, path) for path in named),
        ]
        if (own := self._own) is not None:
            work.insert(0, partial(see_merged, own))
            work.append(partial(see_closed, own))
            work.append(partial(Assets, own, DEFAULT, ()))
            # once each template has been read
            work.append(lambda: raise_all(unasked(own, frozenset().union(*named.values()))))
        raise_all(joined(map(error_of, work)))

    def _read(self, path: Path, named: dict[Path, frozenset[str | None]]) -> None:
        named[path] = self._templates.named_in(path)

    def figure(self, figure: Figure, lang: str) -> str:
        """One moves block, on a page in a language.

        Raises:
            ThemeError: an own template does not work.
        """
        return self._templates.set("figure.html", words=self.words(lang), figure=figure)

    def failure(self, failure: Failure, lang: str) -> str:
        """A moves block that has problems, or waits for one that has, in a copy for review.

        Raises:
            ThemeError: an own template does not work.
        """
        words = self.words(lang)
        return self._templates.set(
            "failure.html", words=words, failure=failure, figure=failure.figure
        )

    def troubles(self, troubles: tuple[Trouble, ...], lang: str) -> str:
        """What is wrong with a page outside its blocks, in a copy for review.

        Raises:
            ThemeError: an own template does not work.
        """
        words = self.words(lang)
        return self._templates.set("page_troubles.html", words=words, troubles_of_page=troubles)

    def box(self, kind: str, html: str, lang: str) -> str:
        """A `note` or a `caution` around what is HTML already.

        Raises:
            ThemeError: an own template does not work.
        """
        return self._templates.set("box.html", words=self.words(lang), kind=kind, html=html)

    def _set_remark(self, remark: Remark, words: Words) -> Markup:
        return set_remark(remark, words, self.moves)

    def _set_moves(self, moves: tuple[Word, ...], words: Words) -> str:
        """Moves in running text, on a page with these words of the theme's.

        Raises:
            ThemeError: an own template does not work.
        """
        return self._templates.set("inline_moves.html", moves=moves, words=words)

    def words(self, lang: str) -> Words:
        """What the theme says of its own on a page in a language, "" for the site's."""
        return self._phrasebook.words(lang or self._lang)


def theme_opener(
    own: Path | None, compiled: dict[str, bytes] | None = None
) -> Callable[[str], Parts]:
    """A function that opens a theme for a site in a language, once for each language.

    It raises `ThemeError` each time it is asked for a theme that does not work.

    Args:
        own: the folder of the site's own theme; it need not exist.
        compiled: as `Templates` takes it.
    """
    found: dict[str, Parts | ThemeError] = {}

    def open_for(lang: str) -> Parts:
        if lang not in found:
            try:
                parts = Parts(lang, own, compiled)
                parts.load()
                found[lang] = parts
            except ThemeError as error:
                found[lang] = error
        one = found[lang]
        if isinstance(one, ThemeError):
            raise one
        return one

    return open_for

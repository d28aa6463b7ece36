"""The first use of each of the glossary's terms on a page, made a link to it.

Words are looked up one after another, whatever the number of terms; so a page takes as long as it
has words.
"""

from __future__ import annotations

import re
from html import escape
from itertools import pairwise
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sitegen.pages.site import Term

_PART: Final = re.compile(r"<!--.*?-->|<(?:[^\"'>]|\"[^\"]*\"|'[^']*')*>|[^<]+|<", re.DOTALL)
_TAG: Final = re.compile(r"</?([A-Za-z][A-Za-z0-9]*)")
_WORD: Final = re.compile(r"&#?\w+;|[^\W_]+(?:['’-][^\W_]+)*")

_UNTOUCHED: Final = frozenset(
    {
        *("a", "button", "code", "figure", "label", "pre", "script", "style", "summary"),
        *("svg", "textarea", "h1", "h2", "h3", "h4", "h5", "h6"),
    }
)
"""Elements in which no term is looked for: headings, links, code, figures, what can be pressed."""


class Terms:
    """The terms of a glossary, looked up by their words."""

    def __init__(self, terms: Iterable[Term], lang: str) -> None:
        """Keep them by their words; of two alike the first.

        Args:
            terms: in the glossary's order.
            lang: the language that the glossary is in.
        """
        self.lang = _primary(lang)
        self._anchors: dict[tuple[str, ...], str] = {}
        self._lengths: dict[str, list[int]] = {}
        for term in terms:
            words = tuple(word[0].casefold() for word in _WORD.finditer(term.text))
            if words:
                self._keep(words, term.anchor)
                self._keep((*words[:-1], words[-1] + "s"), term.anchor)
        for lengths in self._lengths.values():
            lengths.sort(reverse=True)

    def _keep(self, words: tuple[str, ...], anchor: str) -> None:
        self._anchors.setdefault(words, anchor)
        lengths = self._lengths.setdefault(words[0], [])
        if len(words) not in lengths:
            lengths.append(len(words))

    def speak(self, lang: str) -> bool:
        """Whether they are in a page's language, whatever its region."""
        return bool(self._anchors) and self.lang == _primary(lang)

    def at(self, words: list[str], spaced: list[bool], place: int) -> tuple[str, int]:
        """The anchor of the longest term that begins at a word, and how many words it has.

        Args:
            words: the words of a text, in lower case.
            spaced: for each whether nothing but white space stands between it and the next.
            place: where to look.
        """
        for length in self._lengths.get(words[place], ()):
            part = tuple(words[place : place + length])
            anchor = self._anchors.get(part) if len(part) == length else None
            if anchor is not None and all(spaced[place : place + length - 1]):
                return anchor, length
        return "", 1


def _primary(lang: str) -> str:
    return lang.partition("-")[0].lower()


class Linker:
    """Links terms in the HTML of one page, piece after piece."""

    def __init__(self, terms: Terms, glossary: str) -> None:
        """Begin a page.

        Args:
            terms: what is looked for.
            glossary: the glossary's address, as a link on the page spells it.
        """
        self._terms = terms
        self._glossary = glossary
        self._linked: set[str] = set()
        self._inside = 0  # untouched elements that are open

    def linked(self, html: str) -> str:
        """A piece of the page with its terms linked; elements may go on in the next piece."""
        return "".join(map(self._part, _PART.findall(html)))

    def _part(self, part: str) -> str:
        tag = _TAG.match(part)
        if tag is None:
            return part if self._inside or part.startswith("<") else self._text(part)
        if tag[1].lower() in _UNTOUCHED:
            self._inside += -1 if part.startswith("</") else 1
        return part

    def _text(self, text: str) -> str:
        found = list(_WORD.finditer(text))
        words = [word[0].casefold() for word in found]
        spaced = [text[one.end() : other.start()].isspace() for one, other in pairwise(found)]
        pieces, done, place = [], 0, 0
        while place < len(words):
            anchor, length = self._terms.at(words, spaced, place)
            if anchor and anchor not in self._linked:
                self._linked.add(anchor)
                start, end = found[place].start(), found[place + length - 1].end()
                link = f'<a class="term" href="{self._glossary}#{escape(quote(anchor))}">'
                pieces += [text[done:start], link, text[start:end], "</a>"]
                done = end
            place += length
        return "".join([*pieces, text[done:]])

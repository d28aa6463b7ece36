"""The first use of each of the glossary's terms on a page, made a link to it.

Words are looked up one after another, whatever the number of terms; so a page takes as long as it
has words.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from html import escape
from itertools import pairwise
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from sitegen.pages.letters import letters

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sitegen.pages.site import Term

_PART: Final = re.compile(r"<!--.*?-->|<(?:[^\"'>]|\"[^\"]*\"|'[^']*')*>|[^<]+|<", re.DOTALL)
_TAG: Final = re.compile(r"</?([A-Za-z][A-Za-z0-9]*)")

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
            text = escape(term.text, quote=False).replace('"', "&quot;")  # as a page has it
            found = _words_in(text)
            words = [_folded(word[0]) for word in found]
            if words:
                gaps = _gaps(text, found)
                self._keep(words, gaps, term.anchor)
                self._keep([*words[:-1], words[-1] + "s"], gaps, term.anchor)
        for lengths in self._lengths.values():
            lengths.sort(reverse=True)

    def _keep(self, words: list[str], gaps: list[str], anchor: str) -> None:
        self._anchors.setdefault((*words, *gaps), anchor)
        lengths = self._lengths.setdefault(words[0], [])
        if len(words) not in lengths:
            lengths.append(len(words))

    def speak(self, lang: str) -> bool:
        """Whether they are in a page's language, whatever its region."""
        return bool(self._anchors) and self.lang == _primary(lang)

    def longest_at(
        self, text: str, found: list[re.Match[str]], words: list[str], place: int
    ) -> tuple[str, int]:
        """The anchor of the longest term that begins at a word, and how many words it has.

        Args:
            text: HTML without tags.
            found: its words.
            words: these words as they are compared.
            place: where to look.
        """
        for length in self._lengths.get(words[place], ()):
            part = slice(place, place + length)
            anchor = self._anchors.get((*words[part], *_gaps(text, found[part])))
            if anchor is not None and place + length <= len(words):
                return anchor, length
        return "", 1


def _words_in(text: str) -> list[re.Match[str]]:
    """The words of HTML without tags."""
    return list(_word_pattern(letters(text)).finditer(text))


@cache
def _word_pattern(letters: str) -> re.Pattern[str]:
    """Words, and what stands for a character, which is none; joiners part letters of one word."""
    return re.compile(rf"&#?\w+;|{letters}(?:['’\u200c\u200d-]{letters})*")


def _folded(word: str) -> str:
    """A word as it is compared: small letters, one apostrophe, accents written in one way."""
    if word.isascii():
        return word.lower()
    return unicodedata.normalize("NFC", word.casefold()).replace("’", "'")


def _gaps(text: str, found: Sequence[re.Match[str]]) -> list[str]:
    """What stands between words, any white space being as good as another."""
    between = [text[one.end() : other.start()] for one, other in pairwise(found)]
    return [" ".join(gap.split()) or (gap and " ") for gap in between]


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
        return "".join(map(self._part_linked, _PART.findall(html)))

    def _part_linked(self, part: str) -> str:
        tag = _TAG.match(part)
        if tag is None:
            return part if self._inside or part.startswith("<") else self._text_linked(part)
        if tag[1].lower() in _UNTOUCHED:
            self._inside = max(0, self._inside + (-1 if part.startswith("</") else 1))
        return part

    def _text_linked(self, text: str) -> str:
        found = _words_in(text)
        words = [_folded(word[0]) for word in found]
        pieces, done, place = [], 0, 0
        while place < len(words):
            anchor, length = self._terms.longest_at(text, found, words, place)
            if anchor and anchor not in self._linked:
                self._linked.add(anchor)
                start, end = found[place].start(), found[place + length - 1].end()
                link = f'<a class="term" href="{self._glossary}#{escape(quote(anchor))}">'
                pieces += [text[done:start], link, text[start:end], "</a>"]
                done = end
            place += length
        return "".join([*pieces, text[done:]])

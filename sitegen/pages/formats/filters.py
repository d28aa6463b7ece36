"""What templates have beside the values they are given: links, texts and moves, set."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

from markupsafe import Markup, escape

from sitegen.cube.scheme import in_words
from sitegen.notation.spoken import spoken
from sitegen.pages.formats.direction import direction
from sitegen.pages.formats.words import fill

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from sitegen.cube.scheme import Scheme
    from sitegen.pages.formats.words import Words
    from sitegen.pages.site import Entry, Word


@lru_cache(maxsize=4096)
def _link(address: str) -> str:
    """An address as a link spells it: colons and question marks in it mean nothing."""
    return quote(address, safe="/")


def _fill(text: str, **values: object) -> str:
    return fill(text, values)


def _set_places(text: str, **places: str) -> Markup:
    """A text with places filled in, set as such."""
    codes = {name: Markup("<code>{}</code>").format(place) for name, place in places.items()}
    return Markup(fill(str(escape(text)), codes))  # noqa: S704 - the text and each place are escaped


def _count(count: int, one: str, many: str) -> str:
    return fill(one if count == 1 else many, {"count": count})


def _each(words: Iterable[Word], macro: Callable[[Word], str]) -> Markup:
    """What a macro sets for words, one after another: most words stand on a site many times."""
    return Markup("".join([_set_word(macro, word) for word in words]))  # noqa: S704 - macros escape


@lru_cache(maxsize=4096)
def _set_word(macro: Callable[[Word], str], word: Word) -> str:
    return str(macro(word))


def _spoken(moves: Iterable[Word], words: Words) -> str:
    """Moves in words."""
    return words.say.text("lists.between").join([spoken(word.text, words.say) for word in moves])


def _names(scheme: Scheme, words: Words) -> tuple[str, ...]:
    """The names of the colours, in the order of `FACES`."""
    return in_words(scheme, words.say).names


def _titled(context: Mapping[str, Any], entry: Entry) -> Markup:
    """The title of a page, marked as being in its language where that is not the one around it."""
    lang = _lang(context, entry)
    return Markup("<span{}>{}</span>").format(lang, entry.title) if lang else escape(entry.title)


def _lang(context: Mapping[str, Any], entry: Entry) -> Markup:
    """The attributes of what is said in a page's language; none where all around it is."""
    lang = entry.lang or context["site"].lang
    if lang == context["lang"]:
        return Markup("")
    return Markup(' lang="{}" dir="{}"').format(lang, direction(lang))


FILTERS: Final[Mapping[str, Callable[..., object]]] = {
    "link": _link,
    "direction": direction,
    "each": _each,
    "spoken": _spoken,
    "names": _names,
    "fill": _fill,
    "set": _set_places,
    "count": _count,
}
"""The filters of every template, by name."""

FILTERS_OF_CONTEXT: Final[Mapping[str, Callable[..., object]]] = {"titled": _titled, "lang": _lang}
"""Those that are given first what the template that asks for them knows."""

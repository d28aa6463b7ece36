"""Remarks set in the theme's words: claims that were checked, said so that a reader follows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from sitegen.pages.formats.words import fill
from sitegen.pages.site import Bit, Remark, RemarkMoves

if TYPE_CHECKING:
    from collections.abc import Callable

    from sitegen.pages.formats.words import Words
    from sitegen.pages.site import RemarkValue, Word


def set_remark(
    remark: Remark, words: Words, moves: Callable[[tuple[Word, ...], Words], str]
) -> Markup:
    """A remark as HTML.

    Args:
        remark: what is said.
        words: the theme's, in the page's language.
        moves: sets moves in running text.
    """

    def value(given: RemarkValue) -> Markup:
        if isinstance(given, Remark):
            return set_remark(given, words, moves)
        if isinstance(given, RemarkMoves):
            return Markup(moves(given.words, words).strip())  # noqa: S704 - it is HTML
        between = escape(words.say.text("lists.between"))
        return between.join([_place(one, words) for one in given])

    text = escape(words.say.text(remark.name))
    return _filled(text, {gap: value(given) for gap, given in remark.values})


def _place(bits: tuple[Bit, ...], words: Words) -> Markup:
    return Markup(" ").join([_bit(bit, words) for bit in bits])


def _bit(bit: Bit, words: Words) -> Markup:
    if bit.kind == "place":
        return Markup('<code class="place">{}</code>').format(bit.text)
    if bit.kind == "wings":
        return _filled(escape(words.say.text("places.wings_of")), {"layer": escape(bit.text)})
    return escape(words.say.text(f"places.{bit.text}") if bit.kind == "word" else bit.text)


def _filled(text: Markup, values: dict[str, Markup]) -> Markup:
    return Markup(fill(str(text), values))  # noqa: S704 - the text and each value are escaped

"""Which words of a page become links to the glossary, and which do not."""

from __future__ import annotations

import re

import pytest

from sitegen.pages.glossary import Linker, Terms
from sitegen.pages.site import Term

TERMS = Terms(
    [
        Term("wing", "wing"),
        Term("wing pair", "pair"),
        Term("R&D", "rd"),
        Term("Parität", "paritat"),
        Term('the "last" edge', "last"),
        Term("mirror's edge", "mirrors"),
        Term("किनारा", "edge"),
        Term("کنار‌ه", "side"),
    ],
    "en-GB",
)


def marked(*pieces: str) -> str:
    """The pieces of a page one after another, links to the glossary written [word>anchor]."""
    linker = Linker(TERMS, "../glossary.html")
    html = "".join(map(linker.linked, pieces))
    link = r'<a class="term" href="\.\./glossary\.html#([^"]+)">([^<]*)</a>'
    return re.sub(link, r"[\2>\1]", html)


@pytest.mark.parametrize(
    ("html", "expected"),
    [
        ("<p>A wing, a wing.</p>", "<p>A [wing>wing], a wing.</p>"),
        ("<p>WINGS fly.</p>", "<p>[WINGS>wing] fly.</p>"),
        ("<p>Wingspan, swing, wing-like, wing2.</p>", "<p>Wingspan, swing, wing-like, wing2.</p>"),
        ("<p>A wing pair.</p>", "<p>A [wing pair>pair].</p>"),
        ("<p>Two wing\npairs of wings.</p>", "<p>Two [wing\npairs>pair] of [wings>wing].</p>"),
        ("<p>A wing, pair.</p>", "<p>A [wing>wing], pair.</p>"),
        ("<code>wing</code> <pre>wing</pre> wing", "<code>wing</code> <pre>wing</pre> [wing>wing]"),
        ('<A href="wing.html">a wing</A> wing', '<A href="wing.html">a wing</A> [wing>wing]'),
        ('<img alt="a wing > b"> wing', '<img alt="a wing > b"> [wing>wing]'),
        ("<!-- wing --> <em>wing</em>", "<!-- wing --> <em>[wing>wing]</em>"),
        ("&wing; wing", "&wing; [wing>wing]"),
        ("<p>PARITÄT</p>", "<p>[PARITÄT>paritat]</p>"),
        # an accent as a character of its own (UAX #15, form D)
        ("<p>Parita\u0308t</p>", "<p>[Parita\u0308t>paritat]</p>"),
        ("<p>R &amp; D, R D.</p>", "<p>R &amp; D, R D.</p>"),
        ("<p>The R&amp;D of it.</p>", "<p>The [R&amp;D>rd] of it.</p>"),
        ("<p>the &quot;last&quot; edge</p>", "<p>[the &quot;last&quot; edge>last]</p>"),
        ("<p>the last edge</p>", "<p>the last edge</p>"),
        ("<p>A mirror’s edge</p>", "<p>A [mirror’s edge>mirrors]</p>"),
        # vowels are marks in Hindi; कनारा without one is another word
        ("<p>कनारा किनारा।</p>", "<p>कनारा [किनारा>edge]।</p>"),
        ("<p>کنار‌ه</p>", "<p>[کنار‌ه>side]</p>"),
        ("</a> wing", "</a> [wing>wing]"),
    ],
)
def test_the_first_use_is_linked(html: str, expected: str) -> None:
    assert marked(html) == expected


@pytest.mark.parametrize(
    "element",
    [
        *("a", "button", "code", "figure", "label", "pre", "script", "style", "summary"),
        *("svg", "textarea", "h1", "h2", "h3", "h4", "h5", "h6"),
    ],
)
def test_headings_links_code_and_what_can_be_pressed_are_left_alone(element: str) -> None:
    inside = f"<{element} class='x'>a <em>wing</em></{element}>"
    assert marked(f"{inside} wing") == f"{inside} [wing>wing]"


def test_an_element_goes_on_in_the_next_piece() -> None:
    assert marked("<h2>One ", "wing", "</h2> wing") == "<h2>One wing</h2> [wing>wing]"


@pytest.mark.parametrize(("lang", "speaks"), [("en", True), ("EN-us", True), ("de", False)])
def test_only_pages_in_its_language_are_linked(lang: str, speaks: bool) -> None:
    assert TERMS.speak(lang) is speaks
    assert not Terms((), "en").speak("en")

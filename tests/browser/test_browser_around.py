"""The pages beside the lessons in a browser: search, filter, cards, old addresses."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Literal
from urllib.parse import urljoin

import pytest
from lxml import html

from browser.browser_site import serve
from browser.paper import on_paper, words_on
from chromium import watched
from sitegen.commands.main import main

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Page, ViewportSize

    from browser.browser_site import Served

LISTS = ("figures", "cards")

Media = Literal["screen", "print"]


def results(page: Page) -> list[str]:
    """The links to what was found; it waits until something was said."""
    page.locator("#found:not(:empty)").wait_for()
    return [str(link.get_attribute("href")) for link in page.locator("#results a").all()]


def sheets(site: Served, name: str) -> list[str]:
    return [page for page in site.pages if page.startswith(f"{name}/")]


def test_moves_are_found_by_keyboard(browser: Browser, site: Served) -> None:
    with watched(browser, site.address) as page:
        page.goto(site.url("index.html"))
        page.locator("header").get_by_role("link", name="Search").press("Enter")
        page.wait_for_selector(".find:not([hidden])")
        page.keyboard.type("R U R'")
        assert len(results(page)) > 1
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowUp")
        address = page.evaluate("document.activeElement.href")
        page.keyboard.press("Enter")
        page.wait_for_url(address)
        anchor = address.partition("#")[2]
        place = page.locator(f"[id='{anchor}']" if anchor else "main")
        assert "R" in str(place.locator(".turns").first.text_content())
        page.go_back()
        assert page.locator("#query").input_value() == "R U R'"
        assert results(page)


@pytest.mark.parametrize("typed", ["R U R' U'", "R U R’ U’", "RUR'U'", "  R  U R' U' "])
def test_moves_are_found_however_they_are_typed(browser: Browser, site: Served, typed: str) -> None:
    with watched(browser, site.address) as page:
        page.goto(site.url("search.html"))
        page.fill("#query", typed)
        found = results(page)
        # the site's sequence `four` is these moves, and a commutator comes to them
        assert any(link.endswith("sequences.html#four") for link in found)


ACCENTS = {
    "page.md": """---
title: Réduction d’arêtes
summary: C'est l'été.
tags: naïf
---

## Re\u0301duire
## किनारा
## Les centres

```moves
title: L’arête élevée
moves: R U
check: turns 2
```
"""
}


@pytest.fixture(scope="module")
def accents(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A site in French, with a word of Hindi."""
    folder = tmp_path_factory.mktemp("accents")
    (folder / "content").mkdir()
    for name, text in ACCENTS.items():
        (folder / "content" / name).write_text(text, "utf-8")
    assert main(["build", str(folder / "content"), "--out", str(folder / "out")]) == 0
    with serve({}, folder / "out") as served:
        yield served


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("reduction d'aretes", "page.html"),
        ("RE\u0301DUCTION d’arêtes", "page.html"),
        ("l’ete", "page.html"),
        ("naif", "page.html"),
        ("réduire", "page.html#r%C3%A9duire"),
        ("reduire", "page.html#r%C3%A9duire"),
        ("l'arete elevee", "page.html#figure-1"),
        ("किनारा", "page.html#%E0%A4%95%E0%A4%BF%E0%A4%A8%E0%A4%BE%E0%A4%B0%E0%A4%BE"),
        ("les Centers", "page.html#les-centres"),  # as Americans spell it
        ("centre", "page.html#les-centres"),
        ("3x3", "page.html"),  # the cube of its figures, of which no word says anything
        ("3X3X3 ete", "page.html"),
        ("3×3", "page.html"),
        ("{ ete }", ""),
        ("4x4", ""),
        ("कनारा", ""),  # vowels of Hindi are marks: another word
    ],
)
def test_words_are_found_however_their_accents_are_typed(
    browser: Browser, accents: Served, typed: str, found: str
) -> None:
    with watched(browser, accents.address) as page:
        page.goto(accents.url("search.html"))
        page.fill("#query", typed)
        assert results(page)[:1] == ([found] if found else [])


def test_keys_are_of_what_has_the_focus(browser: Browser, site: Served) -> None:
    with watched(browser, site.address) as page:
        page.goto(f"{site.url('search.html')}#100%")  # no address that a program would write
        page.fill("#query", "wing")
        assert results(page)
        page.locator("footer a").first.focus()  # not the feed: it has no icon, and a browser asks
        page.keyboard.press("ArrowDown")
        assert page.evaluate("document.activeElement.closest('footer') !== null")
        goal = page.evaluate("document.activeElement.href")
        with page.expect_navigation():
            page.keyboard.press("Enter")
        assert page.url == goal


def test_moves_are_not_cut_within_a_turn(browser: Browser, site: Served) -> None:
    with watched(browser, site.address) as page:
        page.goto(site.url("search.html"))
        page.fill("#query", "R U R' U'")
        whole = results(page)
        page.fill("#query", "R U R' U2")
        page.wait_for_timeout(100)
        assert not {*results(page)} & {link for link in whole if link.endswith("#four")}


def test_words_are_found_by_mouse(browser: Browser, site: Served) -> None:
    with watched(browser, site.address) as page:
        page.goto(site.url("search.html"))
        page.click("#query")
        page.keyboard.type("WING")
        assert any("glossary.html#wing" in link for link in results(page))
        page.locator("#results a[href*='glossary.html#wing']").first.click()
        page.wait_for_url("**/glossary.html#wing*")
        page.goto(site.url("search.html"))
        page.fill("#query", "nothing is called so")
        assert results(page) == []
        page.fill("#query", "<b>")
        assert page.locator("#results b").count() == 0


def test_search_works_from_a_plain_folder(browser: Browser, site: Served) -> None:
    home = site.folder.as_uri()
    with watched(browser, home) as page:
        page.goto(f"{home}/search.html")
        page.fill("#query", "R U R' U'")
        assert len(results(page)) > 1
        page.locator("#results a").first.click()
        page.wait_for_selector(".lesson, .sequences")


def test_a_missing_index_is_told(browser: Browser, site: Served) -> None:
    with watched(browser, site.address, "net::ERR_FAILED") as page:
        page.route("**/search-index.js", lambda route: route.abort())
        page.goto(site.url("search.html"))
        page.fill("#query", "wing")
        results(page)
        assert "search-index.js" in page.locator("#found").inner_text()


def test_without_script_the_search_page_leads_on(browser: Browser, site: Served) -> None:
    with watched(browser, site.address, java_script_enabled=False) as page:
        page.goto(site.url("search.html"))
        assert not page.locator("#query").is_visible()
        page.locator("main a").first.click()
        assert page.locator("ol.contents").first.is_visible()
        for name in sheets(site, "figures"):
            page.goto(site.url(name))
            assert not page.locator("#filter").is_visible()
            assert page.locator(".gallery li").first.is_visible()


def test_figures_are_picked_by_what_they_say(browser: Browser, site: Served) -> None:
    with watched(browser, site.address) as page:
        page.goto(site.url(sheets(site, "figures")[0]))
        items = page.locator(".gallery li")
        word = max(str(items.first.locator(".name").inner_text()).split(), key=len)
        expected = [text for text in items.all_inner_texts() if word.lower() in text.lower()]
        page.fill("#filter", word.upper())
        shown = page.locator(".gallery li:visible").all_inner_texts()
        assert shown == expected != []
        for nobody in ("nothing says so", "up: www"):  # a picture tells its letters, to be heard
            page.fill("#filter", nobody)
            assert page.locator(".gallery-of h2:visible").count() == 0
        page.fill("#filter", "")
        assert page.locator(".gallery li:visible").count() == items.count()


def of_class(name: str) -> str:
    """What an XPath asks of an element of a class."""
    return f"contains(concat(' ', @class, ' '), ' {name} ')"


def read(site: Served, name: str) -> html.HtmlElement:
    """A page as it was written."""
    return html.document_fromstring((site.folder / name).read_bytes())


def links(site: Served, name: str, path: str) -> list[str]:
    """Where the links that an XPath finds on a page lead."""
    return [urljoin(site.url(name), link) for link in read(site, name).xpath(f"{path}/@href")]


def test_every_titled_figure_is_listed_and_every_figure_has_a_card(site: Served) -> None:
    figures = {
        f"{site.url(name)}#{figure.get('id')}": figure.find_class("title")
        for name in site.pages
        for figure in read(site, name).find_class("moves-figure")
    }
    titled = {place for place, titles in figures.items() if titles}
    picked = f"//*[{of_class('gallery')} or {of_class('card')}]//a"
    listed = {
        kind: {link for name in sheets(site, kind) for link in links(site, name, picked)}
        for kind in LISTS
    }
    assert titled
    assert listed == {"figures": titled, "cards": figures.keys()}


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_eight_cards_are_on_a_sheet_with_every_word(
    browser: Browser, site: Served, paper: str, tmp_path: Path
) -> None:
    with watched(browser, site.address) as page:
        for name in sheets(site, "cards"):
            page.emulate_media(media="screen")
            page.goto(site.url(name))
            cards = page.locator(".card").count()
            cut = page.evaluate(
                "() => [...document.querySelectorAll('.card')].filter("
                "card => card.scrollWidth > card.clientWidth + 1).length"
            )
            assert cut == 0
            page.emulate_media(media="print")
            words, printed = words_on(page), on_paper(page, paper, tmp_path)
            assert [word for word in words if word not in "".join(printed)] == []
            # the size stands once on every card
            counts = [len(re.findall(r"(\d+)×\1×\1", sheet)) for sheet in printed[:-1]]
            full, left = divmod(cards, 8)
            assert counts == [8] * full + [left] * (left > 0), name


NAMED = """---
title: Names
sequences:
  turnthewholeedge: R U R' U'
---

```moves
moves: {turnthewholeedge}
check: order 6
```
"""


@pytest.mark.parametrize(("width", "media"), [(1280, "screen"), (320, "screen"), (700, "print")])
def test_a_name_is_in_one_piece_on_a_card(
    browser: Browser, tmp_path: Path, width: int, media: Media
) -> None:
    content, out = tmp_path / "content", tmp_path / "out"
    content.mkdir()
    (content / "page.md").write_text(NAMED, "utf-8")
    assert main(["build", str(content), "--out", str(out)]) == 0
    size: ViewportSize = {"width": width, "height": 800}
    with serve({}, out) as served, watched(browser, served.address, viewport=size) as page:
        page.emulate_media(media=media)
        page.goto(served.url("cards/course-1.html"))
        name = page.locator(".card .turns span").first
        assert name.text_content() == "{turnthewholeedge}"
        assert name.evaluate("name => name.getClientRects().length") == 1
        assert page.evaluate("document.documentElement.scrollWidth") == width


def test_numbers_stand_below_their_heads(browser: Browser, site: Served) -> None:
    ends = """row => [...document.querySelectorAll(`.numbers ${row}`)].map(cell => {
        const text = document.createRange();
        text.selectNodeContents(cell);
        return Math.round(text.getBoundingClientRect().right);
    })"""
    with watched(browser, site.address) as page:
        page.goto(site.url("pieces.html"))
        heads = page.evaluate(ends, "thead th")
        assert len(heads) > 5
        numbers = page.evaluate(ends, "tbody tr:last-child > *")
        assert numbers[1:] == heads[1:]


LETTERED = """() => [...document.querySelectorAll('svg.cube:has(.c2)')].map(svg => {
    const letters = svg.querySelector('.letters, .own');
    return [
        !svg.matches('.gallery :not(.few)'),
        letters !== null && getComputedStyle(letters).display !== 'none',
        getComputedStyle(svg.querySelector('.c2')).stroke,
    ];
})"""
"""Of each picture with a sticker of the third colour: whether it is large enough for letters,
whether it has any, and what that colour is."""


def test_lists_and_cards_have_the_readers_colours_and_letters_on_paper(
    browser: Browser, site: Served
) -> None:
    kept = '{"colours": {"2": "#123456"}}'
    with watched(browser, site.address) as page:
        page.goto(site.url("index.html"))
        page.evaluate("kept => localStorage.setItem('own-cube', kept)", kept)
        page.emulate_media(media="print")
        lists = [name for kind in (*LISTS, "pieces") for name in sheets(site, kind)]
        for name in [*lists, "sequences.html"]:
            page.goto(site.url(name))
            page.evaluate("dispatchEvent(new Event('beforeprint'))")
            found = page.evaluate(LETTERED)
            assert found, name
            for is_large, has_letters, colour in found:
                assert (has_letters, colour) == (is_large, "rgb(18, 52, 86)"), name


def test_an_old_address_leads_to_the_page(browser: Browser, site: Served) -> None:
    assert site.moved
    with watched(browser, site.address) as page:
        for name in site.moved:
            page.goto(site.url(name))
            page.wait_for_selector(".lesson")
            assert page.url != site.url(name)
            assert page.url.removeprefix(site.address) in site.pages
    assert not [name for name in site.moved if name in (site.folder / "sitemap.xml").read_text()]


def test_terms_of_the_glossary_lead_there_once(site: Served) -> None:
    linked = 0
    term = f"a[{of_class('term')}]"
    outer = ("h1", "h2", "h3", "h4", "code", "pre", "figure", "a")
    inside = " | ".join(f"//{name}//{term}" for name in outer)
    for name in site.pages:
        found = links(site, name, f"//main//{term}")
        assert len(found) == len(set(found)), name
        assert not found or name != "glossary.html"
        assert not read(site, name).xpath(inside), name
        linked += len(found)
    assert linked


def test_what_changes_with_every_page_has_a_name_that_stays(site: Served) -> None:
    names = {"search-index.js", "feed.xml", "sitemap.xml", "figures.html", "figures/course-1.html"}
    assert names <= {path.relative_to(site.folder).as_posix() for path in site.folder.rglob("*.*")}

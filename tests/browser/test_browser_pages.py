"""Pages in a browser: narrow, folded, from a folder, below a sub-path, on paper.

That a page complains of nothing and fetches nothing from elsewhere is seen to by `watched`, for all
tests in a browser.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from browser.browser_site import unfold
from browser.paper import on_paper, squeezed, words_on
from chromium import watched
from dead_links import dead_links

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser

    from browser.browser_site import Served
    from chromium import Scheme

NARROW = 320
"""CSS pixels: the width at which nothing may need scrolling sideways (WCAG 2.2, 1.4.10)."""

SHEETS = {
    "A4": ((210 - 2 * 16) * 96 / 25.4, (297 - 2 * 18) * 96 / 25.4),
    "Letter": ((215.9 - 2 * 16) * 96 / 25.4, (279.4 - 2 * 14) * 96 / 25.4),
}
"""CSS pixels inside the margins of a sheet (A4: ISO 216; the margins are the theme's)."""

ROOM = 0.9
"""How much of a sheet's height a figure takes, at most, that is not cut: with what leads to it."""

ONE_OF = {"A4": 1, "Letter": 2}
"""Of how many pages one is printed; the size of a sheet is all that differs."""

LINES = 5.5
"""A text of fewer lines that leads to a figure is not parted: three stay on either sheet."""

IS_STYLED = """() => {
    const links = [...document.querySelectorAll('link[rel=stylesheet]')];
    return links.length > 3 && links.every(link => link.sheet)
        && getComputedStyle(document.querySelector('.skip')).position === 'absolute';
}"""


def test_every_page_is_narrow(browser: Browser, site: Served) -> None:
    assert len(site.pages) > 5
    wide = {}
    with watched(browser, site.address, viewport={"width": NARROW, "height": 800}) as page:
        for name in site.pages:
            page.goto(site.url(name))
            unfold(page)
            width = page.evaluate("document.documentElement.scrollWidth")
            if width != NARROW:
                wide[name] = width
    assert wide == {}


def test_what_is_too_wide_is_seen(browser: Browser, site: Served) -> None:
    with watched(browser, site.address, viewport={"width": NARROW, "height": 800}) as page:
        page.goto(site.url("index.html"))
        page.evaluate("document.querySelector('main').style.width = '400px'")
        assert page.evaluate("document.documentElement.scrollWidth") > NARROW


@pytest.mark.parametrize(
    ("script", "wrong"),
    [
        (
            "fetch('http://example.org/').catch(() => 0)",
            ["asks for http://example", "NOT_RESOLVED"],
        ),
        ("fetch('nothing.txt')", [r"^404 http.*/nothing\.txt$", "the server responded .* 404"]),
        ("console.warn('a warning')", ["^a warning$"]),
        ("setTimeout(() => { throw 'a mistake'; }); new Promise(setTimeout)", ["^a mistake$"]),
    ],
)
def test_what_goes_wrong_is_seen(
    browser: Browser, site: Served, script: str, wrong: list[str]
) -> None:
    def run(*expected: str) -> None:
        with watched(browser, site.address, *expected, bypass_csp=True) as page:
            page.goto(site.url("index.html"))
            page.evaluate(script)

    run(*wrong)
    for other in (wrong[1:], [*wrong, "what does not happen"]):
        with pytest.raises(AssertionError):
            run(*other)


def test_pages_work_from_a_plain_folder(browser: Browser, site: Served) -> None:
    home = site.folder.as_uri()
    with watched(browser, home) as page:
        for name in site.pages:
            page.goto(f"{home}/{name}")
            assert page.evaluate(IS_STYLED), name


BUTTONS = "[...document.querySelectorAll('button')].filter(found => found.checkVisibility()).length"

OPENED = """() => {
    for (const button of document.querySelectorAll('summary')) {
        if (button.checkVisibility() && !button.parentElement.open) button.click();
    }
    return [...document.querySelectorAll('details')].filter(fold => fold.checkVisibility())
        .map(fold => fold.querySelector(':scope > :not(summary)').checkVisibility());
}"""
"""Presses every button that hides something, the outer ones first, and tells of each that can be
seen whether what it hid is seen now."""


def test_pages_work_without_script(browser: Browser, site: Served) -> None:
    folded = 0
    with watched(browser, site.address, java_script_enabled=False) as page:
        for name in site.pages:
            page.goto(site.url(name))
            assert page.evaluate(BUTTONS) == 0, name
            assert page.evaluate(IS_STYLED), name
            button = page.locator("summary:visible").first
            if button.count():
                button.click()  # as a reader does: nothing lies upon it
                opened = page.evaluate(OPENED)
                assert all(opened), name
                folded += len(opened)
    assert folded


LETTERS = """() => {
    const rules = [...document.styleSheets].flatMap(sheet => [...sheet.cssRules]);
    const handedDown = svg => rules.find(rule =>
        [...svg.classList].some(name => rule.selectorText === `.${name}` && rule.style.fontSize));
    return [...document.querySelectorAll('svg text')].map(text => {
        const size = text.getAttribute('font-size')
            || handedDown(text.ownerSVGElement).style.fontSize;
        const set = getComputedStyle(text);
        return [parseFloat(set.fontSize) === parseFloat(size) && set.textTransform === 'none',
            text.outerHTML];
    });
}"""


def test_the_theme_leaves_the_letters_in_pictures_alone(browser: Browser, site: Served) -> None:
    letters = []
    with watched(browser, site.address) as page:
        for name in site.pages_with("<text"):
            page.goto(site.url(name))
            letters += [(name, *found) for found in page.evaluate(LETTERS)]
    assert [(page, text) for page, fits, text in letters if not fits] == []
    assert letters


def test_every_link_leads_somewhere(site: Served) -> None:
    assert list(dead_links(site.folder)) == []


def test_the_page_for_wrong_addresses_is_at_home_anywhere(site: Served) -> None:
    text = (site.folder / "404.html").read_text("utf-8")
    assert not re.findall(r'(?:href|src)="(?![/#]|https?:)', text)


FIGURES = """() => {
const lead = figure => {
    let top = figure;
    const before = () => top.previousElementSibling;
    if (before() && !before().matches('.moves-figure')) top = before();
    while (top !== figure && before() && before().matches('h2, h3, h4')) top = before();
    return top;
};
const lines = figure => {
    const before = figure.previousElementSibling;
    if (!before?.matches('p')) return 0;
    return before.getBoundingClientRect().height / parseFloat(getComputedStyle(before).lineHeight);
};
return [...document.querySelectorAll('.moves-figure')].map(figure => ({
    lines: lines(figure),
    number: figure.querySelector('.number').textContent,
    height: figure.getBoundingClientRect().height,
    whole: getComputedStyle(figure).breakInside === 'avoid',
    together: figure.getBoundingClientRect().bottom - lead(figure).getBoundingClientRect().top,
    pictures: [...figure.querySelectorAll('.picture')].map(picture => ({
        height: picture.getBoundingClientRect().height,
        whole: getComputedStyle(picture).breakInside === 'avoid',
    })),
}));
}"""


ENDS = """() => document.querySelectorAll('.moves-figure').forEach((figure, place) => {
    for (const [where, name] of [['afterbegin', 'begins'], ['beforeend', 'ends']]) {
        figure.insertAdjacentHTML(where, `<p class="seam">${name}${place};</p>`);
    }
    const before = figure.previousElementSibling;
    if (before?.matches('p')) {
        before.insertAdjacentHTML('afterbegin', `<span class="seam">opens${place};</span>`);
        before.insertAdjacentHTML('beforeend', `<span class="seam">leads${place};</span>`);
    }
    for (const seam of document.querySelectorAll('.seam')) seam.style = 'margin: 0; font-size: 1px';
})"""
"""Puts a word where each figure begins and ends, and where the text before it does. CSS alone does
not tell what is cut: browsers give up `break-inside: avoid` where too much is asked to stay
together."""


@pytest.mark.parametrize("paper", SHEETS)
def test_paper_has_every_word_and_cuts_no_figure(
    browser: Browser, site: Served, paper: str, tmp_path: Path
) -> None:
    width, height = SHEETS[paper]
    lost: list[tuple[str, str]] = []
    cut: list[tuple[str, str, float]] = []
    parted: list[tuple[str, str]] = []
    torn: list[tuple[str, str]] = []
    alone: list[str] = []
    figures = 0
    with watched(browser, site.address) as page:
        page.set_viewport_size({"width": int(width), "height": int(height)})
        for name in site.pages[:: ONE_OF[paper]]:
            if name.startswith("cards/"):  # these are counted, too, where cards are tested
                continue
            page.emulate_media(media="screen")
            page.goto(site.url(name))
            page.emulate_media(media="print")
            words, found = words_on(page), page.evaluate(FIGURES)
            page.evaluate(ENDS)
            sheets = on_paper(page, paper, tmp_path)
            everything = "".join(sheets)
            lost += [(name, word) for word in words if word not in everything]
            title = squeezed(page.locator("h1").first.inner_text())
            assert title in sheets[0], f"{name} begins with an empty sheet"
            if sheets[-2] == squeezed(page.locator(".site-footer").inner_text()):
                alone.append(name)
            for place, figure in enumerate(found):
                figures += 1
                leads, begins, ends = f"leads{place};", f"begins{place};", f"ends{place};"
                opens = f"opens{place};"
                if figure["whole"] and figure["together"] < ROOM * height:
                    if not any(begins in sheet and ends in sheet for sheet in sheets):
                        cut.append((name, figure["number"], figure["height"]))
                    if any(leads in sheet and begins not in sheet for sheet in sheets):
                        parted.append((name, figure["number"]))
                    if figure["lines"] < LINES and any(
                        opens in sheet and leads not in sheet for sheet in sheets
                    ):
                        torn.append((name, figure["number"]))
                # a figure higher than a sheet has to go on on the next one, and its pictures not
                parts = figure["pictures"] if figure["height"] > height else [figure]
                whole = all(part["whole"] and part["height"] <= height for part in parts)
                if not whole or squeezed(figure["number"]) not in everything:
                    cut.append((name, figure["number"], figure["height"]))
    assert (lost, cut, parted, torn, alone) == ([], [], [], [], [])
    assert figures


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_colour_follows_the_reader(browser: Browser, site: Served, scheme: Scheme) -> None:
    with watched(browser, site.address, color_scheme=scheme) as page:
        page.goto(site.url("index.html"))
        shown = page.evaluate(
            "[document.body, document.documentElement].map(e => getComputedStyle(e))"
            ".map(s => s.backgroundColor).find(c => !c.endsWith(', 0)')) ?? 'rgb(255, 255, 255)'"
        )
        red, green, blue = map(int, re.findall(r"\d+", shown)[:3])
        assert (red + green + blue > 3 * 128) == (scheme == "light")


BOXES = """boxes => boxes.map(box => {
    const part = value => value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
    const set = getComputedStyle(box);
    const [red, green, blue] = set.borderTopColor.match(/[\\d.]+/g)
        .map(value => part(value / 255));
    const contrast = 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05);
    return [set.appearance === 'none', contrast];
})"""
"""Of each box whether it is drawn by the theme, and how far it stands out from white paper (WCAG
2.2, contrast ratio)."""


def test_a_task_is_a_box_that_paper_shows(browser: Browser, site: Served) -> None:
    boxes = 0
    with watched(browser, site.address) as page:
        page.emulate_media(media="print")
        for name in site.pages_with("contains-task-list"):
            page.goto(site.url(name))
            found = page.locator(".contains-task-list input").evaluate_all(BOXES)
            assert all(drawn and contrast > 4.5 for drawn, contrast in found), name
            boxes += len(found)
    assert boxes > 1

"""What scripts say, and what they take from the page to say it, stands in the table as well."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from chromium import watched
from words.wording import NUMBERED, in_latin, met, of_page

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page


def seen(page: Page) -> str:
    """What stands on a page now, nothing of it in other words than the table's."""
    text = page.content()
    assert not [said for said in of_page(text) if in_latin(said)]
    shown = page.evaluate("document.body.innerText + document.querySelector('output')?.value")
    assert not re.findall(r"\{(?:count|line|shown)\}", shown)
    return str(shown)


def section(name: str) -> set[str]:
    return {one for one in NUMBERED if one.startswith(f"{name}.")}


def test_figures_speak_in_the_words_of_the_table(browser: Browser, sites: list[Path]) -> None:
    home = sites[0].as_uri()
    with watched(browser, home) as page:
        page.goto(f"{home}/figures.html")
        figure, said = page.locator("#a"), seen(page)
        figure.locator(".moves .label button").first.click()  # moves are copied
        said += seen(page)
        figure.locator(".moves .label button").last.click()  # and gone through
        said += seen(page)
        figure.locator(".controls button").nth(1).click()
        said += seen(page)
        assert "1 ое 2" in figure.locator(".place").inner_text()
        figure.locator(".leave").click()
        figure.locator(".picture .label button").first.click()
        said += seen(page)
    assert not section("walk") - met(said)


def test_search_speaks_in_the_words_of_the_table(browser: Browser, sites: list[Path]) -> None:
    home, said = sites[0].as_uri(), ""
    with watched(browser, home) as page:
        page.goto(f"{home}/search.html")
        for typed in ("λέξη που λείπει", "λεξικό", "μάθημα", "R"):
            before = page.locator("#found").inner_text()
            page.locator("#query").fill(typed)
            page.wait_for_function(
                "was => document.querySelector('#found').textContent !== was", arg=before
            )
            said += seen(page)
    assert {f"search.{name}" for name in ("none", "one", "many", "first")} <= met(said)


def test_a_missing_index_is_told_in_the_words_of_the_table(
    browser: Browser, sites: list[Path]
) -> None:
    home = sites[0].as_uri()
    with watched(browser, home, "net::ERR_FAILED") as page:
        page.route("**/search-index.js", lambda route: route.abort())
        page.goto(f"{home}/search.html")
        page.locator("#query").fill("R")
        page.locator("#found:not(:empty)").wait_for()
        assert "search.missing" in met(seen(page))


def test_what_is_left_of_the_figures_is_told_in_the_words_of_the_table(
    browser: Browser, sites: list[Path]
) -> None:
    home, said = sites[0].as_uri(), ""
    with watched(browser, home) as page:
        page.goto(f"{home}/figures/course-1.html")
        for typed in ("γραμμές", "ο"):
            page.locator("#filter").fill(typed)
            said += seen(page)
    assert {"figures.left_one", "figures.left"} <= met(said)

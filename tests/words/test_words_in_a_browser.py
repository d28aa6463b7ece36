"""What scripts say, and what they take from the page to say it, stands in the table as well."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

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
    page = browser.new_page()
    page.goto((sites[0] / "figures.html").as_uri())
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
    page.close()
    assert not section("walk") - met(said)


def test_search_speaks_in_the_words_of_the_table(browser: Browser, sites: list[Path]) -> None:
    page, said = browser.new_page(), ""
    page.goto((sites[0] / "search.html").as_uri())
    for typed in ("λέξη που λείπει", "λεξικό", "μάθημα", "R"):
        before = page.locator("#found").inner_text()
        page.locator("#query").fill(typed)
        page.wait_for_function(
            "was => document.querySelector('#found').textContent !== was", arg=before
        )
        said += seen(page)
    assert {f"search.{name}" for name in ("none", "one", "many", "first")} <= met(said)
    (sites[0] / "search-index.js").rename(sites[0] / "gone.js")
    page.reload()
    page.locator("#query").fill("R")
    page.locator("#found:not(:empty)").wait_for()
    said = seen(page)
    (sites[0] / "gone.js").rename(sites[0] / "search-index.js")
    page.goto((sites[0] / "figures" / "course-1.html").as_uri())
    for typed in ("γραμμές", "ο"):
        page.locator("#filter").fill(typed)
        said += seen(page)
    page.close()
    assert {"search.missing", "figures.left_one", "figures.left"} <= met(said)

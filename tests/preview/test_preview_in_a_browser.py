"""An open page while its source is edited: what the author sees, and what stays where it was."""

from __future__ import annotations

import json
from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest

from browser.browser_site import package
from chromium import watched
from preview.previewing import BROKEN, PAGE, PATIENCE, until

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path
    from typing import Unpack

    from playwright.sync_api import Browser, Locator, Page, Response, Route, ViewportSize

    from chromium import Options, Scheme
    from preview.previewing import Start

LONG = PAGE + "\n## Far down\n\n" + "\n\n".join(f"Paragraph {n}." for n in range(150)) + "\n"
FOLDED = LONG.replace("moves: R", "fold: answer\nmoves: R")
EMPTY = PAGE.replace("  F: GGY\n     GGW\n     GGG\n", "")

SOON = 5000
"""Milliseconds within which a page comes that nothing keeps from coming: a bound, not a measure."""

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@contextmanager
def opened(
    browser: Browser, address: str, *expected: str, **options: Unpack[Options]
) -> Iterator[Page]:
    """A page of a preview, which may complain of nothing but what is expected."""
    home = address[: address.index("/", len("http://")) + 1]
    with watched(browser, home, *expected, **options) as page:
        page.context.set_default_timeout(PATIENCE * 1000)
        page.goto(address)
        yield page


def news(page: Page) -> Callable[[Response], bool]:
    """What tells that an open page has asked whether it has changed, and has been told so."""
    version = page.locator("script[data-version]").get_attribute("data-version")
    return lambda answer: (
        answer.request.method == "HEAD" and answer.headers.get("etag") != f'"{version}"'
    )


def save(content: Path, text: str) -> None:
    (content / "page.md").write_text(text, "utf-8")


def test_an_edit_a_slip_and_its_mending(start: Start, content: Path, browser: Browser) -> None:
    preview = start().built()
    with opened(browser, f"{preview.address}page.html") as page:
        save(content, PAGE.replace("first", "second"))
        page.get_by_text("second state").wait_for()
        save(content, BROKEN.replace("first", "third"))
        panel = page.locator("#sitegen-preview")
        panel.locator("summary", has_text="2 problems").wait_for()
        assert panel.locator(".preview-source mark").first.inner_text() == "GGY"
        assert "content/page.md:8:6" in panel.inner_text()
        assert panel.locator(".preview-picture svg").count() == 2
        assert panel.locator("del").inner_text() == "R U R' U"
        assert panel.locator("ins").inner_text() == "R U R' U'"
        assert "second state" in page.inner_text("main")  # as it last held
        save(content, PAGE.replace("first", "fourth"))
        page.get_by_text("fourth state").wait_for()
        assert page.locator(".preview-told").count() == 0


def test_a_screen_reader_is_told_of_news_alone(
    start: Start, content: Path, browser: Browser
) -> None:
    preview = start().built()
    with opened(browser, f"{preview.address}page.html") as page:
        status = page.get_by_role("status")
        save(content, BROKEN)
        page.locator(".preview-told").wait_for()
        until(lambda: status.inner_text() == "2 problems", "the announcement")
        page.reload()
        page.wait_for_timeout(500)
        assert status.inner_text() == ""
        save(content, PAGE)
        until(lambda: status.inner_text() == "Everything on this page holds", "the good news")


def test_nothing_moves(start: Start, content: Path, browser: Browser) -> None:
    """Scrolling, open folds and the focus stay; also where text came in further up."""
    save(content, FOLDED)
    preview = start().built()
    with opened(browser, f"{preview.address}page.html") as page:
        page.locator("figure summary").first.click()
        page.get_by_role("link", name="Far down").focus()
        page.evaluate("window.scrollTo(0, 900)")
        before = page.locator("text='Paragraph 20.'").bounding_box()
        assert before
        save(content, FOLDED.replace("first", "second").replace("Paragraph 149.", "The last."))
        page.get_by_text("The last.").wait_for(state="attached")
        until(lambda: page.evaluate("window.scrollY") == 900, "the place it was scrolled to")
        assert page.locator("details").first.get_attribute("open") is not None
        assert page.evaluate("document.activeElement.textContent") == "Far down"
        save(content, FOLDED.replace("Words", "More words.\n\n" * 20 + "Words"))
        page.get_by_text("More words.").first.wait_for(state="attached")
        until(lambda: page.evaluate("window.scrollY") > 900, "the place further down")
        after = page.locator("text='Paragraph 20.'").bounding_box()
        assert after
        assert after["y"] == pytest.approx(before["y"], abs=1)


def test_a_page_at_its_top_stays_there_when_problems_come(
    start: Start, content: Path, browser: Browser
) -> None:
    save(content, LONG)
    preview = start().built()
    with opened(browser, f"{preview.address}page.html") as page:
        save(content, LONG.replace("R U R' U'", "R U R' U"))
        page.locator(".preview-told").wait_for()
        page.wait_for_timeout(300)
        assert page.evaluate("window.scrollY") == 0


def test_pages_that_come_and_go(start: Start, content: Path, browser: Browser) -> None:
    preview = start().built()
    with opened(browser, f"{preview.address}new.html", "404") as page:
        page.get_by_text("Page not found").wait_for()
        (content / "new.md").write_text("# A new page\n", "utf-8")
        page.get_by_role("heading", name="A new page").wait_for()
        (content / "new.md").unlink()
        page.get_by_text("Page not found").wait_for()


def test_a_page_that_never_held_opens_when_it_does(
    start: Start, content: Path, browser: Browser
) -> None:
    save(content, BROKEN)
    preview = start().built()
    with opened(browser, f"{preview.address}page.html") as page:
        page.locator("main .failure").first.wait_for()
        assert not page.locator(".review").is_visible()
        save(content, PAGE)
        page.locator("main .failure").first.wait_for(state="detached")


def test_drafts_are_marked(start: Start, browser: Browser) -> None:
    preview = start().built()
    with opened(browser, preview.address) as page:
        page.get_by_role("link", name="Later").click()
        page.get_by_text("Draft: this page is not published.").wait_for()


def test_an_empty_net_is_copied(start: Start, content: Path, browser: Browser) -> None:
    preview = start().built()
    rights = ["clipboard-read", "clipboard-write"]
    with opened(browser, f"{preview.address}page.html", permissions=rights) as page:
        save(content, EMPTY)
        page.get_by_role("region", name="Preview").get_by_role("button", name="Copy").click()
        page.get_by_role("button", name="Copied").wait_for()
        net = page.evaluate("navigator.clipboard.readText()")
        save(content, EMPTY.replace("after:\n", f"after:\n{net}"))
        page.locator(".preview-told").wait_for(state="detached")


def test_more_pages_than_a_browser_opens_connections(
    start: Start, content: Path, browser: Browser
) -> None:
    """Browsers open six connections to one HTTP/1.1 server (common practice, no source)."""
    preview = start().built()
    with opened(browser, f"{preview.address}page.html") as page:
        pages = [page, *(page.context.new_page() for _ in range(11))]
        for other in pages[1:]:
            other.goto(f"{preview.address}page.html")
        for words in ("second", "third"):
            save(content, PAGE.replace("first", words))
            for one in pages:
                one.get_by_text(f"{words} state").wait_for()
        pages[0].close()  # the one that listened for all
        save(content, PAGE.replace("first", "fourth"))
        for one in pages[1:]:
            one.get_by_text("fourth state").wait_for()


def test_an_open_page_finds_the_server_again(start: Start, content: Path, browser: Browser) -> None:
    preview = start().built()
    refused = "net::ERR_CONNECTION_REFUSED"
    # it may also be there again, and not yet have built
    with opened(browser, f"{preview.address}page.html", rf"{refused}|\b503\b") as page:
        with page.expect_console_message(lambda said: refused in said.text):
            assert preview.stop() == 0
        save(content, PAGE.replace("first", "second"))
        start("--port", str(preview.port)).built()
        page.get_by_text("second state").wait_for()


def test_a_link_is_followed_whatever_is_saved_meanwhile(
    start: Start, content: Path, browser: Browser
) -> None:
    preview = start().built()
    with opened(browser, f"{preview.address}page.html") as page:
        asked: list[Route] = []

        def hold(route: Route) -> None:
            asked.append(route)

        page.route("**/other.html", hold)
        with page.expect_response(news(page)):
            page.get_by_role("link", name="Other").first.click(no_wait_after=True)
            while not asked:
                page.wait_for_timeout(20)
            save(content, PAGE.replace("first", "second"))
        page.wait_for_timeout(300)
        asked[0].continue_()
        page.get_by_role("heading", name="Other").wait_for(timeout=SOON)


def press_while_saved(page: Page, place: Locator, content: Path) -> None:
    """Press the mouse on a place, and hold it there until the page has news, and time to act."""
    place.hover()
    page.mouse.down()
    with page.expect_response(news(page)):
        save(content, PAGE.replace("first", "second"))
    page.wait_for_timeout(300)


def test_a_link_is_followed_though_the_page_changes_while_it_is_pressed(
    start: Start, content: Path, browser: Browser
) -> None:
    preview = start().built()
    with opened(browser, f"{preview.address}page.html") as page:
        press_while_saved(page, page.get_by_role("link", name="Other").first, content)
        page.mouse.up()
        page.get_by_role("heading", name="Other").wait_for(timeout=SOON)


def test_a_page_that_was_pressed_and_not_left_is_refreshed(
    start: Start, content: Path, browser: Browser
) -> None:
    preview = start().built()
    with opened(browser, f"{preview.address}page.html") as page:
        press_while_saved(page, page.get_by_role("heading", name="Four turns"), content)
        assert page.get_by_text("first state").is_visible()
        page.mouse.up()
        page.get_by_text("second state").wait_for()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
def test_the_panel_can_be_read(
    start: Start, content: Path, browser: Browser, scheme: Scheme, width: int
) -> None:
    save(content, BROKEN + "\n" + EMPTY.replace("four-turns", "again"))
    (content / "other.md").write_text("# Other\n\n[nothing](gone.md)\n", "utf-8")
    preview = start().built()
    size: ViewportSize = {"width": width, "height": 800}
    with opened(
        browser, f"{preview.address}page.html", viewport=size, color_scheme=scheme, bypass_csp=True
    ) as page:
        page.locator(".preview-told > summary").click()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.evaluate(package("axe-core/axe.min.js").read_text("utf-8"))
        options = json.dumps({"runOnly": RULES})
        found = page.evaluate(f"axe.run('#sitegen-preview', {options})")
        assert [(v["id"], [n["html"] for n in v["nodes"]]) for v in found["violations"]] == []


def test_the_panel_is_in_english_on_a_page_in_another_language(
    start: Start, content: Path, browser: Browser
) -> None:
    save(content, f"---\nlang: he\n---\n{PAGE.replace('order 6', 'order 7')}")
    with opened(browser, f"{start().built().address}page.html") as page:
        message = page.locator(".preview-message")
        assert message.evaluate("one => getComputedStyle(one).direction") == "ltr"
        assert message.evaluate("one => one.closest('[lang]').lang") == "en"

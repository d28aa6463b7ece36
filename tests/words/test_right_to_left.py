"""Pages in languages that are written from right to left, as a browser lays them out.

Which languages these are is held against the browser's own copy of the Unicode Common Locale Data
Repository.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import pytest
from lxml import html

from chromium import watched
from sitegen.commands.main import main
from sitegen.pages.formats.direction import direction
from words.wording import built_as_it_is

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Locator, Page

TAGS: Final = (
    "ar ar-EG ar-Latn azb bal ckb cy de de-CH dv el en-GB fa fa-AF ff-Adlm fr glk ha ha-Arab he "
    "he-Latn hi it iw ja ji ks ks-Deva ku ku-Arab lrc luz mt mzn nqo pa pa-Arab pl pnb ps ru sd "
    "sd-Deva skr sw syr tr ug ur uz uz-Arab yi zh-Hant"
)

ASK: Final = """tags => tags.map(tag => {
  const locale = new Intl.Locale(tag);
  return (locale.getTextInfo ? locale.getTextInfo() : locale.textInfo).direction;
})"""


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built_as_it_is("arabic", tmp_path_factory.mktemp("arabic"))


@pytest.fixture
def page(browser: Browser, out: Path) -> Iterator[Page]:
    with watched(browser, out.as_uri(), viewport={"width": 1280, "height": 900}) as page:
        page.goto(f"{out.as_uri()}/arabic.html")
        yield page


def middle(element: Locator) -> float:
    box = element.bounding_box()
    assert box
    return box["x"] + box["width"] / 2


def test_the_languages_are_those_that_a_browser_knows(browser: Browser) -> None:
    tags = TAGS.split()
    with watched(browser, "about:blank") as page:
        assert [direction(tag) for tag in tags] == page.evaluate(ASK, tags)


def test_a_page_begins_at_the_right(page: Page) -> None:
    assert middle(page.locator(".site-title")) > middle(page.locator(".site-header nav"))
    assert middle(page.locator("main")) > middle(page.locator("#page_course"))
    before, after = page.locator("div.picture").all()
    assert middle(before) > middle(after)
    item = page.locator(".text > ul").bounding_box()
    text = page.locator(".text").bounding_box()
    assert item
    assert text
    assert item["x"] + item["width"] == pytest.approx(text["x"] + text["width"])


def test_moves_go_from_left_to_right_where_they_stand(page: Page) -> None:
    """The turn that is written first is on the left, and a line of moves begins at its number."""
    first, second = page.locator(".moves-inline .turn").all()
    assert middle(first) < middle(second)
    line, says = page.locator(".phrases .turns").first, page.locator(".phrases .says").first
    assert middle(line) > middle(page.locator(".moves"))
    ends = [box["x"] + box["width"] for box in (line.bounding_box(), says.bounding_box()) if box]
    assert ends[0] == pytest.approx(ends[1])


@pytest.mark.parametrize("text", [".count", ".hold"])
def test_what_is_said_in_english_is_not_read_from_its_end(page: Page, text: str) -> None:
    """No table of words is there: a number or a stop that English ends with would stand first."""
    first, last = page.locator(text).first.evaluate("""at => {
      const walk = document.createTreeWalker(at, NodeFilter.SHOW_TEXT);
      const texts = [];
      while (walk.nextNode()) if (walk.currentNode.data.trim()) texts.push(walk.currentNode);
      const place = (text, from) => {
        const range = document.createRange();
        range.setStart(text, from);
        range.setEnd(text, from + 1);
        return range.getBoundingClientRect().left;
      };
      const end = texts.at(-1);
      return [place(texts[0], 0), place(end, end.data.trimEnd().length - 1)];
    }""")
    assert first < last


def test_a_word_at_a_ring_and_a_tick_stand_clear_of_what_is_said_in_english(page: Page) -> None:
    word, place = (page.locator(f".marked {one}").first.bounding_box() for one in ("b", "code"))
    assert word
    assert place
    assert word["x"] + word["width"] <= place["x"]
    page.emulate_media(media="print")
    tick = "at => getComputedStyle(at, '::before').marginRight"
    assert page.locator(".checked li").first.evaluate(tick) != "0px"


def test_letters_that_join_have_no_space_between_them(page: Page) -> None:
    texts = page.locator("h1, .summary, .label, .number, .title, .says, .site-title").all()
    told = "at => [getComputedStyle(at).letterSpacing, getComputedStyle(at).fontStyle]"
    assert len(texts) > 7
    assert {tuple(text.evaluate(told)) for text in texts} == {("normal", "normal")}


def test_the_key_that_points_on_goes_on(page: Page) -> None:
    page.locator(".moves .label button").last.click()
    page.keyboard.press("ArrowLeft")
    assert page.locator(".stage .caption").inner_text().endswith("اليمين")
    page.keyboard.press("ArrowRight")
    assert page.locator(".stage .caption").inner_text() == "Before"


def test_a_list_in_another_language_has_each_title_its_own_way(browser: Browser, out: Path) -> None:
    with watched(browser, out.as_uri()) as page:
        page.goto(f"{out.as_uri()}/index.html")
        assert page.locator("html").get_attribute("dir") == "ltr"
        ways = page.locator(".contents li").evaluate_all(
            "all => all.map(one => getComputedStyle(one).direction)"
        )
        count = page.locator(".contents li .many").first
        said = count.evaluate("at => [at.closest('[lang]').lang, getComputedStyle(at).direction]")
    assert ways == ["rtl", "ltr"]
    assert said == ["de", "ltr"]  # how many figures there are is not part of the title


@pytest.mark.parametrize(
    ("shown", "other", "lang", "count"),
    [
        ("arabic.html", "german.html", "de", 3),  # to be read first, in the margin, the next one
        ("german.html", "arabic.html", "ar", 2),  # in the margin, the one before
        ("index.html", "arabic.html", "ar", 1),
        ("figures/course-1.html", "arabic.html", "ar", 1),
        ("cards/course-1.html", "arabic.html", "ar", 1),
        ("sequences.html", "arabic.html", "ar", 1),
    ],
)
def test_a_title_in_another_language_says_so(
    out: Path, shown: str, other: str, lang: str, count: int
) -> None:
    page = html.parse(out / shown).getroot()
    links = [link for link in page.iter("a") if other in link.get("href")]
    assert len(links) == count
    for link in links:
        *_, named = (element for element in link.iter() if (element.text or "").strip())
        nearest = next(
            element for element in (named, *named.iterancestors()) if element.get("lang")
        )
        assert nearest.get("lang") == lang
        assert nearest.get("dir") == direction(lang)


def test_a_message_is_in_english_in_a_copy_for_review(browser: Browser, tmp_path: Path) -> None:
    content, out = tmp_path / "content", tmp_path / "out"
    content.mkdir()
    text = "---\nlang: ar\ntitle: صفحة\n---\n\n[x](nowhere.md)\n"
    (content / "page.md").write_text(text, "utf-8")
    assert main(["build", str(content), "--out", str(out), "--with-failures"]) == 1
    with watched(browser, out.as_uri()) as page:
        page.goto(f"{out.as_uri()}/page.html")
        message = page.get_by_text("nowhere.md")
        ways = message.first.evaluate(
            "one => [one.closest('[lang]').lang, getComputedStyle(one.closest('[lang]')).direction]"
        )
    assert ways == ["en", "ltr"]

"""Figures in a browser: gone through step by step, copied, enlarged, in a reader's own colours."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import pytest

from browser.browser_site import serve
from chromium import watched
from sitegen.commands.main import main

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Locator, Page

    from browser.browser_site import Served
    from chromium import Motion

PAGE: Final = """
---
title: Turned in the browser
cube: 3
lowercase: slice
sequences:
  over: R U R'
  over-twice: "{over}2 D"
  u: "F2"
---

```moves two
title: Two lines
moves:
  R2    // in
  U2    // over
check: turns 2
```

```moves focused
moves:
  R2
  U2
check: turns 2
focus: corners
```

```moves one
moves: [R, {over}]
check: not solved
focus: corners
show: corner
```

```moves names
cube: 4
moves:
  {over-twice}' u {u}
  {over}
check: not solved
show: none
```

```moves hidden
moves:
  F
  B'
check: turns 2
fold: answer
```

```moves shown
moves:
  F
  B'
  L
check: turns 3
show: steps
```

```moves large
cube: 7
moves: 3R
check: order 4
```

```moves labelled
moves: R
check: order 4
mark: FU = a
show: corner before
```

```moves still
mark: FU
```

```moves worded
mark: FU = lantern
```
""".lstrip()


@pytest.fixture(scope="module")
def turned(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    content, out = tmp_path_factory.mktemp("content"), tmp_path_factory.mktemp("built") / "out"
    (content / "page.md").write_text(PAGE, "utf-8")
    assert main(["build", str(content), "--out", str(out)]) == 0
    with serve({}, out) as served:
        yield served


def press(where: Locator, name: str) -> None:
    where.get_by_role("button", name=name, exact=True).first.click()


def strokes(picture: Locator) -> str:
    """What is drawn of the stickers of a picture, letters and marks left out."""
    return str(
        picture.evaluate(
            "svg => [...svg.querySelectorAll('path')].filter(path => /^c\\d$/.test(path.className"
            ".baseVal)).map(path => path.className.baseVal + path.getAttribute('d')).join()"
        )
    )


def marks(picture: Locator) -> int:
    """How many stickers are marked as changed."""
    return int(
        picture.evaluate(
            "svg => [...svg.querySelectorAll('.changed')].flatMap(path => [...path.getAttribute("
            "'d').matchAll(/v(\\d+)/g)]).reduce((sum, run) => sum + run[1] / 2, 0)"
        )
    )


def stage(page: Page, figure: str) -> Locator:
    return page.locator(f"#{figure} .stage")


@pytest.mark.parametrize("by", ["buttons", "keys"])
def test_a_figure_is_gone_through_phrase_by_phrase(
    browser: Browser, turned: Served, by: str
) -> None:
    with watched(browser, turned.address) as page:
        page.goto(turned.url("page.html"))
        figure = page.locator("#two")
        before, after = (figure.locator(f".plates > .picture[data-line='{n}'] svg") for n in (0, 2))
        between = figure.locator(".steps .picture svg")
        shown, caption = stage(page, "two").locator("svg"), stage(page, "two").locator(".caption")

        def go(way: int) -> None:
            if by == "keys":
                page.keyboard.press("ArrowRight" if way > 0 else "ArrowLeft")
            else:
                name = "Next" if way > 0 else "Back"
                # at either end it is there, and says that it does nothing
                stage(page, "two").get_by_role("button", name=name).click(force=True)

        press(figure, "Step by step")
        assert not before.is_visible()
        assert (strokes(shown), caption.inner_text()) == (strokes(before), "Before")
        go(-1)
        assert "0 of 2" in stage(page, "two").inner_text()
        go(1)
        assert strokes(shown) == strokes(between)
        assert "R2" in caption.inner_text()
        assert "in" in caption.inner_text()
        # a half turn of R exchanges the right columns of U and D, of F and B: twelve stickers
        assert marks(shown) == 12
        assert marks(between) == 12
        go(1)
        assert strokes(shown) == strokes(after)
        assert page.locator("#two .phrases .now .turns").inner_text().strip() == "U2"
        # U2 after that brings the yellow column of U to its other side (six stickers), exchanges
        # the upper rows of L and R (six), and of F and B, which differ in their middles (two)
        assert marks(shown) == 14
        go(1)
        assert "2 of 2" in stage(page, "two").inner_text()
        go(-1)
        assert strokes(shown) == strokes(between)
        press(stage(page, "two"), "All at once")
        assert before.is_visible()
        assert stage(page, "two").count() == 0
        assert page.evaluate("document.activeElement.textContent") == "Step by step"


def test_moves_and_what_is_known_of_them_begin_on_one_line(
    browser: Browser, turned: Served
) -> None:
    """There are buttons beside one of the two labels."""
    tops = """labels => labels.map(label => {
        const text = document.createRange();
        text.selectNodeContents(label.firstChild);
        return Math.round(text.getBoundingClientRect().top);
    })"""
    with watched(browser, turned.address, viewport={"width": 1200, "height": 800}) as page:
        page.goto(turned.url("page.html"))
        labels = page.locator("#two :is(.moves, .facts > :first-child) > .label")
        moves, facts = labels.evaluate_all(tops)
        assert moves == facts


def test_only_several_phrases_are_gone_through(browser: Browser, turned: Served) -> None:
    with watched(browser, turned.address) as page:
        page.goto(turned.url("page.html"))
        offered = page.evaluate(
            "[...document.querySelectorAll('button')].filter(b => b.textContent === 'Step by step')"
            ".map(b => b.closest('figure').id)"
        )
        assert offered == ["two", "focused", "hidden"]


def test_stickers_out_of_focus_are_not_marked(browser: Browser, turned: Served) -> None:
    with watched(browser, turned.address) as page:
        page.goto(turned.url("page.html"))
        press(page.locator("#focused"), "Step by step")
        press(stage(page, "focused"), "Next")
        # of the twelve that a half turn of R exchanges, four are on pieces of edges
        assert marks(stage(page, "focused").locator("svg")) == 8


def test_what_is_gone_through_stays_behind_its_fold(browser: Browser, turned: Served) -> None:
    with watched(browser, turned.address) as page:
        page.goto(turned.url("page.html"))
        figure = page.locator("#hidden")
        assert not figure.get_by_role("button", name="Step by step").is_visible()
        figure.get_by_text("Show the answer").click()
        assert figure.get_by_text("Hide the answer").is_visible()
        assert not figure.get_by_text("Show the answer").is_visible()
        press(figure, "Step by step")
        press(stage(page, "hidden"), "Next")
        assert figure.locator(".picture[data-line='0'] svg").first.is_visible()


def test_nothing_moves_for_those_who_ask_for_it(browser: Browser, turned: Served) -> None:
    moving = {}
    asked: tuple[Motion, ...] = ("reduce", "no-preference")
    for motion in asked:
        with watched(browser, turned.address, reduced_motion=motion) as page:
            page.goto(turned.url("page.html"))
            press(page.locator("#two"), "Step by step")
            moving[motion] = page.evaluate(
                "getComputedStyle(document.querySelector('.stage svg')).animationName"
            )
    assert moving == {"reduce": "none", "no-preference": "appear"}


def test_moves_are_copied_with_their_names_written_out(browser: Browser, turned: Served) -> None:
    read = "navigator.clipboard.readText()"
    allowed = ["clipboard-read", "clipboard-write"]
    with watched(browser, turned.address, permissions=allowed) as page:
        page.goto(turned.url("page.html"))
        press(page.locator("#two"), "Copy")
        assert page.evaluate(read) == "R2\nU2"
        assert page.locator("#two").get_by_text("Copied").is_visible()
        press(page.locator("#one"), "Copy")
        assert page.evaluate(read) == "[R, R U R']"
        press(page.locator("#names"), "Copy")
        assert page.evaluate(read) == "((R U R')2 D)' u F2\nR U R'"
        # pages that come without encryption have no clipboard of that kind
        page.evaluate("Object.defineProperty(navigator, 'clipboard', {value: undefined})")
        press(page.locator("#large"), "Copy")
        page.locator("#large").get_by_text("Copied").wait_for()
    with watched(browser, turned.address, permissions=allowed) as page:
        page.goto(turned.url("page.html"))
        assert page.evaluate(read) == "3R"


@pytest.mark.parametrize("how", ["button", "picture"])
def test_a_picture_is_enlarged_on_a_phone(browser: Browser, turned: Served, how: str) -> None:
    with watched(browser, turned.address, viewport={"width": 360, "height": 740}) as page:
        page.goto(turned.url("page.html"))
        picture = page.locator("#large svg").first
        small = picture.bounding_box()
        assert small is not None
        if how == "button":
            press(page.locator("#large"), "Enlarge: Before")
        else:
            picture.click()
        large = page.locator("dialog svg").bounding_box()
        assert large is not None
        assert large["width"] > 1.8 * small["width"]
        assert page.evaluate("document.documentElement.scrollWidth") == 360
        page.keyboard.press("Escape")
        assert page.locator("dialog svg").is_hidden()
        page.locator("#large svg").first.click()
        press(page.locator("dialog"), "Close")
        assert page.locator("dialog svg").is_hidden()


def test_what_is_heard_of_a_button_tells_which_picture_it_enlarges(
    browser: Browser, turned: Served
) -> None:
    with watched(browser, turned.address) as page:
        page.goto(turned.url("page.html"))
        figure = page.locator("#large")
        for moment in ("Before", "After"):
            figure.get_by_role("button", name=f"Enlarge: {moment}", exact=True).wait_for()
        alone = page.locator("#still")
        alone.get_by_role("button", name="Enlarge", exact=True).wait_for()


def test_a_picture_over_a_corner_is_enlarged_to_the_window_and_no_further(
    browser: Browser, turned: Served
) -> None:
    for width, height in ((360, 740), (1280, 800)):
        with watched(browser, turned.address, viewport={"width": width, "height": height}) as page:
            page.goto(turned.url("page.html"))
            press(page.locator("#one"), "Enlarge: Before")
            frame = page.locator("dialog > div")
            for side in ("Width", "Height"):
                inside, own = (
                    frame.evaluate(f"e => e.{kind}{side}") for kind in ("scroll", "client")
                )
                assert inside == own
            drawn = page.locator("dialog svg").bounding_box()
            assert drawn is not None
            assert drawn["width"] > 0.9 * width


INK = "getComputedStyle(document.querySelector('#two .c0')).stroke"


def letters(page: Page, figure: str) -> str:
    return "".join(page.locator(f"#{figure} svg").first.locator(".own text").all_text_contents())


def test_the_readers_own_colours_and_letters_are_kept(browser: Browser, turned: Served) -> None:
    with watched(browser, turned.address) as page:
        page.goto(turned.url("page.html"))
        first = page.evaluate(INK)
        page.get_by_text("Colours and letters").click()
        page.get_by_label("white").fill("#123456")
        page.get_by_label("Letters on the stickers").check()
        for _ in range(2):
            assert page.evaluate(INK) == "rgb(18, 52, 86)"
            assert sorted(letters(page, "two")) == sorted("WOGRBY" * 9)
            page.reload()
        # over a corner, out of focus: the four corners of each of the sides U, F and R
        assert sorted(letters(page, "one")) == sorted("WGR" * 4)
        # all but the one sticker that has a label
        assert sorted(letters(page, "labelled")) == sorted("WGR" * 9)[1:]
        page.get_by_text("Colours and letters").click()
        press(page.locator(".own-cube"), "As they were")
        assert (page.evaluate(INK), letters(page, "two")) == (first, "")
        page.reload()
        assert (page.evaluate(INK), letters(page, "two")) == (first, "")


def test_marks_on_a_dark_colour_are_light_until_a_reader_chooses_another(
    browser: Browser, tmp_path: Path
) -> None:
    content, out = tmp_path / "content", tmp_path / "out"
    content.mkdir()
    (content / "page.md").write_text(PAGE, "utf-8")
    (content / "site.toml").write_text('[colours]\nU = { value = "#101010" }\n', "utf-8")
    assert main(["build", str(content), "--out", str(out)]) == 0
    inks = "marks => marks.map(mark => getComputedStyle(mark).stroke)"
    with serve({}, out) as served, watched(browser, served.address) as page:
        page.goto(served.url("page.html"))
        on_black = page.locator("#two .on0")
        assert {*on_black.evaluate_all(inks)} == {"rgb(255, 255, 255)"}
        page.get_by_text("Colours and letters").click()
        page.get_by_label("white").fill("#ffffff")
        assert {*on_black.evaluate_all(inks)} == {*page.locator("#two .plate").evaluate_all(inks)}


def test_letters_stand_on_their_stickers(browser: Browser, turned: Served) -> None:
    under = """() => [...document.querySelectorAll('#shown svg, #one svg')].flatMap(svg =>
        [...svg.querySelectorAll('.own text')].map(text => {
            svg.scrollIntoView({block: 'center'});
            const {x, y, width, height} = text.getBoundingClientRect();
            const below = document.elementsFromPoint(x + width / 2, y + height / 2)
                .find(found => /^c\\d$/.test(found.className.baseVal ?? ''));
            return [text.textContent, below && 'WOGRBY'[below.className.baseVal[1]]];
        }))"""
    with watched(browser, turned.address) as page:
        page.goto(turned.url("page.html"))
        page.get_by_text("Colours and letters").click()
        page.get_by_label("Letters on the stickers").check()
        found = page.evaluate(under)
        assert len(found) > 100
        assert [pair for pair in found if pair[0] != pair[1]] == []


def test_no_letter_stands_under_a_label(browser: Browser, turned: Served) -> None:
    hidden = """() => [...document.querySelectorAll('#labelled svg, #worded svg')].flatMap(svg => {
        const tag = svg.querySelector('.tag').getBoundingClientRect();
        return [...svg.querySelectorAll('.own text')].map(text => {
            const at = text.getBoundingClientRect(), x = at.x + at.width / 2;
            return at.right > tag.left && at.left < tag.right
                && Math.abs(at.top + at.height / 2 - tag.top - tag.height / 2) < at.height / 2;
        });
    })"""
    with watched(browser, turned.address) as page:
        page.goto(turned.url("page.html"))
        page.get_by_text("Colours and letters").click()
        page.get_by_label("Letters on the stickers").check()
        found = page.evaluate(hidden)
        # a corner shows 27 stickers and a net 54; the shorter label lies on one, the other on more
        assert 27 + 54 - 8 < len(found) < 27 + 54 - 1
        assert not any(found)


def test_paper_tells_stickers_by_their_letters(browser: Browser, turned: Served) -> None:
    with watched(browser, turned.address) as page:
        page.goto(turned.url("page.html"))
        page.evaluate("dispatchEvent(new Event('beforeprint'))")
        assert sorted(letters(page, "two")) == sorted("WOGRBY" * 9)
        page.evaluate("dispatchEvent(new Event('afterprint'))")
        assert letters(page, "two") == ""


def test_a_theme_may_leave_out_the_colours_of_the_readers_cube(
    browser: Browser, tmp_path: Path
) -> None:
    content, own, out = tmp_path / "content", tmp_path / "themes", tmp_path / "out"
    content.mkdir()
    own.mkdir()
    (content / "page.md").write_text(PAGE, "utf-8")
    (own / "own_cube.html").write_text("", "utf-8")
    assert main(["build", str(content), "--out", str(out)]) == 0
    with serve({}, out) as served, watched(browser, served.address) as page:
        page.goto(served.url("page.html"))
        page.evaluate("dispatchEvent(new Event('beforeprint'))")
        assert sorted(letters(page, "two")) == sorted("WOGRBY" * 9)
        page.evaluate("dispatchEvent(new Event('afterprint'))")
        assert letters(page, "two") == ""


def test_without_script_every_phrase_has_its_picture(browser: Browser, turned: Served) -> None:
    with watched(browser, turned.address, java_script_enabled=False) as page:
        page.goto(turned.url("page.html"))
        fold = page.locator("#two .steps")
        fold.locator("summary").click()
        assert "R2" in fold.inner_text()
        assert fold.locator("svg").is_visible()
        assert page.locator("button:visible, .own-cube:visible").count() == 0

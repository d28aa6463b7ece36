"""Pages judged by others: axe-core for those who cannot see them well, Nu for what HTML allows."""

from __future__ import annotations

import json
import shutil
import subprocess
from functools import cache
from typing import TYPE_CHECKING, Final

import pytest

from browser.browser_site import open_steps, package, unfold
from chromium import missing, watched
from sitegen.commands.main import main

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page, ViewportSize

    from browser.browser_site import Served
    from chromium import Scheme

LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
"""What axe-core is asked for; `target-size` runs only where `wcag22aa` is named."""

TOO_MANY = 6000
"""Elements on a page from which axe-core takes minutes: a 33x33 has that many stickers."""

ALIKE: Final = 4
"""About how many pages of one folder axe-core judges, every other one at either width."""


JUDGE: Final = """async options => {
    const found = await axe.run(document, options);
    const told = one => one.nodes.map(node => `${one.id}: ${node.html.slice(0, 120)}`);
    return {wrong: found.violations.flatMap(told), passed: found.passes.length};
}"""
"""What is wrong, and how many rules hold: bringing out all that axe-core tells takes longer than to
judge."""


@cache
def axe() -> str:
    return package("axe-core/axe.min.js").read_text("utf-8")


def judged(page: Page, site: Served, name: str) -> list[str]:
    """What axe-core finds wrong in a page, everything on it unfolded, steps begun."""
    page.goto(site.url(name))
    unfold(page)
    open_steps(page)
    if page.evaluate("document.querySelectorAll('*').length") > TOO_MANY:
        return []
    page.evaluate(axe())
    found = page.evaluate(JUDGE, {"runOnly": LEVELS})
    assert found["passed"]
    return [f"{name}: {wrong}" for wrong in found["wrong"]]


def few_of_a_folder(site: Served) -> list[str]:
    """Every page at the site's root, and some of each folder: those of one folder are alike."""
    folders: dict[str, list[str]] = {"": ["404.html"] * (site.folder / "404.html").exists()}
    for page in site.pages:
        folders.setdefault(page.rpartition("/")[0], []).append(page)
    return [
        page
        for folder, pages in folders.items()
        for page in (pages[:: max(1, len(pages) // ALIKE)] if folder else pages)
    ]


@pytest.mark.parametrize(("half", "width", "scheme"), [(0, 320, "light"), (1, 1280, "dark")])
def test_axe_finds_nothing(
    browser: Browser, site: Served, half: int, width: int, scheme: Scheme
) -> None:
    size: ViewportSize = {"width": width, "height": 900}
    pages = few_of_a_folder(site)[half::2]
    # a page's own rule against foreign script is for readers; the judge is let in
    with watched(
        browser, site.address, bypass_csp=True, color_scheme=scheme, viewport=size
    ) as page:
        assert [fault for name in pages for fault in judged(page, site, name)] == []


def test_axe_sees_what_is_wrong(browser: Browser, site: Served) -> None:
    with watched(browser, site.address, bypass_csp=True) as page:
        page.goto(site.url("index.html"))
        page.evaluate("document.querySelector('main').append(document.createElement('img'))")
        page.evaluate(axe())
        found = page.evaluate(JUDGE, {"runOnly": ["wcag2a"]})
        assert any(wrong.startswith("image-alt: ") for wrong in found["wrong"])


def nu(files: list[Path], *options: str) -> list[str]:
    """What the Nu Html Checker says of files of one kind, errors and warnings alike."""
    if shutil.which("java") is None:
        missing("java")
    program = package("vnu-jar/build/dist/vnu.jar")
    done = subprocess.run(
        [
            *("java", "-Xss2m", "-jar", str(program)),
            *("--format", "json", "--stdout", "--exit-zero-always", *options),
            *map(str, files),
        ],
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    return [
        f"{said['url'].rpartition('/')[2]}:{said.get('lastLine')}: {said['message']}"
        for said in json.loads(done.stdout)["messages"]
        if not is_about_local_files(said["message"])
    ]


def is_about_local_files(message: str) -> bool:
    """The checker warns that `'self'` blocks a page's own files: those on a disk have no origin."""
    return message.startswith("Resource violates Content Security Policy")


def test_nu_says_nothing_of_any_page(site: Served) -> None:
    assert nu(sorted(site.folder.rglob("*.html"))) == []


def test_nu_says_nothing_of_any_picture(site: Served, tmp_path: Path) -> None:
    for n in (2, 3, 4, 7):
        drawn = tmp_path / f"net-{n}.svg"
        assert main(["net", "R U2 F'", "--cube", str(n), "--letters", "--out", str(drawn)]) == 0
    pictures = [*sorted(site.folder.rglob("*.svg")), *sorted(tmp_path.glob("*.svg"))]
    assert len(pictures) > 4
    assert nu(pictures, "--svg") == []


def test_nu_sees_what_is_wrong(tmp_path: Path) -> None:
    page = tmp_path / "wrong.html"
    page.write_text("<!doctype html><html lang=en><title>A</title><p><li>b", "utf-8")
    assert nu([page])

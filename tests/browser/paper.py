"""Pages as a browser prints them, read again from the sheets."""

from __future__ import annotations

import re
import shutil
import subprocess
import unicodedata
from typing import TYPE_CHECKING

from chromium import missing

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

WORDS = """() => {
    const shown = node => {
        for (let at = node.parentElement; at; at = at.parentElement) {
            if (at instanceof SVGElement || at.tagName === 'NOSCRIPT'
                || getComputedStyle(at).display === 'none') return false;
        }
        return true;
    };
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const words = [];
    while (walker.nextNode()) {
        if (shown(walker.currentNode)) words.push(...walker.currentNode.data.split(/\\s+/));
    }
    return words.filter(word => word);
}"""


def words_on(page: Page) -> list[str]:
    """The words of a page that are not hidden, pictures' own left out."""
    return [squeezed(word) for word in page.evaluate(WORDS)]


def on_paper(page: Page, paper: str, folder: Path) -> list[str]:
    """The words of each sheet that the page takes, spaces taken out."""
    program = shutil.which("pdftotext")
    if program is None:
        missing("pdftotext")
    target = folder / "page.pdf"
    page.pdf(path=target, format=paper, print_background=False)
    done = subprocess.run(
        [program, "-raw", str(target), "-"],
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    return [squeezed(sheet) for sheet in done.stdout.split("\f")]


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", unicodedata.normalize("NFKC", text))

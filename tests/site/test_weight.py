"""How much a reader has to load: all scripts; a page of large figures with what belongs to it."""

from __future__ import annotations

import gzip
import random
import re
from typing import TYPE_CHECKING

from sitegen.commands.main import main
from sitegen.pages.formats.theme import DEFAULT_THEME

if TYPE_CHECKING:
    from pathlib import Path

LAYERS = (
    "U",
    "R",
    "F",
    "D",
    "L",
    "B",
    "Uw",
    "Rw",
    "Fw",
    "3Uw",
    "3Rw",
    "2R",
    "3L",
    "2-3U",
    "M",
    "E",
)


def weight(data: bytes) -> int:
    """Bytes as a web server sends them."""
    return len(gzip.compress(data, 9))


def test_all_scripts_of_a_site_together_are_at_most_6_kb() -> None:
    scripts = sorted(DEFAULT_THEME.glob("*.js"))
    assert scripts
    assert sum(weight(path.read_bytes()) for path in scripts) <= 6000


def test_a_page_of_ten_figures_of_a_scrambled_7x7_is_at_most_60_kb(tmp_path: Path) -> None:
    chance = random.Random(7)
    blocks = []
    for number in range(10):
        turns = [chance.choice(LAYERS) + chance.choice(["", "'", "2"]) for _ in range(20)]
        start = "from: last" if number else "from: " + " ".join(turns[:3])
        lines = [f"  {' '.join(turns[at : at + 5])}  // and on" for at in (0, 5, 10, 15)]
        blocks += [f"## Part {number}", "", "```moves", "title: On we go", start, "moves:", *lines]
        blocks += ["check: not solved", "```", ""]
    content, out = tmp_path / "content", tmp_path / "out"
    content.mkdir()
    text = "\n".join(["---", "title: Ten figures", "cube: 7", "---", "", *blocks])
    (content / "page.md").write_text(text, "utf-8")
    assert main(["build", str(content), "--out", str(out)]) == 0
    page = (out / "page.html").read_bytes()
    loaded = re.findall(r'(?:href|src)="(theme/[^"]+)"', page.decode())
    assert len(loaded) > 5
    whole = weight(page) + sum(weight((out / name).read_bytes()) for name in loaded)
    assert whole <= 60_000

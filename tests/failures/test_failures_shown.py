"""Copies for review: what is wrong stands in its place, and no published site is touched."""

from __future__ import annotations

import json
import re
import shutil
from html import unescape
from pathlib import Path
from typing import Protocol

import pytest

from case_copies import copy_case
from folders import tree
from sitegen.block.contrast import contrast
from sitegen.commands.main import main
from sitegen.cube.geometry import geometry
from sitegen.make import make
from sitegen.pages.output import MANIFEST

CASES = Path(__file__).parents[1] / "pages" / "bad"
RULES = sorted(CASES.iterdir())
SITES = sorted(path for path in CASES.glob("*/*") if path.is_dir())

PAGE = """# Page

See [nothing](gone.md), and `#one turns`.

```moves one
title: The first
mark: UFR = a
moves:
  R U R'      // carried off
  U
after:
  F: GGY
     GGW
     GGG
check:
  order 6
  turns 4 STM
```

```moves two
from: #one
moves: U
check: order 4
```

```moves three
moves: R U
check: order 105
```

```moves four
moves: R U R2'3
```
"""


class Build(Protocol):
    """Builds a content folder; the status it ends with."""

    def __call__(self, content: Path, *arguments: str) -> int: ...


class Shown(Protocol):
    """Builds a copy of a content folder for review; fails where a problem is not shown in it."""

    def __call__(self, content: Path) -> None: ...


def words(page: Path) -> str:
    """A page's text, spaces made one."""
    text = re.sub(r"<[^>]*>", "", page.read_text("utf-8"))
    return " ".join(unescape(text).split())


def sections(page: Path) -> dict[str, str]:
    """The parts of a page that show a failure, by what they are called, their markup kept."""
    text = page.read_text("utf-8")
    found = re.findall(
        r'<section class="failure (\w+)" aria-label="([^"]*)">(.*?)</section>', text, re.DOTALL
    )
    return {name: f"{state} {body}" for state, name, body in found}


@pytest.fixture
def content(tmp_path: Path) -> Path:
    folder = tmp_path / "content"
    folder.mkdir()
    (folder / "page.md").write_text(PAGE, "utf-8")
    return folder


@pytest.fixture
def build(capsys: pytest.CaptureFixture[str]) -> Build:
    def run(content: Path, *arguments: str) -> int:
        status = main(["build", str(content), *arguments])
        capsys.readouterr()
        return status

    return run


@pytest.fixture
def shown(capsys: pytest.CaptureFixture[str]) -> Shown:
    """Build a copy for review, and find every problem in it: on its own page, or in the list."""

    def run(content: Path) -> None:
        out = content.parent / "review"
        given = ["build", str(content), "--with-failures", "--out", str(out), "--format", "json"]
        status = main(given)
        problems = json.loads(capsys.readouterr().out)["problems"]
        assert problems
        assert status == any(problem["severity"] == "error" for problem in problems)
        pages = [page for page in out.rglob("*.html") if page.is_file()]
        assert not [page for page in pages if "<>" in page.read_text("utf-8")], "a tag has a name"
        told = words(out / "failures.html")
        for problem in problems:
            message = re.sub(r"`([^`\n]+)`", r"\1", problem["message"])
            page = (out / problem["file"]).with_suffix(".html")
            text = told + (words(page) if page.is_file() else "")
            assert " ".join(message.split()) in text, problem

    return run


def test_each_failing_block_shows_what_is_wrong(
    content: Path, tmp_path: Path, build: Build
) -> None:
    out = tmp_path / "review"
    assert build(content, "--with-failures", "--out", str(out)) == 1
    shown = sections(out / "page.html")
    assert list(shown) == [
        "Problems of this page",
        "Figure 1: problems",
        "Figure 2: problems",
        "Figure 4: problems",
    ]
    first = shown["Figure 1: problems"]
    assert first.startswith("failed ")
    assert "stickers of this net differ from the position after the moves" in first
    assert first.index("The page says") < first.index("The moves give")
    assert first.count('class="ring"') >= 2
    assert "<ins><mark>U&#39;</mark></ins>" in first
    # only what holds has its tick: the moves are four turns, and their order is not six
    assert "<li>4 turns (STM)</li>" in first
    assert "<li><code>order 6</code></li>" not in first
    assert shown["Figure 2: problems"].startswith("waiting ")
    assert "the block in line 5 (one)" in shown["Figure 2: problems"]
    assert "order 4</code></li>" not in shown["Figure 2: problems"]
    assert "moves: R U R2" in shown["Figure 4: problems"]
    assert "gone.md" in shown["Problems of this page"]


def test_a_block_waits_for_the_next_that_failed_though_that_waits_as_well(
    tmp_path: Path, build: Build
) -> None:
    content, out = tmp_path / "content", tmp_path / "review"
    content.mkdir()
    blocks = {
        "one": "moves: R\ncheck: order 5",
        "two": "from: #one\nmoves: R3",
        "three": "from: #two\nmoves: U\ncheck: order 4",
        "four": "from: #three\nmoves: U\ncheck: order 4",
    }
    page = "".join(f"```moves {name}\n{held}\n```\n\n" for name, held in blocks.items())
    (content / "page.md").write_text(f"# Page\n\n{page}", "utf-8")
    assert build(content, "--with-failures", "--out", str(out)) == 1
    shown = sections(out / "page.html")
    assert [found.split()[0] for found in shown.values()] == ["failed"] * 2 + ["waiting"] * 2
    for number in (3, 4):
        named = re.findall(r"the block in line \d+ \((\w+)\)", shown[f"Figure {number}: problems"])
        assert named == ["two"]


def test_a_copy_may_be_for_another_address(content: Path, tmp_path: Path, build: Build) -> None:
    out = tmp_path / "review"
    given = ["--with-failures", "--out", str(out), "--url", "https://trial.example/"]
    assert build(content, *given) == 1
    assert "https://trial.example/page.html" in (out / "sitemap.xml").read_text("utf-8")


def test_what_holds_in_a_block_with_a_warning_is_said(tmp_path: Path, build: Build) -> None:
    content, out = tmp_path / "content", tmp_path / "review"
    content.mkdir()
    (content / "page.md").write_text(
        "# Page\n\n```moves\ncube: 4\nmoves: R2U F\ncheck: turns 3 STM\n```\n", "utf-8"
    )
    assert build(content, "--with-failures", "--out", str(out)) == 0
    (shown,) = sections(out / "page.html").values()
    assert "could be meant too" in shown
    assert "<li>3 turns (STM)</li>" in shown


def test_the_list_leads_to_the_pages(content: Path, tmp_path: Path, build: Build) -> None:
    (content / "site.toml").write_text('bogus = "x"\n', "utf-8")
    (content / "draft.md").write_text("---\ndraft: yes\n---\n# Draft\n\n[x](no.md)\n", "utf-8")
    out = tmp_path / "review"
    build(content, "--with-failures", "--out", str(out))
    text = words(out / "failures.html")
    assert "Page 4 problems, 1 figure waiting" in text
    assert "no setting is called bogus" in text
    assert "no.md leads nowhere" in text
    assert not (out / "draft.html").exists()
    for page in out.rglob("*.html"):
        assert "A copy for review, not to be published" in words(page)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_problem_of_a_page_is_shown(rule: Path, tmp_path: Path, shown: Shown) -> None:
    """All pages of a rule's cases in one folder, for a build of each would take minutes."""
    content = tmp_path / "content"
    content.mkdir()
    for page in rule.glob("*.md"):
        if page.is_file():
            shutil.copy(page, content)
    shown(content)


@pytest.mark.parametrize("case", SITES, ids=lambda case: f"{case.parent.name}-{case.name}")
def test_every_problem_of_a_folder_is_shown(case: Path, tmp_path: Path, shown: Shown) -> None:
    copy_case(case, tmp_path / "content")
    shown(tmp_path / "content")


def test_a_published_site_is_never_replaced(content: Path, tmp_path: Path, build: Build) -> None:
    out = tmp_path / "out"
    broken = (content / "page.md").read_text("utf-8")
    (content / "page.md").write_text("# Page\n", "utf-8")
    assert build(content, "--out", str(out)) == 0
    before = tree(out)
    (content / "page.md").write_text(broken, "utf-8")
    assert build(content, "--with-failures", "--out", str(out)) == 2
    assert tree(out) == before


def test_a_copy_may_be_replaced(content: Path, tmp_path: Path, build: Build) -> None:
    out = tmp_path / "review"
    for _ in range(2):
        assert build(content, "--with-failures", "--out", str(out)) == 1
    assert (out / MANIFEST).read_text("utf-8").startswith("sitegen output 1, with failures\n")
    (content / "page.md").write_text("# Page\n", "utf-8")
    assert build(content, "--with-failures", "--out", str(out)) == 0
    assert "everything holds" in words(out / "page.html")
    assert build(content, "--out", str(out)) == 0
    assert "review" not in words(out / "page.html")
    assert not (out / "theme" / "failure.css").exists()
    assert build(content, "--with-failures", "--out", str(out)) == 2


def test_a_folder_must_be_named(
    content: Path, tmp_path: Path, build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert build(content, "--with-failures") == 2
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("letters", [False, True])
def test_pictures_are_compared_where_something_is_stated(tmp_path: Path, letters: bool) -> None:
    net = "before:\n  F: GG.\n     RGG\n     GG."
    page = f"# Page\n\n```moves\nfrom: solved\nmoves: U\n{net}\n```\n"
    (tmp_path / "page.md").write_text(page, "utf-8")
    done = make(tmp_path, lambda _done, _total: None).replays["page.md", 0]
    pictures = contrast(done, "before-mismatch", letters=letters)
    assert pictures
    faces = geometry(3).faces
    front = [s for s in range(54) if faces[s] == "F"]
    # by hand: the fourth sticker of the front is red in the page and green on the solved cube
    assert [ring.stickers for ring in pictures.expected.rings] == [(front[3],)]
    assert pictures.found.rings == pictures.expected.rings
    assert (pictures.expected.colours[front[3]], pictures.found.colours[front[3]]) == (3, 2)
    assert pictures.expected.focus == frozenset(front[i] for i in (0, 1, 3, 4, 5, 6, 7))
    assert pictures.found.focus is None
    assert contrast(done, "check-failed", letters=letters) is None


def test_own_themes_show_failures_too(content: Path, tmp_path: Path, build: Build) -> None:
    own = tmp_path / "themes"
    own.mkdir()
    (own / "failure.html").write_text("<p>OWN {{ failure.state }}</p>", "utf-8")
    out = tmp_path / "review"
    assert build(content, "--with-failures", "--out", str(out)) == 1
    assert "OWN failed" in words(out / "page.html")
    assert "OWN waiting" in words(out / "page.html")


def test_all_that_is_wrong_with_a_theme_is_told_though_no_page_needs_it(
    tmp_path: Path, build: Build
) -> None:
    content, own, out = tmp_path / "content", tmp_path / "themes", tmp_path / "review"
    for folder in (content, own):
        folder.mkdir()
    (content / "page.md").write_text("# Page\n", "utf-8")
    (own / "words.de.toml").write_text("[pages]\n", "utf-8")
    assert build(content, "--with-failures", "--out", str(out)) == 1

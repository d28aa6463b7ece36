"""Files that change or vanish while a site is built: a clear error or the new site, never half."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from folders import tree
from sitegen.commands.main import main
from sitegen.kept import snapshot
from sitegen.kept.building import Building

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from os import DirEntry

    from sitegen.kept.making import State

SITE = Path(__file__).parents[1] / "kept" / "site" / "content"
PICTURE = "pictures/dot.svg"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A site that was built once, and in which a page was changed since."""
    folder = tmp_path / "content"
    shutil.copytree(SITE, folder)
    assert main(["build", str(folder), "--out", str(tmp_path / "out")]) == 0
    page = folder / "loose.md"
    page.write_text(page.read_text("utf-8") + "\nOne more sentence.\n", "utf-8")
    return folder


def after_judging(monkeypatch: pytest.MonkeyPatch, work: Callable[[], object]) -> None:
    """Do something once the folder is judged and before anything is written."""
    judge = Building.judge

    def judged(building: Building) -> State:
        state = judge(building)
        work()
        return state

    monkeypatch.setattr(Building, "judge", judged)


def build(content: Path) -> int:
    return main(["build", str(content), "--out", str(content.parent / "out")])


def test_a_picture_that_vanishes_leaves_the_old_site(
    content: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.rmtree(content.parent / ".sitegen")
    before = tree(content.parent / "out")
    after_judging(monkeypatch, (content / PICTURE).unlink)
    assert build(content) in (1, 2)
    told = capsys.readouterr()
    assert "dot.svg" in told.out + told.err
    assert tree(content.parent / "out") == before
    monkeypatch.undo()
    assert build(content) == 1, "the link to the picture is dead now, and is told"


@pytest.mark.parametrize("folder", ["content", "out"])
def test_a_file_that_vanishes_while_its_folder_is_looked_at_was_never_there(
    content: Path, monkeypatch: pytest.MonkeyPatch, folder: str
) -> None:
    """As an editor's does when it saves, or the old site's when another build replaces it."""
    swap = content.parent / folder / "swap"
    walk = vars(snapshot)["_walk"]

    def vanishing(place: str, *, hidden: bool) -> Iterator[tuple[str, DirEntry[str]]]:
        for found in walk(place, hidden=hidden):
            if place == str(swap.parent):
                swap.unlink(missing_ok=True)
            yield found

    monkeypatch.setattr(snapshot, "_walk", vanishing)
    swap.touch()
    assert build(content) == 0
    assert "One more sentence." in (content.parent / "out" / "loose.html").read_text("utf-8")


def test_a_page_that_vanishes_after_it_was_read_is_published_as_read(
    content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    after_judging(monkeypatch, (content / "loose.md").unlink)
    assert build(content) == 0
    assert "One more sentence." in (content.parent / "out" / "loose.html").read_text("utf-8")
    monkeypatch.undo()
    assert build(content) == 1, "other pages lead to it: told by the next build"
    assert (content.parent / "out" / "loose.html").exists()


def test_a_page_that_changes_after_it_was_read_is_read_again_next_time(
    content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = content / "loose.md"
    text = page.read_text("utf-8")
    after_judging(monkeypatch, lambda: page.write_text(text.replace("more", "last"), "utf-8"))
    assert build(content) == 0
    monkeypatch.undo()
    assert build(content) == 0
    assert "One last sentence." in (content.parent / "out" / "loose.html").read_text("utf-8")

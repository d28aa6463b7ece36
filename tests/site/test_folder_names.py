"""Names in a content folder that cannot be published, told by `check` before any build."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from folders import tree, written
from sitegen.commands.main import main
from sitegen.pages.folder import read_folder

if TYPE_CHECKING:
    from pathlib import Path


def told(content: Path, *files: str) -> list[tuple[str, str]]:
    folder = read_folder(written(content, dict.fromkeys(files, "# T\n")))
    return [(problem.file, problem.message) for problem in folder.problems]


@pytest.mark.parametrize(
    ("files", "where", "says"),
    [
        (("a.md", "A.md"), "a.md", "`A.md` would both be published as `a.html`"),
        (("a.html", "a.md"), "a.md", "`a.html` would both be published as `a.html`"),
        (("é.md", "e\u0301.md"), "é.md", "would both be published"),
        (("straße.md", "STRASSE.md"), "straße.md", "would both be published"),
        (("x.html/z", "x.md"), "x.md", "`x.html/z` in the folder, `x.html`"),
        (("x/Y.html/z", "x/y.md"), "x/y.md", "in the folder, `x/y.html`"),
        (("Sub/a.md", "sub/b.md", "sub/c.md"), "sub/b.md", "`sub` and `Sub` are one"),
        (("a/é/b.md", "a/e\u0301/c.md"), "a/é/b.md", "`a/é` and `a/e\u0301` are one"),
        (("Pieces/a.md", "Pieces/b.md"), "Pieces/a.md", "(the program writes `pieces`)"),
        (("a.md", "Theme"), "Theme", "the program writes a folder `theme` of its own"),
        (("deep/con.md",), "deep/con.md", "`con.md` cannot be the name of a file"),
        (("Com1.tar.gz", "a.md"), "Com1.tar.gz", "on Windows"),
        (("aux/a.md",), "aux/a.md", "`aux` cannot be the name"),
        (("a .md", "b.md", "c."), "c.", "`c.` cannot be the name"),
        (("com\xb9.txt", "a.md"), "com\xb9.txt", "on Windows"),
        (("x?y.md",), "x?y.md", "no name may hold `?`"),
        (("a:b/c.md",), "a:b/c.md", "no name may hold `:`"),
        (("a\\b.txt", "c.md"), "a\\b.txt", "no name may hold `\\`"),
        (("x" * 251 + ".md",), "x" * 251 + ".md", "256 bytes"),
    ],
)
def test_a_name_that_cannot_be_published(
    files: tuple[str, ...], where: str, says: str, tmp_path: Path
) -> None:
    found = told(tmp_path, *files)
    assert [file for file, _ in found] == [where]
    assert says in found[0][1]


def test_every_name_that_windows_keeps_and_every_letter_that_it_does_not_take(
    tmp_path: Path,
) -> None:
    """As "Naming Files, Paths, and Namespaces" (Microsoft Learn) has them, from memory."""
    devices = ["CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"]
    ports = [f"{port}{number}" for port in ("COM", "LPT") for number in "123456789¹²³"]
    names = [f"{name}.txt" for name in (*devices, *ports)] + [f"a{letter}" for letter in '<>:"|?*']
    found = told(tmp_path, "a.md", *names)
    assert [file for file, _ in found] == sorted(names)


@pytest.mark.parametrize(
    "name",
    [
        *("index", "contents", "404", "failures"),
        *("figures", "cards", "pieces", "sequences", "glossary", "search"),
        *("feed.xml", "sitemap.xml", "search-index.js"),
    ],
)
def test_no_folder_has_the_name_of_a_file_that_the_program_writes(
    name: str, tmp_path: Path
) -> None:
    file = name if "." in name else f"{name}.html"
    ((_, said),) = told(tmp_path, f"{file.capitalize()}/a.txt", "a.md")
    assert f"the program writes a file `{file}` of its own" in said


@pytest.mark.parametrize("folder", ["figures", "cards", "pieces", "sequences", "theme"])
def test_no_file_has_the_name_of_a_folder_that_the_program_writes(
    folder: str, tmp_path: Path
) -> None:
    ((_, said),) = told(tmp_path, folder, "a.md")
    assert f"the program writes a folder `{folder}` of its own" in said


def test_every_collision_is_told(tmp_path: Path) -> None:
    assert len(told(tmp_path, "a.md", "A.md", "b.md", "B.md", "nul.md")) == 3


def test_what_stands_in_a_folder_of_ours_is_let_be(tmp_path: Path) -> None:
    assert (
        told(tmp_path, "pieces/a.md", "theme/own.css", "index.md", "search.html", "a/Pieces") == []
    )


def test_names_that_only_look_odd_are_let_be(tmp_path: Path) -> None:
    assert (
        told(tmp_path, "console.md", "com10.md", "a/a.md", "a.b.md", "a.md", "x" * 250 + ".md")
        == []
    )


LEFT_BEHIND = (
    *("page.md~", "own.css~", "#page.md#", ".#page.md", ".page.md.swp", "page.md.swp"),
    *("~$page.md", "page.md.bak", "page.md.orig", "page.md.tmp", "backup~/page.md"),
    *("Thumbs.db", "desktop.ini", ".DS_Store", ".~lock.plan.odt#"),
)


def test_what_editors_and_systems_leave_behind_is_no_part_of_a_site(tmp_path: Path) -> None:
    content, theme, out = tmp_path / "content", tmp_path / "themes", tmp_path / "out"
    kept = ("tilde~s.txt", "not-thumbs.db")
    for path in (content / "page.md", *(content / name for name in kept), theme / "own.css"):
        path.parent.mkdir(exist_ok=True)
        path.write_text("# A page\n", "utf-8")
    built = ["build", str(content), "--out", str(out)]
    assert main(built) == 0
    before = tree(out)
    assert before.keys() >= set(kept)
    for folder in (content, theme):
        for name in LEFT_BEHIND:
            path = folder / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(b"# \xff is no page\n")
    assert main(built) == 0
    assert tree(out) == before

"""What lies in a content folder and is no file: told, never waited for, never read."""

from __future__ import annotations

import os
import re
import resource
import socket
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest

from sitegen.commands.main import main
from sitegen.kept import making
from sitegen.pages import folder
from sitegen.pages.files import open_inside
from sitegen.pages.folder import DEEPEST_FOLDERS
from sitegen.report.table import REPORTS

if TYPE_CHECKING:
    from collections.abc import Callable

ROOT: Final = Path(__file__).parents[2]

PAGE: Final = "# A page\n\n```moves a\ncube: 3\nmoves: R\ncheck: order 4\n```\n"

PRIVATE: Final = "what only the author's own computer knows"

HUGE: Final = 3 << 30

ROOM: Final = 1 << 30
"""Bytes of memory that a build may take here: far more than it needs, and less than `HUGE`."""


@pytest.fixture
def content(tmp_path: Path) -> Path:
    (tmp_path / "secret.txt").write_text(PRIVATE, "utf-8")
    made = tmp_path / "content"
    made.mkdir()
    (made / "page.md").write_text(PAGE, "utf-8")
    return made


def sitegen(content: Path, command: str) -> subprocess.CompletedProcess[str]:
    """The program, with little time and little memory: what never ends must not end the tests."""
    made = [command, str(content)] + (
        ["--out", str(content.parent / "out")] if command == "build" else []
    )
    return subprocess.run(
        [sys.executable, "-m", "sitegen", *made],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (ROOM, ROOM)),
    )


def pipe(content: Path, name: str) -> None:
    os.mkfifo(content / name)


def a_socket(content: Path, name: str) -> None:
    with socket.socket(socket.AF_UNIX) as made:
        before = Path.cwd()
        os.chdir(content)  # the path of a socket is short, and pytest's is long
        try:
            made.bind(name)
        finally:
            os.chdir(before)


def link_to_a_device(content: Path, name: str) -> None:
    (content / name).symlink_to("/dev/zero")


def link_to_itself(content: Path, name: str) -> None:
    (content / name).symlink_to(name)


def link_to_the_folder(content: Path, name: str) -> None:
    (content / name).symlink_to(".")


def link_to_a_secret(content: Path, name: str) -> None:
    (content / name).symlink_to("../secret.txt")


def huge(content: Path, name: str) -> None:
    with (content / name).open("wb") as file:
        file.truncate(HUGE)  # sparse: it takes no room


def a_folder(content: Path, name: str) -> None:
    (content / name).mkdir()


NO_FILE = "neither a file nor a folder"
OUT = "leads out of the content folder"


@pytest.mark.parametrize(
    ("put", "name", "says"),
    [
        (pipe, "x.md", NO_FILE),
        (pipe, "x.svg", NO_FILE),
        (pipe, "site.toml", NO_FILE),
        (a_socket, "x.md", NO_FILE),
        (link_to_a_device, "x.md", OUT),
        (link_to_a_device, "x.svg", OUT),
        (link_to_a_device, "site.toml", OUT),
        (link_to_itself, "x.md", OUT),
        (link_to_itself, "site.toml", OUT),
        (link_to_the_folder, "x", "link to a folder"),
        (link_to_a_secret, "x.md", OUT),
        (link_to_a_secret, "x.svg", OUT),
        (link_to_a_secret, "site.toml", OUT),
        (huge, "x.md", "characters"),
        (huge, "x.bin", "bytes"),
        (huge, "site.toml", "bytes"),
        (a_folder, "site.toml", "cannot be read"),
    ],
    ids=lambda value: getattr(value, "__name__", value),
)
def test_it_is_told(put: Callable[[Path, str], None], name: str, says: str, content: Path) -> None:
    put(content, name)
    for command in ("check", "build"):
        done = sitegen(content, command)
        assert done.returncode == 1, done.stderr
        assert re.search(rf"^{re.escape(name)}:1:1: error: .*{says}", done.stdout, re.MULTILINE)
        assert "Traceback" not in done.stderr
        assert PRIVATE not in done.stdout + done.stderr
    assert not (content.parent / "out").exists()


def test_a_folder_called_as_a_page_is_a_folder(content: Path) -> None:
    (content / "x.md").mkdir()
    (content / "x.md" / "page.md").write_text(PAGE, "utf-8")
    assert sitegen(content, "build").returncode == 0
    assert (content.parent / "out" / "x.md" / "page.html").is_file()


@pytest.mark.parametrize("deep", [DEEPEST_FOLDERS + 1, 1200, 3000])
def test_folders_in_folders(deep: int, content: Path) -> None:
    """Deeper than the program calls itself (1,000), than a path may be long (4,096; `limits.h`)."""
    here = os.open(content, os.O_RDONLY)
    for _ in range(deep):
        os.mkdir("a", dir_fd=here)
        below = os.open("a", os.O_RDONLY, dir_fd=here)
        os.close(here)
        here = below
    os.close(here)
    try:
        for command in ("check", "build"):
            done = sitegen(content, command)
            assert done.returncode == 1, done.stderr
            assert f"folders stand more than {DEEPEST_FOLDERS} deep here (limit)" in done.stdout
            assert "Traceback" not in done.stderr
    finally:
        subprocess.run(
            ["/bin/rm", "-rf", str(content / "a")], check=True
        )  # it calls itself nowhere


def test_more_files_than_a_site_may_have(
    content: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for number in range(4):
        (content / f"{number}.txt").write_text("", "utf-8")
    monkeypatch.setattr(folder, "MOST_FILES", 5)
    assert main(["check", str(content)]) == 0
    (content / "4.txt").write_text("", "utf-8")
    assert main(["check", str(content)]) == 1
    assert "at most 5 files" in capsys.readouterr().out


@pytest.mark.parametrize("name", ["page.md", "x.svg"])
@pytest.mark.parametrize("put", [link_to_a_secret, pipe, link_to_a_device])
def test_a_file_becomes_something_else_after_it_was_listed(
    name: str,
    put: Callable[[Path, str], None],
    content: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    (content / "x.svg").write_text("<svg/>", "utf-8")
    build = ["build", str(content), "--out", str(content.parent / "out")]
    assert main(build) == 0
    (content / "other.md").write_text(PAGE, "utf-8")
    (content / "page.md").write_text(PAGE + "\nMore.\n", "utf-8")

    def changed(root: Path) -> folder.Folder:
        found = folder.read_folder(root)
        (content / name).unlink()
        put(content, name)
        return found

    monkeypatch.setattr(making, "read_folder", changed)
    assert main(build) in (1, 2)
    told = "".join(capsys.readouterr())
    assert name in told
    assert PRIVATE not in told
    published = (content.parent / "out").rglob("*")
    assert not any(PRIVATE.encode() in path.read_bytes() for path in published if path.is_file())
    assert not (content.parent / "out" / "other.html").exists()


def test_a_folder_becomes_a_link_out(content: Path, tmp_path: Path) -> None:
    (content / "sub").mkdir()
    (content / "sub" / "secret.txt").write_text("nothing", "utf-8")
    (content / "sub").rename(content / "was")
    (content / "sub").symlink_to(tmp_path)
    with pytest.raises(OSError, match="leads out"):
        open_inside(content, "sub/secret.txt")


def test_a_report_quotes_nothing_from_outside(content: Path) -> None:
    """A check of other people's changes is read by them: no line of another file stands in it."""
    (content / "page.md").unlink()
    (content / "page.md").symlink_to("../secret.txt")
    for form in REPORTS:
        done = subprocess.run(
            [sys.executable, "-m", "sitegen", "check", str(content), "--format", form],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 1, done.stderr
        assert "page.md" in done.stdout
        assert PRIVATE not in done.stdout + done.stderr


def test_a_page_of_a_course_that_cannot_be_read_is_told_once(content: Path) -> None:
    (content / "lesson.md").write_bytes(b"\xff")
    (content / "site.toml").write_text('[[courses]]\ntitle = "A"\npages = ["lesson.md"]\n')
    said = sitegen(content, "check").stdout
    assert "lesson.md:1:1: error" in said
    assert "1 error" in said

"""The command as it is run: started, watched, told in the terminal, ended."""

from __future__ import annotations

import os
import pty
import re
import signal
import socket
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from preview.previewing import BROKEN, OTHER, PAGE, ROOT, Preview, until
from sitegen.commands.main import main
from sitegen.commands.preview import Teller
from sitegen.preview.builder import Builder

if TYPE_CHECKING:
    from pathlib import Path

    from preview.previewing import Start


def shows(preview: Preview, target: str, words: str) -> None:
    """Wait until a page shows some words."""
    until(lambda: words in preview.text_of(target), f"{words!r} at {target}")


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_cleanly(start: Start, how: int) -> None:
    preview = start().built()
    stream = socket.create_connection(("127.0.0.1", preview.port))
    stream.sendall(
        f"GET /.preview/events HTTP/1.1\r\nHost: 127.0.0.1:{preview.port}\r\n\r\n".encode()
    )
    assert stream.recv(12) == b"HTTP/1.1 200"
    assert preview.stop(how) == 0
    stream.close()
    assert "Traceback" not in preview.text
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.1", preview.port))


def test_it_ends_in_the_middle_of_a_build(start: Start, content: Path) -> None:
    for number in range(300):
        (content / f"more-{number}.md").write_text(f"# {number}\n\n{PAGE}", "utf-8")
    preview = start()
    assert "is being built" in preview.text_of("/page.html")
    assert preview.stop() == 0
    assert "Traceback" not in preview.text


def test_a_port_that_is_taken_moves_on(start: Start) -> None:
    first = start().built()
    second = start("--port", str(first.port))
    assert second.port > first.port
    assert second.said[0] == f"port {first.port} is taken; this is {second.port}"
    assert "Four turns" in second.built().text_of("/page.html")


def test_a_site_that_never_held_is_served(start: Start, content: Path) -> None:
    (content / "page.md").write_text(BROKEN, "utf-8")
    (content / "site.toml").write_text("cube = [", "utf-8")
    preview = start().built()
    assert 'id="sitegen-preview"' in preview.text_of("/page.html")
    assert "site.toml:" in preview.text_of("/")
    assert b"site.toml:" in preview.get("/nowhere").body


def test_problems_are_told_once_and_in_the_words_of_check(
    start: Start, content: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    preview = start().built()
    (content / "page.md").write_text(BROKEN, "utf-8")
    until(lambda: "2 errors" in preview.text, "the summary")
    assert main(["check", str(content)]) == 1
    check = capsys.readouterr().out.rstrip("\n").replace("page.md:", "content/page.md:")
    told = "\n".join(preview.said[2:])
    assert told.split() == check.split()
    (content / "page.md").write_text("\n" + BROKEN.replace("first", "second"), "utf-8")
    (content / "sub" / "index.md").write_text("# Elsewhere\n", "utf-8")
    shows(preview, "/sub/", "Elsewhere")
    assert len(preview.said) == len(told.split("\n")) + 2  # a line further down is no news
    (content / "page.md").write_text(PAGE, "utf-8")
    until(lambda: preview.text.count("everything holds") == 2, "that all holds again")
    assert preview.said[-1].endswith("4 pages, 2 blocks: everything holds")


def test_of_problems_alike_the_new_ones_alone_are_told(
    content: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    builder, teller = Builder(content, redraw=False), Teller()
    for count in (1, 3):
        (content / "page.md").write_text("# A page\n\n" + "[x](no.md)\n\n" * count, "utf-8")
        teller.tell(builder.build(frozenset()))
    assert capsys.readouterr().out.count("`no.md` leads nowhere") == 3


def test_new_deleted_and_renamed_pages(start: Start, content: Path) -> None:
    preview = start().built()
    assert preview.get("/new.html").status == 404
    (content / "deep" / "er").mkdir(parents=True)
    (content / "deep" / "er" / "new.md").write_text("# New\n", "utf-8")
    shows(preview, "/deep/er/new.html", ">New</h1>")
    (content / "deep" / "er" / "new.md").rename(content / "newer.md")
    shows(preview, "/newer.html", ">New</h1>")
    until(lambda: preview.get("/deep/er/new.html").status == 404, "the old address gone")
    (content / "newer.md").unlink()
    until(lambda: preview.get("/newer.html").status == 404, "the page gone")


def test_editors_that_save_by_renaming(start: Start, content: Path) -> None:
    """Written beside, then moved over the page; or the page moved away, and written anew."""
    preview = start().built()
    path, beside = content / "page.md", content / ".page.md.swp"
    beside.write_text(PAGE.replace("first", "second"), "utf-8")
    beside.replace(path)
    shows(preview, "/page.html", "second state")
    kept = content / "page.md~"
    path.rename(kept)
    path.write_text(PAGE.replace("first", "third"), "utf-8")
    kept.unlink()
    shows(preview, "/page.html", "third state")


def test_a_burst_of_saves_ends_with_the_last(start: Start, content: Path) -> None:
    preview = start().built()
    for number in range(50):
        (content / "page.md").write_text(PAGE.replace("first", f"{number}th"), "utf-8")
        (content / "other.md").write_text(f"{OTHER}\nSaved {number}.\n", "utf-8")
    shows(preview, "/page.html", "49th state")
    shows(preview, "/other.html", "Saved 49.")
    assert "error" not in preview.text


def own_sheet(preview: Preview) -> str:
    """The site's own stylesheet, whose name changes with its bytes."""
    found = re.search(r"theme/own\.[0-9a-f]+\.css", preview.text_of("/page.html"))
    return preview.text_of(f"/{found[0]}") if found else ""


def test_a_theme_made_later_is_watched(start: Start, content: Path) -> None:
    preview = start().built()
    themes = content.parent / "themes"
    themes.mkdir()
    (themes / "own.css").write_text("p { color: teal }\n", "utf-8")
    until(lambda: "teal" in own_sheet(preview), "the sheet in teal")
    (themes / "own.css").write_text("p { color: navy }\n", "utf-8")
    until(lambda: "navy" in own_sheet(preview), "the sheet in navy")


def test_a_content_folder_put_in_place_of_the_old_one(start: Start, content: Path) -> None:
    preview = start().built()
    content.rename(content.parent / "away")
    until(lambda: "the site stays as it was" in preview.text, "that the folder is gone")
    assert "Four turns" in preview.text_of("/page.html")
    (content.parent / "away").rename(content)
    (content / "page.md").write_text(PAGE.replace("first", "second"), "utf-8")
    shows(preview, "/page.html", "second state")
    until(lambda: preview.text.count("everything holds") == 2, "that it is back")
    assert preview.text.count("the site stays as it was") == 1


def test_redraw_writes_into_the_page_that_was_saved(start: Start, content: Path) -> None:
    preview = start("--port", "0", "--redraw").built()
    empty = PAGE.replace("  F: GGY\n     GGW\n     GGG\n", "")
    (content / "page.md").write_text(empty, "utf-8")
    until(lambda: "content/page.md:7: net written" in preview.text, "the net")
    assert "GGY" in (content / "page.md").read_text("utf-8")
    shows(preview, "/page.html", ">Four turns</h1>")
    assert "error" not in preview.text
    assert preview.text.count("net written") == 1


@pytest.mark.parametrize("colour", [True, False])
def test_a_terminal_is_given_links(content: Path, *, colour: bool) -> None:
    """OSC 8, as terminals agreed on it (from memory); with NO_COLOR there are no colours."""
    (content / "page.md").write_text(BROKEN, "utf-8")
    ours, theirs = pty.openpty()
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm", "NO_COLOR": "1"}
    if colour:
        del environment["NO_COLOR"]
    process = subprocess.Popen(
        [sys.executable, "-m", "sitegen", "preview", "content", "--port", "0"],
        cwd=content.parent,
        env=environment,
        stdout=theirs,
        stderr=theirs,
    )
    os.close(theirs)
    said = b""
    while b"2 errors" not in said:
        said += os.read(ours, 4096)
    process.send_signal(signal.SIGINT)
    assert process.wait() == 0
    os.close(ours)
    link = f"file://{socket.gethostname()}{content}/page.md#L8,6".encode()
    assert b"\033]8;;" + link + b"\033\\content/page.md:8:6\033]8;;\033\\" in said
    assert (b"\033[31m" in said) is colour


def test_what_cannot_be_run_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: Path
) -> None:
    assert main(["preview", str(tmp_path / "nowhere")]) == 2
    assert main(["preview", str(content / "page.md")]) == 2
    assert "preview takes a content folder" in capsys.readouterr().err
    for port in ("many", "65536", "-1"):
        with pytest.raises(SystemExit) as ended:
            main(["preview", str(content), f"--port={port}"])
        assert ended.value.code == 2
        assert f"`{port}` is no port" in capsys.readouterr().err


UNWATCHED = """
import sys
from sitegen.commands.main import main
from sitegen.preview import watch

async def none(*folders, **how):
    raise {error}("one too many")
    yield

watch.awatch = none
sys.exit(main(["preview", sys.argv[1], "--port", "0"]))
"""
"""A preview on a system that tells of no changes."""


@pytest.mark.parametrize("error", ["OSError", "RuntimeError"])
def test_changes_that_the_system_does_not_tell_of_end_it_in_words(
    content: Path, error: str
) -> None:
    """Both were seen where `max_inotify_watches` and `max_inotify_instances` of a user are none."""
    run = [sys.executable, "-c", UNWATCHED.format(error=error), str(content)]
    done = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "cannot be seen: one too many. On Linux" in done.stderr

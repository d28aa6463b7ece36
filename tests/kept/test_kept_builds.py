"""A build upon the last one tells and writes what a build from nothing does, byte for byte."""

from __future__ import annotations

import hashlib
import json
import os
import random
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from folders import tree
from kept.kept_site import CIRCLES, SITE, begin, build, build_clean, edit, run
from sitegen.kept.packed import Packed
from sitegen.kept.snapshot import Stat, take_snapshot
from sitegen.kept.stamp import Stamp
from sitegen.kept.store import FORMAT, MemoryStore, Store
from sitegen.make import make
from sitegen.pages.folder import read_folder
from sitegen.pages.page_text import read_text
from sitegen.pages.reading import read_page

if TYPE_CHECKING:
    from collections.abc import Callable

    from sitegen.pages.folder import Folder
    from sitegen.pages.settings import Settings
    from sitegen.problem import Problem

ROOT = Path(__file__).parents[2]

STEPS = 12


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return begin(SITE, tmp_path / "site")


@pytest.mark.parametrize("tick", [2_000_000_000, 5_000_000])
@pytest.mark.parametrize("first", [SITE, CIRCLES], ids=lambda path: path.name)
@pytest.mark.parametrize("seed", range(4))
def test_edits(
    first: Path, tmp_path: Path, seed: int, tick: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # with the shorter tick, which ext4's clock keeps to, files are told by their times alone
    monkeypatch.setattr("sitegen.kept.stamp.TICK", tick)
    # the site is small: let its folder be put away after large changes as well
    monkeypatch.setattr("sitegen.pages.publish.SPARED", 1)
    chance, clean = random.Random(seed), tmp_path / "clean"
    site = begin(first, tmp_path / "site")
    build(site)
    done: list[str] = []
    broken = False
    for _ in range(STEPS):
        mend = broken and chance.random() < 0.5
        done += [edit(chance, site, mend=mend) for _ in range(chance.choice([1, 1, 1, 2, 3]))]
        before = tree(site / "out")
        told = build(site)
        expected, files = build_clean(site, clean)
        assert told == expected, done
        assert tree(site / "out") == (before if told.status else files), done
        broken = told.status != 0
        if broken:
            review = build(site, "--with-failures", out="review")
            assert review == build(clean, "--with-failures", out="review"), done
            assert tree(site / "review") == tree(clean / "review"), done
        # the folder wholly held in memory, as `--mend` has it, is judged by other ways to the same;
        # no theme is looked at there
        made = make(site / "content", lambda _done, _total: None)
        listed = json.loads(run("check", site).report)["problems"]
        assert [
            (p["file"], p["line"], p["column"], p["message"], p["waiting"])
            for p in listed
            if not p["file"].startswith("../")
        ] == [(p.file, p.line, p.column, p.message, p.waiting) for p in made.problems], done


REACHES = {
    "a heading that another page links to": ("first/one.md", "## A heading", "## Another"),
    "a title that another page names": ("first/one.md", "title: One", "title: Two"),
    "a title in the margin of another page": ("second/one.md", "Second one", "Another"),
    "a language in the margin of another page": (
        "first/one.md",
        "title: One",
        "title: One\nlang: de",
    ),
    "a page of no course that is a draft": ("loose.md", "# Loose", "---\ndraft: yes\n---\n# Loose"),
    "a page of words alone that is a draft": (
        "second/two.md",
        "# Second",
        "---\ndraft: yes\n---\n# Second",
    ),
    "the last cube of its size": ("second/one.md", "cube: 4", "cube: 5"),
    "a sequence that another page links to": ("second/one.md", "  wide:", "  wider:"),
    "an id that another page asks a fact of": ("first/two.md", "moves goes-on", "moves goes"),
    "moves that another page asks a fact of": ("first/one.md", "R U R' U'", "R U R' U' U2 U2"),
    "a term of the glossary": ("glossary.md", "Corner", "Words"),
    "a date, the only one": ("first/one.md", "date: 2026-03-01\n", ""),
    "the title of a figure": ("first/one.md", "The base", "Another"),
    "an old address": ("second/one.md", "old.md", "older.md"),
    "a warning": ("loose.md", "check: order 2\n", ""),
}


@pytest.mark.parametrize("name", REACHES)
def test_a_change_reaches(site: Path, tmp_path: Path, name: str) -> None:
    """Each in turn, and then a sentence elsewhere: what was told is told again."""
    path, old, new = REACHES[name]
    build(site)
    page = site / "content" / path
    text = page.read_text("utf-8")
    assert old in text
    page.write_text(text.replace(old, new), "utf-8")
    for _ in range(2):
        before = tree(site / "out")
        told = build(site)
        expected, files = build_clean(site, tmp_path / "clean")
        assert told == expected
        assert tree(site / "out") == (before if told.status else files)
        _append(site, "first/three.md")


def test_a_warning_is_told_again_where_nothing_changed(site: Path) -> None:
    _append(site, "loose.md", "`R U Q`\n")
    told = build(site)
    assert told.status == 0
    assert "near-moves" in told.report
    assert build(site) == told
    assert build(site, "--warnings-fail").status == 1


def test_a_build_for_another_address_is_another_build(site: Path, tmp_path: Path) -> None:
    """Though no file changed: the address is given, and the next build is for the settings'."""
    trial = ("--url", "https://trial.example/")
    for more in ((), trial, trial, ()):
        told = build(site, *more)
        assert (told, tree(site / "out")) == build_clean(site, tmp_path / "clean", *more)
        assert (b"https://trial.example/" in tree(site / "out")["sitemap.xml"]) == bool(more)


def test_files_come_and_go(site: Path, tmp_path: Path) -> None:
    build(site)
    content = site / "content"
    new = content / "new.md"
    for change in (
        lambda: new.write_text("---\ndraft: yes\n---\n# New\n", "utf-8"),
        lambda: new.write_text("# New\n", "utf-8"),
        (content / "pictures" / "dot.svg").unlink,
        lambda: shutil.copy(SITE / "content/pictures/dot.svg", content / "pictures"),
        (content / "loose.md").unlink,
        lambda: shutil.copy(SITE / "content/loose.md", content),
        (content / "glossary.md").unlink,
    ):
        change()
        before = tree(site / "out")
        told = build(site)
        expected, files = build_clean(site, tmp_path / "clean")
        assert told == expected
        assert tree(site / "out") == (before if told.status else files)


def test_what_is_kept_is_of_use(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Otherwise every build would be one from nothing, and the other tests would tell nothing."""
    read: list[str] = []
    monkeypatch.setattr("sitegen.leaf.read_page", _noting(read))
    build(site)
    assert len(read) == 7
    assert _reads(site, read) == []
    _append(site, "loose.md")
    assert _reads(site, read) == ["loose.md"]
    # others lean on its blocks, which are what they were, wherever they stand
    page = site / "content" / "first" / "one.md"
    page.write_text(page.read_text("utf-8").replace("Words about", "More.\n\nWords about"), "utf-8")
    assert _reads(site, read) == ["first/one.md"]
    # first/two goes on from a block of it, first/three from there, and second/one asks a fact of
    # first/two
    page.write_text(page.read_text("utf-8").replace("title: The base", "title: Another"), "utf-8")
    assert _reads(site, read) == ["first/one.md", "first/three.md", "first/two.md", "second/one.md"]


SHARED_BY_FRAMES = {
    "the site's title": ('title = "Lantern', 'title = "The Lantern'),
    "who writes it": ("[sequences]", 'author = "The club"\n\n[sequences]'),
    "where it is published": ("lantern-lane.example", "club.example"),
    "a course's title": ('"First"', '"First of all"'),
    "an order": ('["first/one.md", "first/two.md"', '["first/two.md", "first/one.md"'),
}


@pytest.mark.parametrize("name", SHARED_BY_FRAMES)
def test_what_stands_around_pages_is_no_reason_to_read_them(
    site: Path, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read: list[str] = []
    monkeypatch.setattr("sitegen.leaf.read_page", _noting(read))
    build(site)
    old, new = SHARED_BY_FRAMES[name]
    settings = site / "content" / "site.toml"
    text = settings.read_text("utf-8")
    assert old in text
    settings.write_text(text.replace(old, new, 1), "utf-8")
    assert _reads(site, read) == []
    assert tree(site / "out") == build_clean(site, tmp_path / "clean")[1]


def test_what_no_page_needs_is_not_kept(site: Path) -> None:
    """Or the folder would grow with every edit; what stands there of somebody else's stays."""
    pages = site / ".sitegen" / "pages"
    pages.mkdir(parents=True)
    for name in ("mine.txt", f".{64 * '0'}.{16 * '0'}"):  # the second a killed build's
        (pages / name).touch()
    (site / "content" / "draft.md").write_text("---\ndraft: yes\n---\n# Draft\n", "utf-8")
    for number in range(3):
        _append(site, "loose.md", f"Sentence {number}.\n")
        assert build(site).status == 0
        # one file a page; what is kept of all pages; the compiled templates
        assert len({path.name for path in pages.iterdir()} - {"mine.txt"}) == 7 + 1 + 1
    assert (pages / "mine.txt").exists()


def test_what_is_let_go_is_held_no_more() -> None:
    held = MemoryStore()
    for name in "ab":
        held.put(Packed(name, name.encode(), ""))
    before = held.copy()
    held.clear({"a"})
    assert held.page("a") == b"a"
    with pytest.raises(LookupError):
        held.page("b")
    assert before.page("b") == b"b"


def test_a_template_among_other_files_of_a_theme_may_show_any_title(
    site: Path, tmp_path: Path
) -> None:
    (site / "themes").mkdir()
    (site / "themes" / "own.css").write_text("p { margin: 0 }\n", "utf-8")
    (site / "themes" / "page.html").write_text(
        '{% extends "default/page.html" %}{% block tail %}'
        "{% for one in site.courses[0].pages %}{{ one.title }} {% endfor %}{% endblock %}",
        "utf-8",
    )
    build(site)
    page = site / "content" / "first" / "one.md"
    page.write_text(page.read_text("utf-8").replace("title: One", "title: Two"), "utf-8")
    told = build(site)
    assert (told, tree(site / "out")) == build_clean(site, tmp_path / "clean")


def test_a_picture_is_drawn_with_what_is_kept(site: Path, tmp_path: Path) -> None:
    code = (
        "import sys; from sitegen.commands.main import main; main(sys.argv[1:]);"
        "print('svgwrite' in sys.modules)"
    )
    command = [sys.executable, "-c", code, "build", str(site / "content"), "--workers", "1"]

    def loads_svgwrite() -> bool:
        ended = subprocess.run(command, cwd=site, capture_output=True, text=True, check=True)
        return ended.stdout.split()[-1] == "True"

    assert loads_svgwrite()
    _append(site, "first/one.md")
    assert not loads_svgwrite()
    _, files = build_clean(site, tmp_path / "clean")
    assert tree(site / "out") == files


def test_pages_kept_are_damaged_together(site: Path, tmp_path: Path) -> None:
    build(site)
    for path in (site / ".sitegen" / "pages").iterdir():
        path.write_bytes(b"nothing")
    _append(site, "loose.md", "## One more heading\n")
    told = build(site)
    assert (told, tree(site / "out")) == build_clean(site, tmp_path / "clean")


@pytest.mark.parametrize("lose", [Path.unlink, lambda path: path.write_bytes(b"nothing")])
def test_what_is_lost_is_kept_again(
    site: Path, lose: Callable[[Path], object], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Or every build after that would begin from nothing, as the first one after it has to."""
    build(site)
    head = Store(site / "content").load() or {}
    for path in (site / ".sitegen" / "pages").iterdir():
        if path.name not in (head["rows"], head["compiled"]):
            lose(path)
    read: list[str] = []
    monkeypatch.setattr("sitegen.leaf.read_page", _noting(read))
    _append(site, "loose.md", "## A heading that is searched\n")
    assert len(set(_reads(site, read))) == 7
    _append(site, "loose.md", "## Another heading that is searched\n")
    assert _reads(site, read) == ["loose.md"]


@pytest.mark.parametrize(
    ("slip", "more"),
    [("```moves\nmoves: R Q\n```\n", []), ("`R U Q`\n", ["--warnings-fail"])],
)
def test_a_page_that_fails_while_what_was_lost_is_made_again_stops_the_build(
    site: Path, slip: str, more: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    build(site)
    before = tree(site / "out")
    head = Store(site / "content").load() or {}
    for path in (site / ".sitegen" / "pages").iterdir():
        if path.name not in (head["rows"], head["compiled"]):
            path.unlink()
    _append(site, "loose.md", "## A heading that is searched\n")
    written = iter(["", slip])

    def changed_before(root: Path) -> Folder:
        _append(site, "loose.md", next(written))
        return read_folder(root)

    monkeypatch.setattr("sitegen.kept.making.read_folder", changed_before)
    assert build(site, *more).status == 1
    assert tree(site / "out") == before


@pytest.mark.parametrize(
    "path", ["first/one.md", "site.toml", "pictures/dot.svg", "../themes/own.css"]
)
def test_a_change_that_the_clock_does_not_show(
    site: Path, tmp_path: Path, path: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same size and the same time of change, within the tick of the build before.

    A clock as coarse as that is made up: it tells the hour, and that is as long as it may be wrong.
    """
    hour = 3_600_000_000_000

    def coarse(size: int, changed: int, touched: int, inode: int) -> Stat:
        return Stat(size, changed // hour * hour, touched // hour * hour, inode)

    monkeypatch.setattr("sitegen.kept.snapshot.Stat", coarse)
    monkeypatch.setattr("sitegen.kept.stamp.TICK", hour)
    (site / "themes").mkdir()
    (site / "themes" / "own.css").write_text("/* a heading */\n", "utf-8")
    file = site / "content" / path
    build(site)
    for old, new in (b"heading", b"HEADING"), (b"Lantern", b"Latnern"), (b"0 0 1 1", b"0 0 1 2"):
        about = file.stat()
        file.write_bytes(file.read_bytes().replace(old, new))
        os.utime(file, ns=(about.st_atime_ns, about.st_mtime_ns))
    told = build(site)
    assert (told, tree(site / "out")) == build_clean(site, tmp_path / "clean")


def test_a_page_that_was_touched_is_looked_into_once(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked: list[str] = []

    def noting(root: Path, file: str) -> tuple[str, list[Problem]]:
        looked.append(file)
        return read_text(root, file)

    monkeypatch.setattr("sitegen.kept.stamp.TICK", 0)
    monkeypatch.setattr("sitegen.kept.rounds.read_text", noting)
    build(site)
    os.utime(site / "content" / "loose.md", ns=(0, 0))
    build(site)
    _append(site, "first/three.md")
    build(site)
    assert looked == ["loose.md", "first/three.md"]


def test_a_folder_renamed_is_seen_though_no_file_in_it_changed(
    site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sitegen.kept.stamp.TICK", 0)
    build(site)
    # where it stood among the others, so that nothing but its name is new
    (site / "content" / "pictures").rename(site / "content" / "photos")
    told = build(site)
    assert told.status == 1
    assert told == build_clean(site, tmp_path / "clean")[0]


def test_what_a_link_leads_to_is_read_though_the_link_is_what_it_was(site: Path) -> None:
    hidden = site / "content" / ".parts"
    hidden.mkdir()
    (site / "content" / "part.md").symlink_to(Path(".parts") / "part.md")
    for word in ("One", "Another"):
        (hidden / "part.md").write_text(f"# {word} page\n", "utf-8")
        assert build(site).status == 0
        assert f"{word} page".encode() in tree(site / "out")["part.html"]


def test_what_has_settled_is_not_read_again(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for tick, is_fresh in ((3_600_000_000_000, True), (0, False)):
        monkeypatch.setattr("sitegen.kept.stamp.TICK", tick)
        build(site)
        assert bool((Store(site / "content").load() or {})["fresh"]) is is_fresh


def test_a_site_that_changed_during_a_build_is_not_as_it_was_left(site: Path) -> None:
    build(site)
    stamp = Stamp(site / "content", site / "out", "")
    assert stamp.as_left(site / "out")
    (site / "out" / "index.html").write_text("Ours")
    assert stamp.as_left(site / "out") is None


def test_a_copy_of_what_is_kept_is_not_trusted(site: Path, tmp_path: Path) -> None:
    """As it would come with a checkout: a page that does not hold, said to hold."""
    build(site)
    page = site / "content" / "loose.md"
    page.write_text(page.read_text("utf-8").replace("order 2", "order 5"), "utf-8")
    copy = tmp_path / "copy"
    shutil.copytree(site, copy)  # times of change and all
    kept = _with_head(copy / ".sitegen" / "build", content=_digest(copy / "content"))
    (copy / ".sitegen" / "build").write_bytes(kept)
    told = build(copy)
    assert told.status == 1
    assert "check-failed" in told.report


def test_a_link_in_place_of_what_is_kept_is_not_followed(site: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / ("0" * 64)).write_text("mine")
    (site / ".sitegen").mkdir()
    (site / ".sitegen" / "pages").symlink_to(elsewhere)
    assert build(site).status == 0
    assert [path.name for path in elsewhere.iterdir()] == ["0" * 64]


@pytest.mark.parametrize("name", [".sitegen", ".sitegen/site"])
def test_no_folder_elsewhere_is_taken_for_an_old_site(
    site: Path, tmp_path: Path, name: str
) -> None:
    elsewhere = tmp_path / "elsewhere"
    (elsewhere / "site").mkdir(parents=True)
    (elsewhere / "site" / "mine.txt").write_text("mine")
    build(site)
    shutil.rmtree(site / ".sitegen")
    (site / name).parent.mkdir(exist_ok=True)
    (site / name).symlink_to(elsewhere)
    assert build(site).status == 0
    _append(site, "loose.md")
    assert build(site).status == 0
    assert tree(elsewhere) == {"site/mine.txt": b"mine"}
    assert (site / name).is_symlink()


def test_an_old_site_is_put_away_for_the_next(site: Path) -> None:
    build(site)
    for _ in range(3):
        _append(site, "loose.md")
        before = (site / "out").stat().st_ino
        assert build(site).status == 0
        assert (site / ".sitegen" / "site").stat().st_ino == before


@pytest.mark.parametrize("outs", [("out", "out"), ("out", "other")])
def test_builds_at_once(site: Path, tmp_path: Path, outs: tuple[str, str]) -> None:
    for number in range(4):
        _append(site, "loose.md", f"Sentence {number}.\n")
        running = [
            subprocess.Popen(
                [sys.executable, "-m", "sitegen", "build", "content", "--out", out],
                cwd=site,
                env={**os.environ, "PYTHONPATH": str(ROOT)},
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                text=True,
            )
            for out in outs
        ]
        for process in running:
            said, _ = process.communicate()
            assert process.returncode == 0, said
        _, files = build_clean(site, tmp_path / "clean")
        for out in outs:
            assert tree(site / out) == files


def test_workers_make_no_difference(tmp_path: Path) -> None:
    """More pages than are worth starting processes for."""
    site = tmp_path / "site"
    shutil.copytree(SITE, site)
    page = (site / "content" / "loose.md").read_text("utf-8")
    for number in range(60):
        (site / "content" / f"loose-{number}.md").write_text(page.replace("Loose", f"L{number}"))
    told = build(site, "--workers", "3")
    assert (told, tree(site / "out")) == build_clean(site, tmp_path / "clean", "--workers", "1")


def test_a_broken_theme_is_told_from_a_worker_too(tmp_path: Path) -> None:
    site = tmp_path / "site"
    shutil.copytree(SITE, site)
    (site / "themes").mkdir()
    (site / "themes" / "figure.html").write_text("{{ figure.nothing }}")
    page = (site / "content" / "loose.md").read_text("utf-8")
    for number in range(60):
        (site / "content" / f"loose-{number}.md").write_text(page)
    told = build(site, "--workers", "3")
    assert told == build_clean(site, tmp_path / "clean", "--workers", "1")[0]
    assert told.status == 1
    assert "figure.html" in told.report


def test_nothing_can_be_kept(site: Path, tmp_path: Path) -> None:
    (site / ".sitegen").write_text("a file")
    for _ in range(2):
        told = build(site)
        assert (told, tree(site / "out")) == build_clean(site, tmp_path / "clean")


def _append(site: Path, name: str, text: str = "One more sentence.\n") -> None:
    page = site / "content" / name
    page.write_text(f"{page.read_text('utf-8')}\n{text}", "utf-8")


def _reads(site: Path, read: list[str]) -> list[str]:
    read.clear()
    assert build(site).status == 0
    return sorted(read)


def _noting(read: list[str]) -> Callable[..., object]:
    def noting(file: str, text: str, settings: Settings, *, is_set: bool) -> object:
        read.append(file)
        return read_page(file, text, settings, is_set=is_set)

    return noting


def _digest(folder: Path) -> str:
    return take_snapshot(folder, hidden=False, tick=0).digest


def _with_head(path: Path, **more: object) -> bytes:
    """A file of what is kept with its first lines forged as well as they can be."""
    _, head = path.read_bytes().split(b"\n")
    forged = json.dumps({**json.loads(head), "fresh": {}, **more}).encode()
    return f"{FORMAT} {hashlib.sha256(forged).hexdigest()}\n".encode() + forged


def test_what_was_not_written_here_is_as_good_as_nothing(tmp_path: Path) -> None:
    store = Store(tmp_path / "content")
    store.save({"told": False})
    assert store.load() == {"told": False}
    # all of it as an archive brings it, with its times
    shutil.move(tmp_path / ".sitegen", tmp_path / "packed")
    shutil.copytree(tmp_path / "packed", tmp_path / ".sitegen")
    assert store.load() is None
    store.save({"told": False})
    assert store.load() is not None
    # a seal that leads elsewhere is none
    (tmp_path / ".sitegen" / "seal").rename(tmp_path / "seal")
    (tmp_path / ".sitegen" / "seal").symlink_to(tmp_path / "seal")
    assert store.load() is None


def _truncated(data: bytes) -> bytes:
    return data[: len(data) // 2]


def _flipped(data: bytes) -> bytes:
    at = len(data) * 2 // 3
    return data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :] if data else b"x"


def _garbled(data: bytes) -> bytes:
    return random.Random(5).randbytes(len(data))


def _nested(data: bytes) -> bytes:
    """What a reader of JSON would lose itself in, with a sum that everyone can work out."""
    deep = b"[" * 200_000
    return f"{FORMAT} {hashlib.sha256(deep).hexdigest()}\n".encode() + deep + b"\n" + data


@pytest.mark.parametrize("spoil", [_truncated, _flipped, _garbled, _nested])
@pytest.mark.parametrize("edited", [False, True])
def test_any_file_may_be_damaged(
    site: Path, tmp_path: Path, spoil: Callable[[bytes], bytes], edited: bool
) -> None:
    build(site)
    for path in sorted((site / ".sitegen").rglob("*")):
        if path.is_file():
            path.write_bytes(spoil(path.read_bytes()))
    if edited:
        _append(site, "first/one.md")
    for _ in range(2):
        told = build(site)
        assert (told, tree(site / "out")) == build_clean(site, tmp_path / "clean")


def test_a_pipe_in_place_of_a_file_is_not_waited_for(site: Path, tmp_path: Path) -> None:
    build(site)
    for path in [site / ".sitegen" / "build", *(site / ".sitegen" / "pages").iterdir()]:
        path.unlink(missing_ok=True)  # an earlier round may have replaced it
        os.mkfifo(path)
        _append(site, "first/one.md")
        told = build(site)
        assert (told, tree(site / "out")) == build_clean(site, tmp_path / "clean")

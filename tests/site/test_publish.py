"""Publishing is all or nothing: killed, refused, out of room, alone or two at once."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from left_site import LeftSite
from sitegen.pages import publish as publishing
from sitegen.pages.output import MANIFEST, OutputRefused, check_output
from sitegen.pages.publish import PublishFailed, publish
from sitegen.pages.stage import UNCHANGED, NotAsLeft, PathRefused

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

ROOT = Path(__file__).parents[2]
FILES = 60
NOBODY = 65534

WORKER = """
import sys
from pathlib import Path
from sitegen.pages import publish
out, content = map(Path, sys.argv[1:])
for turn in range(20):
    text = f"{turn % 2}".encode()
    files = [(f"d{i % 3}/{i}.html", text * 100) for i in range(60)] + [("same.html", b"same")]
    publish.publish(files, out, content)
"""
"""Publishes two sites of 61 files in turn."""

KILLER = """
import json, os, signal, sys
from itertools import count
from pathlib import Path
from left_site import LeftSite
from sitegen.pages import publish
from sitegen.pages.output import MANIFEST
from sitegen.pages.stage import PathRefused
out, content, exchange, spare = *map(Path, sys.argv[1:3]), *map(int, sys.argv[3:])
if not exchange:
    publish._exchange = lambda one, other: False
publish.SPARED = 2
always = [(f"d{i % 2}/{i}.html", b"same") for i in range(4)]
sites = {
    name: [*always, (f"{name}.html", name.encode()), (f"{name}/a.html", b"in a folder")]
    for name in ("old", "new")
}

def state():
    paths = [path for path in out.rglob("*") if path.is_file() and path.name != MANIFEST]
    found = {path.relative_to(out).as_posix(): path.read_bytes() for path in paths}
    return next((name for name, files in sites.items() if found == dict(files)), "neither")

def put(name):
    left = LeftSite(out.parent / "spare") if spare else None
    publish.publish(sites[name], out, content, last=left)

seen = []
for last in count(1):
    put("old")
    put("new")
    put("old")
    assert (out.parent / "spare").exists() == bool(spare)
    child = os.fork()
    if not child:
        calls = count(1)
        sys.addaudithook(lambda *_: next(calls) == last and os.kill(os.getpid(), signal.SIGKILL))
        put("new")
        os._exit(0)
    if not os.waitpid(child, 0)[1]:
        break
    after = state()
    try:
        publish.publish([("..", b"")], out, content)
    except PathRefused:
        seen.append((after, state()))
print(json.dumps(seen))
"""
"""Publishes a site over another one and is killed at its first call, its second one, and so on.

Tells for each which site stood there then, and which after the next build, which writes nothing but
clears up.
"""


def environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "tests")])}


def site(letter: str) -> dict[str, bytes]:
    return {"index.html": b"front", "a/one.html": letter.encode(), "a/two.html": b"two"}


@pytest.fixture
def content(tmp_path: Path) -> Path:
    folder = tmp_path / "content"
    folder.mkdir()
    (folder / "page.md").write_text("# A page\n")
    return folder


@pytest.fixture
def out(tmp_path: Path, content: Path) -> Path:
    folder = tmp_path / "out"
    publish(site("A").items(), folder, content)
    return folder


def found(folder: Path) -> dict[str, bytes]:
    """What a folder holds, apart from the manifest."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.name != MANIFEST
    }


def everything(folder: Path) -> dict[str, bytes | str]:
    """All below a folder: a file's bytes, a link's target, "" for a folder."""
    return {
        str(path): str(path.readlink())
        if path.is_symlink()
        else path.read_bytes()
        if path.is_file()
        else ""
        for path in folder.rglob("*")
    }


def assert_whole(out: Path) -> None:
    """One of the two sites of `WORKER`, wholly."""
    files = found(out)
    assert files.pop("same.html") == b"same"
    assert len(files) == FILES
    assert len(set(files.values())) == 1


def beside(out: Path) -> list[str]:
    return sorted(path.name for path in out.parent.iterdir() if path.name.startswith("."))


def test_the_folder_holds_the_new_files_and_no_others(out: Path, content: Path) -> None:
    new = {"index.html": b"new", "b.html": b"B"}
    publish(new.items(), out, content)
    assert found(out) == new
    assert beside(out) == []


def test_an_unchanged_file_keeps_its_inode(out: Path, content: Path) -> None:
    before = {path: (out / path).stat().st_ino for path in site("A")}
    publish(site("B").items(), out, content)
    after = {path: (out / path).stat().st_ino for path in site("B")}
    assert {path for path in before if before[path] != after[path]} == {"a/one.html"}


@pytest.mark.parametrize("links", [True, False])
def test_what_is_unchanged_is_taken_over(
    tmp_path: Path, out: Path, content: Path, links: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = ["a name of words.html", "d/e/f.html", "d/g.html"]
    publish([(name, name.encode()) for name in names], out, content)
    manifest = (out / MANIFEST).read_bytes()
    if not links:
        monkeypatch.setattr(os, "link", _refuse_link)
    left = LeftSite(tmp_path / "spare")
    publish([(name, UNCHANGED) for name in names], out, content, last=left)
    assert found(out) == {name: name.encode() for name in names}
    assert left.touched == left.paths == {*names, MANIFEST}
    # its lines as well, which tell what no other file tells
    assert (out / MANIFEST).read_bytes() == manifest


def _refuse_link(*_: object) -> None:
    raise OSError(errno.EMLINK, os.strerror(errno.EMLINK))


@pytest.mark.parametrize(("path", "as_left"), [("index.html", False), ("other.html", True)])
def test_nothing_is_taken_over_from_a_site_that_is_another(
    tmp_path: Path, out: Path, content: Path, path: str, as_left: bool
) -> None:
    left = LeftSite(tmp_path / "spare", is_as_left=as_left)
    with pytest.raises(NotAsLeft):
        publish([("new.html", b"new"), (path, UNCHANGED)], out, content, last=left)
    assert found(out) == site("A")
    assert beside(out) == []


def many(letter: str) -> dict[str, bytes]:
    """A site of which little differs: a page, and one that has a name and a folder of its own."""
    same = {f"d{i % 3}/{i}.html": b"same" for i in range(FILES)}
    return same | {"d0/one.html": letter.encode(), f"{letter}/two.html": letter.encode()}


@pytest.mark.parametrize("told", [True, False])
def test_a_site_grows_in_the_folder_of_the_one_before_it(
    tmp_path: Path, content: Path, told: bool
) -> None:
    """Whether it is told what is unchanged, or compares."""
    out, left = tmp_path / "out", LeftSite(tmp_path / "spare")
    folders: list[int] = []
    for letter in "ABCDE":
        same = UNCHANGED if told and folders else b"same"
        files = [(path, same if data == b"same" else data) for path, data in many(letter).items()]
        publish(files, out, content, last=left)
        folders.append(out.stat().st_ino)
        assert found(out) == many(letter)
    assert folders[2:] == folders[:3]
    assert folders[0] != folders[1]
    # what the last build wrote, and this one
    assert left.touched == {MANIFEST, "d0/one.html", "E/two.html"}
    assert found(tmp_path / "spare") == many("D")
    assert beside(out) == []


def test_where_much_is_new_no_old_site_takes_room(tmp_path: Path, content: Path) -> None:
    out, left = tmp_path / "out", LeftSite(tmp_path / "spare")
    for letter in "ABC":
        publish(many(letter).items(), out, content, last=left)
    publish(((path, path.encode()) for path in many("D")), out, content, last=left)
    assert left.touched == left.paths
    assert not (tmp_path / "spare").exists()


def add_a_file(spare: Path) -> None:
    (spare / "d1" / "strange.html").write_text("strange")


def add_folders(spare: Path) -> None:
    (spare / "d1" / "strange" / "below").mkdir(parents=True)
    (spare / "d1" / "strange" / "below" / "a.html").write_text("strange")


def change_a_file(spare: Path) -> None:
    (spare / "d0" / "0.html").unlink()
    (spare / "d0" / "0.html").write_text("owed")


def lose_a_folder(spare: Path) -> None:
    shutil.rmtree(spare / "d0")


def folder_for_a_file(spare: Path) -> None:
    (spare / "d0" / "0.html").unlink()
    (spare / "d0" / "0.html" / "below").mkdir(parents=True)
    (spare / "d0" / "0.html" / "below" / "a.html").write_text("strange")


def file_for_a_folder(spare: Path) -> None:
    shutil.rmtree(spare / "d0")
    (spare / "d0").write_text("strange")


def link_for_one_file(spare: Path) -> None:
    (spare / "d0" / "0.html").unlink()
    (spare / "d0" / "0.html").symlink_to(spare.parent / "content" / "page.md")


def link_for_a_folder(spare: Path) -> None:
    shutil.rmtree(spare / "d0")
    (spare / "d0").symlink_to(spare.parent / "content")


def no_manifest_there(spare: Path) -> None:
    (spare / MANIFEST).unlink()


@pytest.mark.parametrize(
    "damage",
    [
        add_a_file,
        add_folders,
        change_a_file,
        lose_a_folder,
        folder_for_a_file,
        file_for_a_folder,
        link_for_one_file,
        link_for_a_folder,
        no_manifest_there,
    ],
)
def test_whatever_is_done_to_the_kept_folder_the_site_is_the_new_one(
    damage: Callable[[Path], None], tmp_path: Path, content: Path
) -> None:
    out, left = tmp_path / "out", LeftSite(tmp_path / "spare")
    for letter in "ABC":
        publish(many(letter).items(), out, content, last=left)
    damage(tmp_path / "spare")
    files = [(path, UNCHANGED if data == b"same" else data) for path, data in many("D").items()]
    publish(files, out, content, last=left)
    assert found(out) == many("D")
    assert {path.name for path in out.iterdir()} == {"D", "d0", "d1", "d2", MANIFEST}
    assert everything(content) == {str(content / "page.md"): b"# A page\n"}


def test_a_file_edited_by_hand_is_put_right(out: Path, content: Path) -> None:
    (out / "a/two.html").write_bytes(b"owt")  # as long as what was written
    publish(site("A").items(), out, content)
    assert found(out) == site("A")


def test_the_manifest_tells_the_hash_and_size_of_every_file(out: Path, content: Path) -> None:
    # the hash is compared with hashlib's, FIPS 180-4, over what lies on the disk
    for letter in "AB":  # all written; most taken over
        publish(site(letter).items(), out, content)
        head, *lines = (out / MANIFEST).read_text("utf-8").splitlines()
        assert head == "sitegen output 1"
        assert lines == [
            f"{hashlib.sha256(data).hexdigest()} {len(data)} {path}"
            for path, data in sorted(found(out).items())
        ]


def test_the_same_files_in_another_order_give_the_same_bytes(tmp_path: Path, content: Path) -> None:
    files = list(site("A").items())
    publish(files, tmp_path / "one", content)
    publish(reversed(files), tmp_path / "two", content)
    assert (tmp_path / "one" / MANIFEST).read_bytes() == (tmp_path / "two" / MANIFEST).read_bytes()


def test_a_file_to_copy_is_copied(tmp_path: Path, content: Path) -> None:
    publish([("page.md", content / "page.md")], tmp_path / "out", content)
    assert found(tmp_path / "out") == {"page.md": b"# A page\n"}
    assert (content / "page.md").stat().st_nlink == 1


def test_the_folder_keeps_its_mode(out: Path, content: Path) -> None:
    out.chmod(0o750)
    publish(site("B").items(), out, content)
    assert out.stat().st_mode & 0o777 == 0o750


def test_a_link_to_an_output_stays_a_link(tmp_path: Path, out: Path, content: Path) -> None:
    link = tmp_path / "link"
    link.symlink_to(out)
    publish(site("B").items(), link, content)
    assert link.is_symlink()
    assert found(out) == site("B")


def a_file(out: Path, content: Path) -> Path:
    shutil.rmtree(out)
    out.write_text("mine")
    return content


def no_manifest(out: Path, content: Path) -> Path:
    (out / MANIFEST).unlink()
    return content


def strange_file(out: Path, content: Path) -> Path:
    (out / "a" / "notes.txt").write_text("mine")
    return content


def strange_folder(out: Path, content: Path) -> Path:
    (out / ".git").mkdir()
    return content


def link_for_a_file(out: Path, content: Path) -> Path:
    (out / "a" / "one.html").unlink()
    (out / "a" / "one.html").symlink_to(content / "page.md")
    return content


def later_manifest(out: Path, content: Path) -> Path:
    (out / MANIFEST).write_text("sitegen output 2\n")
    return content


def dangling_link(out: Path, content: Path) -> Path:
    shutil.rmtree(out)
    out.symlink_to(out.parent / "nowhere")
    return content


def inside_content(out: Path, content: Path) -> Path:
    del content
    return out.parent


def around_content(out: Path, content: Path) -> Path:
    del content
    return out / "a"


def content_itself(out: Path, content: Path) -> Path:
    del content
    return out


@pytest.mark.parametrize(
    ("arrange", "says"),
    [
        (a_file, "is a file"),
        (no_manifest, "no build wrote it"),
        (strange_file, "a/notes.txt"),
        (strange_folder, ".git"),
        (link_for_a_file, "a/one.html"),
        (later_manifest, "another version"),
        (dangling_link, "there is nothing there"),
        (inside_content, "lies in the content folder"),
        (around_content, "contains the content folder"),
        (content_itself, "lies in the content folder"),
    ],
    ids=lambda value: getattr(value, "__name__", ""),
)
def test_an_output_that_is_not_ours_is_refused_and_left(
    arrange: object, says: str, out: Path, content: Path
) -> None:
    assert callable(arrange)
    content = arrange(out, content)
    before = everything(out.parent)
    with pytest.raises(OutputRefused, match=says):
        check_output(out, content)
    with pytest.raises(OutputRefused, match=says):
        publish(site("B").items(), out, content)
    assert everything(out.parent) == before


def test_of_much_that_is_not_ours_the_first_is_named(out: Path, content: Path) -> None:
    for number in range(9, 0, -1):
        (out / f"{number}.txt").write_text("mine")
    with pytest.raises(OutputRefused, match=r"`1\.txt`, `2\.txt`, `3\.txt` and 6 more;"):
        check_output(out, content)


def test_an_empty_folder_is_taken(tmp_path: Path, content: Path) -> None:
    (tmp_path / "out").mkdir()
    publish(site("A").items(), tmp_path / "out", content)
    assert found(tmp_path / "out") == site("A")


@pytest.mark.parametrize(
    "path",
    [
        "",
        "/etc/passwd",
        "../x",
        "a/../../x",
        "a//b",
        "./a",
        "a/",
        "..",
        "a\\b",
        "a\nb",
        "a\ud800",
        MANIFEST,
        MANIFEST.upper(),
    ],
)
def test_an_address_that_leads_elsewhere_is_refused(path: str, out: Path, content: Path) -> None:
    with pytest.raises(PathRefused):
        publish([(path, b"x")], out, content)
    assert found(out) == site("A")
    assert beside(out) == []


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("a.html", "A.html"),
        ("Edges/a.html", "edges/b.html"),
        ("stra\xdfe.html", "STRASSE.html"),
        ("e\u0301.html", "\xe9.html"),
        ("a", "a/b.html"),
        ("a.html", "a.html"),
    ],
)
def test_two_files_that_are_one_on_some_systems_are_refused(
    one: str, other: str, out: Path, content: Path
) -> None:
    for paths in ((one, other), (other, one)):
        with pytest.raises(PathRefused):
            publish([(path, b"x") for path in paths], out, content)
    assert found(out) == site("A")


def test_what_the_making_of_a_file_raises_stops_it(out: Path, content: Path) -> None:
    def files() -> Iterator[tuple[str, bytes]]:
        yield "index.html", b"new"
        raise RuntimeError("no page")

    with pytest.raises(RuntimeError, match="no page"):
        publish(files(), out, content)
    assert found(out) == site("A")
    assert beside(out) == []


def test_without_the_exchange_the_folders_are_renamed(
    out: Path, content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sitegen.pages.publish._exchange", lambda _one, _other: False)
    publish(site("B").items(), out, content)
    assert found(out) == site("B")
    assert beside(out) == []


@pytest.mark.parametrize("spare", [1, 0])
@pytest.mark.parametrize("exchange", [1, 0])
def test_a_build_killed_at_every_step_leaves_a_whole_site(
    exchange: int, spare: int, tmp_path: Path, content: Path
) -> None:
    """No moment is left to chance: each call to the system (PEP 578) is the last one once."""
    done = subprocess.run(
        [sys.executable, "-c", KILLER, tmp_path / "out", content, str(exchange), str(spare)],
        env=environment(),
        capture_output=True,
        text=True,
        check=True,
    )
    steps = json.loads(done.stdout)
    assert len(steps) > 40, "publishing takes more calls than that"
    if exchange:
        assert {after for after, _ in steps} == {"old", "new"}
        assert [after for after, _ in steps] == sorted((a for a, _ in steps), reverse=True)
    assert {recovered for _, recovered in steps} == {"old", "new"}


def test_two_builds_at_once_do_not_hurt_each_other(tmp_path: Path, content: Path) -> None:
    out = tmp_path / "out"
    command = [sys.executable, "-c", WORKER, str(out), str(content)]
    with (
        subprocess.Popen(command, env=environment(), stdout=subprocess.DEVNULL) as one,
        subprocess.Popen(command, env=environment(), stdout=subprocess.DEVNULL) as other,
    ):
        assert (one.wait(60), other.wait(60)) == (0, 0)
    assert_whole(out)
    assert beside(out) == []


def watched(monkeypatch: pytest.MonkeyPatch, *, exchange: bool) -> list[object]:
    """What happens from now on: what is flushed, by its inode, and when folders are renamed."""
    happened: list[object] = []
    flush, rename, swap = os.fsync, Path.rename, publishing.__dict__["_exchange"]

    def flushed(handle: int) -> None:
        flush(handle)
        about = os.fstat(handle)
        happened.append((about.st_dev, about.st_ino))

    def renamed(path: Path, to: Path) -> Path:
        happened.append("renamed")
        return rename(path, to)

    def exchanged(one: Path, other: Path) -> bool:
        happened.append("renamed")
        return exchange and swap(one, other)

    monkeypatch.setattr(os, "fsync", flushed)
    monkeypatch.setattr(Path, "rename", renamed)
    monkeypatch.setattr("sitegen.pages.publish._exchange", exchanged)
    return happened


def inode(path: Path) -> tuple[int, int]:
    return path.stat().st_dev, path.stat().st_ino


@pytest.mark.parametrize("exchange", [True, False])
def test_what_is_new_is_on_the_disk_before_it_is_published(
    exchange: bool, out: Path, content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A power cut keeps what was flushed; what else it keeps nobody knows (fsync(2), rename(2))."""
    happened = watched(monkeypatch, exchange=exchange)
    publish((site("B") | {"new/below/three.html": b"three"}).items(), out, content)
    first = happened.index("renamed")
    new = ("a/one.html", "new/below/three.html", MANIFEST, "", "a", "new", "new/below")
    assert {inode(out / path) for path in new} <= {*happened[:first]}
    assert happened[-1] == inode(out.parent), "the exchange itself is flushed last"


def test_where_a_site_grows_names_that_came_or_went_are_on_the_disk_as_well(
    tmp_path: Path, content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that came back after a power cut would be one that no build put there."""
    out, left = tmp_path / "out", LeftSite(tmp_path / "spare")
    some = {f"d{i % 5}/{i}.html": b"same" for i in range(FILES)} | {"d4/below/a.html": b"same"}
    for letter in "ABC":
        publish((some | {"a.html": letter.encode()}).items(), out, content, last=left)
    del some["d0/0.html"], some["d4/below/a.html"]
    some["d1/new/below/a.html"] = b"new"
    happened = watched(monkeypatch, exchange=True)
    publish(some.items(), out, content, last=left)
    lent, exchanged, _ = (at for at, one in enumerate(happened) if one == "renamed")
    named = {inode(out / path) for path in ("", "d0", "d1", "d1/new", "d1/new/below", "d4")}
    assert named <= {*happened[lent:exchanged]}
    assert inode(out / "d2") not in happened, "nothing came or went there"


def test_a_disk_that_fails_late_leaves_the_old_site(
    out: Path, content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some file systems tell only at the flush that there is no room (fsync(2))."""

    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(PublishFailed, match="No space left"):
        publish(site("B").items(), out, content)
    assert found(out) == site("A")
    assert beside(out) == []


def test_a_read_only_parent_leaves_the_old_site() -> None:
    # root may write anywhere, so then the writing is done by the user who owns nothing
    script = (
        "import os, sys; from pathlib import Path; from sitegen.pages.publish import *\n"
        f"os.geteuid() or os.setuid({NOBODY})\n"
        "try: publish([('a.html', b'a')], *map(Path, sys.argv[1:]))\n"
        "except PublishFailed as error: sys.exit(f'failed: {error}')\n"
    )
    with tempfile.TemporaryDirectory() as name:  # pytest's own folders are closed to others
        folder = Path(name)
        folder.chmod(0o755)
        (folder / "content").mkdir()
        out = folder / "sites" / "out"
        publish(site("A").items(), out, folder / "content")
        out.parent.chmod(0o555)
        try:
            done = subprocess.run(
                [sys.executable, "-c", script, str(out), str(folder / "content")],
                env=environment(),
                capture_output=True,
                text=True,
                check=False,
            )
        finally:
            out.parent.chmod(0o755)
        assert done.stderr.startswith("failed: ")
        assert "Permission denied" in done.stderr
        assert found(out) == site("A")


def test_no_folder_to_write_in_is_told_as_such(tmp_path: Path, content: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputRefused, match="which is a file"):
        publish(site("A").items(), tmp_path / "file" / "out", content)

"""Folders as the file system shows them, without reading a file: what tells that nothing changed.

A file counts as unchanged where its size, the times of its last changes and its inode are. A change
within the clock's tick could escape that; so the files whose times lie within `TICK` of the moment
they were looked at are hashed, at that moment and again.
"""

from __future__ import annotations

import hashlib
import os
import stat
import sys
import time
from importlib.util import find_spec
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.pages.files import open_plain

if TYPE_CHECKING:
    from collections.abc import Iterator

TICK: Final = 2_000_000_000
"""Nanoseconds: the coarsest clock of a file system in use, FAT's, counts two seconds."""

PACKAGES: Final = (
    "jinja2",
    "markupsafe",
    "markdown_it",
    "mdit_py_plugins",
    "msgspec",
    "yaml",
    "svgwrite",
)
"""The packages that have a say in what is written or kept."""


class Stat(NamedTuple):
    """What the file system says of a file.

    Attributes:
        size: in bytes.
        changed: when its contents were changed last, in nanoseconds.
        touched: when anything of it was, which nobody can set.
        inode: which file it is.
    """

    size: int
    changed: int
    touched: int
    inode: int


NO_STAT: Final = Stat(0, 0, 0, 0)
"""Of a file that was not there yet when its folder was looked at."""


class Snapshot(NamedTuple):
    """The files of a folder, as the file system shows them at a moment.

    Attributes:
        files: what the file system says of each file, by its path in the folder.
        fresh: the SHA-256 of each file that was changed so lately that its times do not tell; ""
            for each link, whose times tell nothing of what it leads to.
        has_links: whether a link stands in it, which leads to what is not looked at here.
    """

    files: dict[str, Stat]
    fresh: dict[str, str]
    has_links: bool

    @property
    def has_templates(self) -> bool:
        """Whether a theme has templates, which may show anything of a site on any page."""
        return any(path.endswith(".html") for path in self.files)

    @property
    def digest(self) -> str:
        """A value that is the same for equal folders alone; `fresh` is to be compared besides."""
        paths = sorted(self.files)
        # one list of all numbers takes half the time of a text for each file
        numbers = [*chain.from_iterable(map(self.files.__getitem__, paths))]
        return digest("\0".join([*paths, str(numbers)]))


def digest(text: str) -> str:
    """The SHA-256 of a text."""
    return hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest()


def take_snapshot(folder: Path, *, hidden: bool, tick: int) -> Snapshot:
    """Take a snapshot of a folder and all below it; one that is not there is empty.

    Args:
        folder: the folder.
        hidden: whether files whose names begin with a point count.
        tick: nanoseconds: files changed more lately than that ago are hashed.

    Raises:
        OSError: it cannot be listed.
    """
    before = time.time_ns() - tick
    snapshot = Snapshot({}, {}, False)
    if not folder.is_dir():
        return snapshot
    has_links = False
    for path, entry in _walk(str(folder), hidden=hidden):
        try:
            found = entry.stat(follow_symlinks=False)
        except FileNotFoundError:  # gone since it was listed: an editor's, or another build's
            continue
        if stat.S_ISLNK(found.st_mode):
            has_links = True
            snapshot.fresh[path] = ""
        one = snapshot.files[path] = _as_stat(found)
        if (one.changed >= before or one.touched >= before) and stat.S_ISREG(found.st_mode):
            snapshot.fresh[path] = hash_file(folder / path)
    return snapshot._replace(has_links=has_links)


def stat_of(path: str) -> Stat:
    """What the file system says of one file, itself if it is a link.

    Raises:
        OSError: it is not there.
    """
    return _as_stat(os.lstat(path))


def _as_stat(found: os.stat_result) -> Stat:
    return Stat(found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino)


def _walk(folder: str, *, hidden: bool) -> Iterator[tuple[str, os.DirEntry[str]]]:
    """All below a folder; what cannot be listed, or lies too deep, is told by others.

    Raises:
        OSError: the folder itself cannot be listed.
    """
    waiting = [(folder, "")]
    while waiting:
        place, prefix = waiting.pop()
        try:
            with os.scandir(place) as listed:
                entries = list(listed)
        except OSError:
            if not prefix:
                raise
            continue
        for entry in entries:
            if entry.name.startswith(".") and not hidden:
                continue
            if entry.is_dir(follow_symlinks=False):
                waiting.append((entry.path, f"{prefix}{entry.name}/"))
            else:
                yield f"{prefix}{entry.name}", entry


def hash_file(path: Path) -> str:
    """The SHA-256 of a file's bytes; "" for what cannot be read."""
    try:
        with open_plain(path) as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def have_same_bytes(folder: Path, fresh: dict[str, str]) -> bool:
    """Whether the files of a snapshot's `fresh` have the bytes that they had then."""
    return all(hash_file(folder / path) == known for path, known in fresh.items())


def program_digest() -> str:
    """A value that changes with the program, its Python and its packages."""
    own = str(Path(__file__).parents[1])
    walked = _walk(own, hidden=False)
    files = {path: entry.stat() for path, entry in walked if "__pycache__" not in path}
    origins = [spec.origin for spec in map(find_spec, PACKAGES) if spec and spec.origin]
    files |= {origin: os.stat(origin) for origin in origins}  # noqa: PTH116 - Path objects are slow
    about = (f"{path}\0{s.st_size}\0{s.st_mtime_ns}\0{s.st_ino}" for path, s in files.items())
    return digest("\n".join(sorted([sys.version, own, *about])))

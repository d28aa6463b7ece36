"""The new site as it is built: files that the published site has already are linked to it."""

from __future__ import annotations

import errno
import hashlib
import io
import os
import shutil
import unicodedata
from enum import Enum
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, Final

from msgspec import Struct

from sitegen.pages.files import open_inside, open_plain
from sitegen.pages.names import folded
from sitegen.pages.output import MANIFEST, walk

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

PIECE: Final = 1 << 20
"""Bytes of a file that are held at a time."""


class PathRefused(Exception):  # noqa: N818 - it is the path that is refused
    """A file of the new site has an address that cannot be published. Nothing was touched.

    Attributes:
        path: the address.
        message: what is wrong with it.
    """

    def __init__(self, path: str, message: str) -> None:
        super().__init__(f"{path!r}: {message}")
        self.path = path
        self.message = message


class NotAsLeft(Exception):  # noqa: N818 - what is wrong
    """A file was to be taken over from the old site, which is not the one that was built upon."""


class Unchanged(Enum):
    """In place of a file's content: what the old site has at that address."""

    UNCHANGED = "unchanged"


UNCHANGED: Final = Unchanged.UNCHANGED

FileSource = bytes | Path | Unchanged
"""What a file holds, or the file to copy, or that it is what the old site has there."""


class OldSite(Struct, frozen=True):
    """The published site, as far as it can be built upon.

    Attributes:
        folder: where it is; it need not exist.
        inodes: of each of its files, by path; empty unless it is the site that was left.
        lines: its manifest's lines, by path; empty likewise.
    """

    folder: Path
    inodes: Mapping[str, int]
    lines: Mapping[str, str]


class Stage:
    """The new site.

    Attributes:
        lines: its manifest's lines, by path.
        written: its files that are no links.
        touched: its files that were put into the folder anew.
    """

    def __init__(self, new: Path, old: OldSite, content: Path) -> None:
        """Begin.

        Args:
            new: its folder. It may hold an older site: a file of that which is a link to the old
                site's stays where the new site has the same one, and all else goes.
            old: the published site.
            content: the folder that files to copy lie in.
        """
        self.lines: dict[str, str] = {}
        self.written: list[str] = []
        self.touched: set[str] = set()
        self._new = new
        self._old = old
        self._content = content
        # what the older site has and nobody has asked for yet: the inodes of files, and folders
        self._there: dict[str, int] = {}
        self._older: set[str] = set()
        for path, entry in walk(new):
            if entry.is_dir(follow_symlinks=False):
                self._older.add(path)
            else:
                self._there[path] = entry.inode()
        # folders in use, relative to `new`, and those of them in which names came or went
        self._folders = {""}
        self._moved: set[str] = set()
        # each path seen, and each folder of one, as a file system blind to case knows it
        self._taken: dict[str, tuple[str, bool]] = {}

    def add(self, path: str, source: FileSource) -> None:
        """Add a file to the site.

        Args:
            path: its address.
            source: what it holds.

        Raises:
            NotAsLeft: it is unchanged from a site that is not there any more.
            PathRefused: its address cannot be published.
            OSError: it cannot be written.
        """
        self._take_address(path)
        if isinstance(source, Unchanged):
            self._take_over(path)
            return
        with io.BytesIO(source) if isinstance(source, bytes) else self._opened(source) as file:
            if not self._link(path, file):
                file.seek(0)
                self._copy(path, file)
                self.written.append(path)

    def finish(self, head: str) -> None:
        """Remove what was not added, write the manifest, and flush what is new to the disk.

        Args:
            head: the manifest's first line.

        Raises:
            OSError: the system would not.
        """
        lines = [head, *(self.lines[path] for path in sorted(self.lines))]
        with _new_file(self._room_at(MANIFEST)) as file:
            file.write("".join(f"{line}\n" for line in lines).encode())
        for path in list(self._there):
            self._make_room(path)
        for folder in sorted(self._older, reverse=True):  # what is in it goes first
            os.rmdir(f"{self._new}/{folder}")  # noqa: PTH106 - Path objects are slow to make
            self._moved.add(folder.rpartition("/")[0])
        for path in (*self.written, MANIFEST, *(self._moved & self._folders)):
            flush(f"{self._new}/{path}")

    def _take_address(self, path: str) -> None:
        """Check an address, and that it is no other's where upper and lower case are one."""
        if path not in self._old.lines:
            _check_path(path)
        folder = path.rpartition("/")[0]
        if folder not in self._folders:
            self._open_folder(folder, path)
        self._take_name(path, path, is_file=True)
        if path in self.lines:
            raise PathRefused(path, "two files have this address")

    def _take_name(self, part: str, path: str, *, is_file: bool) -> None:
        known = self._taken.setdefault(folded(part), (part, is_file))
        if known != (part, is_file):
            raise PathRefused(path, f"it and `{known[0]}` cannot both be published")

    def _open_folder(self, folder: str, path: str) -> None:
        parts = folder.split("/")
        for end in range(1, len(parts) + 1):
            part = "/".join(parts[:end])
            self._take_name(part, path, is_file=False)
            if part in self._folders:
                continue
            self._folders.add(part)
            if part in self._older:
                self._older.remove(part)
            else:
                self._make_room(part)
                self._moved.update((part, part.rpartition("/")[0]))
                os.mkdir(f"{self._new}/{part}")  # noqa: PTH102 - Path objects are slow to make

    def _room_at(self, path: str) -> str:
        """The path of a new file; what the older site had there is removed."""
        self._make_room(path)
        self._moved.add(path.rpartition("/")[0])
        self.touched.add(path)
        return f"{self._new}/{path}"

    def _make_room(self, path: str) -> None:
        """Remove what the older site has at a path."""
        if path in self._there:
            os.unlink(f"{self._new}/{path}")  # noqa: PTH108 - Path objects are slow to make
            del self._there[path]
        elif path in self._older:
            shutil.rmtree(self._new / path)
            below = f"{path}/"
            self._there = {at: one for at, one in self._there.items() if not at.startswith(below)}
            self._older = {at for at in self._older if at != path and not at.startswith(below)}
        else:
            return
        self._moved.add(path.rpartition("/")[0])

    def _is_there(self, path: str, inode: int | None) -> bool:
        """Whether the folder holds this very file at a path already; then it stays."""
        if inode is None or self._there.get(path) != inode:
            return False
        del self._there[path]
        return True

    def _take_over(self, path: str) -> None:
        line = self._old.lines.get(path)
        if line is None:
            raise NotAsLeft(path)
        self.lines[path] = line
        if self._is_there(path, self._old.inodes.get(path)):
            return
        old, new = f"{self._old.folder}/{path}", self._room_at(path)
        try:
            os.link(old, new)
        except OSError:  # a file system without links, or a file with too many
            shutil.copyfile(old, new)

    def _opened(self, source: Path) -> BinaryIO:
        return open_inside(self._content, source.relative_to(self._content).as_posix())

    def _link(self, path: str, file: BinaryIO) -> bool:
        """Take the file over from the old site, if it holds these very bytes there."""
        old = f"{self._old.folder}/{path}"
        try:
            with open_plain(old) as there:
                about = os.fstat(there.fileno())
                if about.st_size != file.seek(0, os.SEEK_END):
                    return False
                file.seek(0)
                sums = hashlib.sha256()
                for piece in _pieces(file):
                    if there.read(len(piece)) != piece:
                        return False
                    sums.update(piece)
            if not self._is_there(path, about.st_ino):
                os.link(old, self._room_at(path))
        except OSError:  # not there, or a file system without links: it is written instead
            return False
        self._add_to_manifest(path, sums.hexdigest(), file.tell())
        return True

    def _copy(self, path: str, file: BinaryIO) -> None:
        sums = hashlib.sha256()
        with _new_file(self._room_at(path)) as new:
            for piece in _pieces(file):
                sums.update(piece)
                new.write(piece)
        self._add_to_manifest(path, sums.hexdigest(), file.tell())

    def _add_to_manifest(self, path: str, digest: str, length: int) -> None:
        self.lines[path] = f"{digest} {length} {path}"


def _pieces(file: BinaryIO) -> Iterator[bytes]:
    """What is left of a file; a large one is never held whole."""
    return iter(partial(file.read, PIECE), b"")


def _new_file(path: str) -> BinaryIO:
    return open(path, "xb")  # noqa: PTH123 - Path objects are slow to make


def flush(path: str) -> None:
    """Have a file, or the names in a folder, written to the disk before anything goes on."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno != errno.EINVAL:  # a file system that keeps nothing back (fsync(2))
            raise
    finally:
        os.close(handle)


def _check_path(path: str) -> None:
    parts = path.split("/")
    if any(part in {"", ".", ".."} for part in parts):
        raise PathRefused(path, "it does not lead to a file inside the output folder")
    if "\\" in path or not (path.isprintable() or _is_text(path)):
        raise PathRefused(path, "a name cannot hold a backslash or a control character")
    if folded(parts[0]) == MANIFEST:
        raise PathRefused(path, "this name is kept for the list of what was published")


def _is_text(path: str) -> bool:
    return all(unicodedata.category(letter) not in {"Cc", "Cs"} for letter in path)

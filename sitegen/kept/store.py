"""The files of `.sitegen/`: written whole or not at all, and read only as they were written here.

The first line of `build` signs the second (keyed BLAKE2b, RFC 7693), which names a file of `pages/`
with a row for each page, and one with compiled templates, which are code. That folder also holds a
file a page, and each file is named by what it hashes to.

Nothing in these files is read, not even as JSON, that was not signed here. The key is made from the
inode number and the time of change, to the nanosecond, of a file of the folder's own, `seal`. The
system sets these when the seal is made, and nobody can choose them; so a folder that came with a
checkout, a copy or an archive has another key, and is as good as none. Only plain files are opened,
and no links followed: a pipe would never end.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import re
import stat
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any, Final

from sitegen.pages.files import open_plain

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from sitegen.kept.packed import Packed

FOLDER: Final = ".sitegen"

FORMAT: Final = "sitegen kept 6"

_PAGE: Final = re.compile(r"[0-9a-f]{64}|\.[0-9a-f]{64}\.[0-9a-f]{16}")
"""A file of `pages/`, whole, or left there by a build that was killed."""

LONGEST: Final = 1 << 28
"""Bytes of a kept file: far more than any comes to."""

_NEW: Final = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC


class MemoryStore:
    """Set pages kept in memory: all of a preview's, and those that could not be written to disk."""

    def __init__(self, packed: Mapping[str, bytes] | None = None) -> None:
        """Begin with some pages.

        Args:
            packed: these, by the names they are kept under.
        """
        self._packed = dict(packed or {})

    def copy(self) -> MemoryStore:
        """The same pages, which stay when this store lets go of them."""
        return MemoryStore(self._packed)

    @staticmethod
    def give_back(packed: Packed) -> Packed:
        """Keep nothing in a worker process: the page goes back to the one that keeps it."""
        return packed

    def put(self, packed: Packed) -> None:
        """Keep a page."""
        self._packed[packed.name] = packed.data

    def page(self, name: str) -> bytes:
        """The page kept under a name.

        Raises:
            LookupError: there is none.
        """
        return self._packed[name]

    def clear(self, names: set[str]) -> None:
        """Forget all pages but these."""
        self._packed = {name: data for name, data in self._packed.items() if name in names}


class Store:
    """The folder `.sitegen/` beside a content folder.

    Attributes:
        in_memory: the pages that could not be written there.
    """

    def __init__(self, root: Path) -> None:
        """Name it; nothing is touched yet.

        Args:
            root: the content folder.
        """
        self._folder = root.parent / FOLDER
        self._pages = self._folder / "pages"
        self._build = self._folder / "build"
        self._seal = self._folder / "seal"
        self._spare = self._folder / "site"
        self._is_made = False
        self.in_memory = MemoryStore()

    def load(self) -> dict[str, Any] | None:
        """What the last build kept; None where there is nothing, or nothing to be relied on."""
        try:
            first, second = _plain_bytes(self._build).split(b"\n")
            if first.decode() != self._signed(second):
                return None
        except (OSError, ValueError):
            return None
        head: dict[str, Any] = json.loads(second)
        return head

    def save(self, head: dict[str, Any]) -> None:
        """Keep what a build found; where that cannot be written, the next one does without.

        Args:
            head: whatever JSON can hold.
        """
        with suppress(OSError):
            self._make_folders()
            with suppress(FileExistsError):
                self._seal.touch(exist_ok=False)
            second = json.dumps(head).encode()
            whole = b"\n".join((self._signed(second).encode(), second))
            with _replacing(self._build) as new:
                new.write_bytes(whole)

    def drop(self) -> None:
        """Forget the last build."""
        with suppress(OSError):
            self._build.unlink(missing_ok=True)

    def page(self, name: str) -> bytes:
        """The bytes of a kept file: of a set page, or of what is kept of all pages.

        Args:
            name: what they hash to.

        Raises:
            LookupError: it is not there, or not as it was written.
        """
        with suppress(LookupError):
            return self.in_memory.page(name)
        try:
            data = _plain_bytes(self._pages / name)
        except OSError:
            data = b""
        if hashlib.sha256(data).hexdigest() != name:
            raise LookupError(name)
        return data

    def keep_page(self, packed: Packed) -> Packed | None:
        """Write a set page; one that cannot be written is given back, to be kept in memory."""
        # not written beside its place and renamed: one that is not whole is not what its name says
        try:
            if not self._is_made:
                self._make_folders()
            handle = os.open(f"{self._pages}/{packed.name}", _NEW, 0o666)
            with open(handle, "wb") as file:  # noqa: PTH123 - a handle
                file.write(packed.data)
        except FileExistsError:
            return None
        except OSError:
            return packed
        return None

    def keep_and_give_back(self, packed: Packed) -> Packed:
        """Write a set page over what may be damaged, and have it kept in memory all the same."""
        with suppress(OSError):
            self.keep(packed.data)
        return packed

    def keep(self, data: bytes) -> str:
        """Write a file, such as that of all pages' rows; its name is given back.

        Raises:
            OSError: it cannot be written.
        """
        self._make_folders()
        name = hashlib.sha256(data).hexdigest()
        with _replacing(self._pages / name) as new:
            new.write_bytes(data)
        return name

    def lend(self, new: Path) -> bool:
        """Move the folder of an older site away from here, if one is kept; whether it was.

        Args:
            new: where nothing stands.
        """
        with suppress(OSError):
            if self._spare.is_dir() and not (self._folder.is_symlink() or self._spare.is_symlink()):
                self._spare.rename(new)
                return True
        return False

    def take_back(self, old: Path) -> bool:
        """Keep the folder of an older site for the next build; False if it could not be moved.

        Args:
            old: where it stands.
        """
        with suppress(OSError):
            self._make_folders()
            old.rename(self._spare)
            return True
        return False

    def clear(self, names: set[str]) -> None:
        """Remove the files of `pages/` but these."""
        with suppress(OSError):
            self._make_folders()
            for entry in list(os.scandir(self._pages)):
                if _PAGE.fullmatch(entry.name) and entry.name not in names:
                    os.unlink(entry.path)  # noqa: PTH108 - Path objects are slow to make

    def _signed(self, text: bytes) -> str:
        """The first line of a file that this folder signs.

        Raises:
            OSError: it has no seal.
        """
        about = self._seal.lstat()
        if not stat.S_ISREG(about.st_mode):
            raise FileNotFoundError(str(self._seal))
        key = f"{about.st_ino} {about.st_ctime_ns}".encode()
        return f"{FORMAT} {hashlib.blake2b(text, key=key).hexdigest()}"

    def _make_folders(self) -> None:
        """Make the folders; a link in the place of one is refused: it may lead anywhere.

        Raises:
            OSError: they cannot be made.
        """
        for folder in (self._folder, self._pages):
            if folder.is_symlink():
                raise NotADirectoryError(str(folder))
            folder.mkdir(exist_ok=True)
        self._is_made = True


def _plain_bytes(path: Path) -> bytes:
    """What a plain file holds.

    Raises:
        OSError: it is not there, or something else.
    """
    with open_plain(path) as file:
        if os.fstat(file.fileno()).st_size > LONGEST:
            raise OSError(errno.EFBIG, os.strerror(errno.EFBIG), str(path))
        return file.read()


@contextmanager
def _replacing(path: Path) -> Iterator[Path]:
    """A new file to write to, which is put in the place of `path` once it is whole."""
    new = path.with_name(f".{path.name}.{os.urandom(8).hex()}")
    try:
        yield new
        new.replace(path)
    except BaseException:
        new.unlink(missing_ok=True)
        raise

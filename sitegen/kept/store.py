"""The files of `.sitegen/`: written whole or not at all, and read only as they were written here.

`build` says in its first line what its second line hashes to, and the second what the rest does; so
a build in which nothing changed reads two lines. `pages/` holds a file a page, each named by what
it hashes to.

Nothing in these files is trusted that did not come from a build on this machine: `build` names its
own inode and its own time of change, to the nanosecond. A copy, a checkout or an unpacked archive
has others, and is as good as no file.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import secrets
import time
import zlib
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from pathlib import Path
    from typing import Self

FOLDER: Final = ".sitegen"

FORMAT: Final = "sitegen kept 1"

_PAGE: Final = re.compile(r"[0-9a-f]{64}|\.[0-9a-f]{64}\.[0-9a-f]{16}")
"""A file of `pages/`, whole, or left there by a build that was killed."""

LONGEST_HEAD: Final = 1 << 26
"""Bytes: more than a head comes to where ten thousand files have just been changed."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What the last build kept.

    Attributes:
        head: what tells whether nothing changed.
        body: the rest, as it is in the file.
    """

    head: dict[str, Any]
    body: bytes


class Store:
    """The folder `.sitegen/` beside a content folder."""

    def __init__(self, root: Path) -> None:
        """Name it; nothing is touched yet.

        Args:
            root: the content folder.
        """
        self._folder = root.parent / FOLDER
        self._pages = self._folder / "pages"
        self._build = self._folder / "build"

    def load(self) -> Kept | None:
        """What the last build kept; None where there is nothing, or nothing to be relied on."""
        try:
            with self._build.open("rb") as file:
                first, second, body = file.readline(200), file.readline(LONGEST_HEAD), file.read()
                about = os.fstat(file.fileno())
            if first.decode() != f"{FORMAT} {hashlib.sha256(second).hexdigest()}\n":
                return None
            head = json.loads(second)
            if head["self"] != [about.st_ino, about.st_mtime_ns]:
                return None
            if head["body"] != hashlib.sha256(body).hexdigest():
                return None
        except (OSError, ValueError, KeyError, TypeError):
            return None
        return Kept(head, body)

    def save(self, head: dict[str, Any], body: bytes) -> None:
        """Keep what a build found; where that cannot be written, the next one does without.

        Args:
            head: for `Kept.head`.
            body: for `Kept.body`.
        """
        with suppress(OSError):
            self._make_folders()
            with self._beside(self._build) as new, new.path.open("xb") as file:
                now = time.time_ns()
                inode = os.fstat(file.fileno()).st_ino
                about = {"self": [inode, now], "body": hashlib.sha256(body).hexdigest()}
                second = json.dumps(head | about).encode() + b"\n"
                first = f"{FORMAT} {hashlib.sha256(second).hexdigest()}\n"
                file.write(first.encode() + second + body)
                file.flush()
                os.utime(file.fileno(), ns=(now, now))

    def drop(self) -> None:
        """Forget the last build."""
        with suppress(OSError):
            self._build.unlink(missing_ok=True)

    def page(self, name: str) -> Any:  # noqa: ANN401 - whatever JSON can hold
        """What was kept of a page.

        Args:
            name: what `keep_page` gave.

        Raises:
            LookupError: it is not there, or not as it was written.
        """
        try:
            data = zlib.decompress((self._pages / name).read_bytes())
        except (OSError, zlib.error):
            data = b""
        if hashlib.sha256(data).hexdigest() != name:
            with suppress(OSError):
                (self._pages / name).unlink(missing_ok=True)
            raise LookupError(name)
        return json.loads(data)

    def keep_page(self, value: object) -> str:
        """Keep a value of a page, and name it by what it is.

        Args:
            value: what JSON can hold.
        """
        data = json.dumps(value, separators=(",", ":")).encode()
        name = hashlib.sha256(data).hexdigest()
        path = self._pages / name
        with suppress(OSError):
            self._make_folders()
            if not path.exists():
                with self._beside(path) as new:
                    new.path.write_bytes(zlib.compress(data, 1))
        return name

    def clear(self, names: set[str]) -> None:
        """Remove what is kept of pages but of these."""
        with suppress(OSError):
            self._make_folders()
            for entry in list(os.scandir(self._pages)):
                if _PAGE.fullmatch(entry.name) and entry.name not in names:
                    os.unlink(entry.path)  # noqa: PTH108 - Path objects are slow to make

    def _make_folders(self) -> None:
        """Make them; a link in their place, which leads to who knows where, is not followed.

        Raises:
            OSError: they are not to be had.
        """
        for folder in (self._folder, self._pages):
            if folder.is_symlink():
                raise NotADirectoryError(str(folder))
            folder.mkdir(exist_ok=True)

    @staticmethod
    def _beside(path: Path) -> _Beside:
        return _Beside(path, path.with_name(f".{path.name}.{secrets.token_hex(8)}"))


@dataclass(frozen=True, slots=True)
class _Beside:
    """A file written under another name, which takes its own once it is whole."""

    target: Path
    path: Path

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: object, *_: object) -> None:
        if kind is None:
            self.path.replace(self.target)
        else:
            self.path.unlink(missing_ok=True)

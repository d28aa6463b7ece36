"""Writing into an author's page: single lines changed, every other byte left as it was."""

from __future__ import annotations

import errno
import os
import re
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable

_LINE: Final = re.compile(r"([^\r\n]*)(\r\n|\r|\n|\Z)")
_MARK: Final = b"\xef\xbb\xbf"


class NotAsRead(Exception):  # noqa: N818 - what happened
    """A page that is not what it was when the change to it was worked out."""


class Edit(Struct, frozen=True):
    """A change to one line of a file.

    Lines are known by how they end: what quotes and lists put before a block's lines, tabs that
    they took a part of included, stands at the beginning, and is never looked at.

    Attributes:
        line: the file's line, from 1.
        old: what the line ends with, spaces after it aside.
        new: what stands there instead.
        below: lines put below it; each begins as this line does up to `old`.
    """

    line: int
    old: str
    new: str
    below: tuple[str, ...] = ()


def rewritten(data: bytes, edits: Iterable[Edit]) -> bytes:
    """A file with lines changed: its line ends, its byte order mark and all else as they were.

    Args:
        data: the file, in UTF-8.
        edits: the changes, one a line at most.

    Raises:
        NotAsRead: a line does not end with what an edit says.
    """
    mark = _MARK if data.startswith(_MARK) else b""
    lines = [found.groups() for found in _LINE.finditer(data[len(mark) :].decode("utf-8"))]
    pieces = [text + end for text, end in lines]
    for edit in edits:
        if edit.line > len(lines):
            raise NotAsRead
        text, end = lines[edit.line - 1]
        # the last line of a file may have no end of its own; the line above shows the file's
        usual = end or (lines[edit.line - 2][1] if edit.line > 1 else "") or "\n"
        pieces[edit.line - 1] = _line_with(text, edit, usual) + end
    return mark + "".join(pieces).encode("utf-8")


def _line_with(text: str, edit: Edit, end: str) -> str:
    """A line changed, and what is put below it, with this line end between."""
    kept = text.rstrip()
    if not edit.old or not kept.endswith(edit.old):
        raise NotAsRead
    lead = kept[: len(kept) - len(edit.old)]
    below = "".join(end + lead + row for row in edit.below)
    return lead + edit.new + text[len(kept) :] + below


def write_over(path: Path, before: bytes, after: bytes) -> None:
    """Put a file's new bytes in place of its old ones, all at once; its mode stays.

    Args:
        path: the file; where it is a link, the file that it leads to is written.
        before: what it held when it was read.
        after: what it is to hold.

    Raises:
        NotAsRead: it holds something else by now.
        OSError: it cannot be read or written; it is as it was.
    """
    real = path.resolve()
    if not os.access(real, os.W_OK):  # the folder would let it be replaced; its author did not
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
    # a name that begins with a dot is no part of the site, should a preview be watching
    handle, name = tempfile.mkstemp(prefix=".", suffix=".new", dir=real.parent)
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(after)
            file.flush()
            os.fsync(file.fileno())
        shutil.copymode(real, beside)
        if real.read_bytes() != before:
            raise NotAsRead
        beside.replace(real)
    finally:
        beside.unlink(missing_ok=True)

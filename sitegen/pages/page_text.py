"""The text of a page, read from its file."""

from __future__ import annotations

import errno
from typing import TYPE_CHECKING, Final

from sitegen.pages.files import read_inside
from sitegen.pages.unmerged import unmerged
from sitegen.problem import Problem

if TYPE_CHECKING:
    from pathlib import Path

LONGEST_PAGE: Final = 2_000_000
"""Characters that a page may have."""

_MOST_BYTES: Final = 4
"""Bytes of a character in UTF-8 (RFC 3629)."""


def page_bytes(root: Path, file: str) -> bytes:
    """The bytes of a page.

    Raises:
        OSError: see `read_inside`.
    """
    return read_inside(root, file, _MOST_BYTES * LONGEST_PAGE)


def page_text(data: bytes, errors: str = "strict") -> str:
    """A file's text as pages are read: a byte order mark left out, line ends made line feeds.

    Args:
        data: the file.
        errors: what becomes of bytes that are no UTF-8, as `bytes.decode` has it.

    Raises:
        UnicodeDecodeError: there are some, and `errors` is "strict".
    """
    return data.decode("utf-8-sig", errors).replace("\r\n", "\n").replace("\r", "\n")


def read_text(root: Path, file: str) -> tuple[str, list[Problem]]:
    """A page's text, and what is wrong with the file.

    The text is "" if it cannot be read, and if a merge left two versions of a part in it: what
    would be found wrong there, two blocks of one id above all, is wrong with neither.
    """
    try:
        data = page_bytes(root, file)
        text = page_text(data)
    except OSError as error:
        if error.errno == errno.EFBIG:
            return "", [_too_long(file, "far more")]
        why = f"this file cannot be read: {error.strerror}"
        return "", [Problem.of_file(file, "file", why)]
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line = before.count(b"\n") + 1
        row = before.rpartition(b"\n")[2].decode("utf-8-sig", "replace")
        byte = f"byte 0x{data[error.start]:02X} here"
        message = f"this file is not written in UTF-8: {byte}; save it as UTF-8"
        return "", [Problem(file, line, len(row) + 1, 1, "file", message)]
    if len(text) > LONGEST_PAGE:
        return "", [_too_long(file, f"{len(text):,}")]
    left = [Problem(file, one.first, 1, one.length, "file", one.message) for one in unmerged(text)]
    return "" if left else text, left


def _too_long(file: str, found: str) -> Problem:
    message = f"a page has at most {LONGEST_PAGE:,} characters; this one has {found}"
    return Problem.of_file(file, "limit", message)

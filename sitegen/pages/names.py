"""Names of files: where they are published, which no system takes, which some take for one."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

RESERVED: Final = frozenset(
    {
        *("CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"),
        *(f"{port}{n}" for port in ("COM", "LPT") for n in "123456789\xb9\xb2\xb3"),
    }
)
"""What no file may be called on Windows, whatever follows a dot ("Naming Files, Paths, and
Namespaces", Microsoft Learn; from memory)."""

NOT_IN_NAMES: Final = re.compile(r'[<>:"|?*\\]')
"""What no name may hold on Windows, beside the slash (the same page; from memory)."""

LONGEST_NAME: Final = 255
"""Bytes of a name, in UTF-8, that file systems take (`NAME_MAX` of Linux's `limits.h`)."""


def published_as(path: str) -> str:
    """The address of a file of the content folder, relative to the site."""
    return f"{path.removesuffix('.md')}.html" if path.endswith(".md") else path


def folders_of(path: str) -> Iterator[str]:
    """Every folder that a path lies in, the innermost first."""
    while "/" in path:
        path = path.rpartition("/")[0]
        yield path


def folded(path: str) -> str:
    """A path as file systems see it that tell no small letters from capitals (macOS, Windows)."""
    return (
        path if path.isascii() and path.islower() else unicodedata.normalize("NFC", path.casefold())
    )


def unfit(part: str) -> str:
    """Why a file or folder cannot have this name on every system; "" if it can."""
    if part.partition(".")[0].rstrip(" ").upper() in RESERVED or part[-1] in " .":
        return f"`{part}` cannot be the name of a file or folder on Windows; rename it"
    if found := NOT_IN_NAMES.search(part):
        return f"no name may hold `{found[0]}` on Windows; rename it"
    if (length := len(part.encode())) > LONGEST_NAME:
        return (
            f"it is published as a name of {length} bytes, and file systems take {LONGEST_NAME}; "
            "give it a shorter one"
        )
    return ""

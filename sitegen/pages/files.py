"""A content folder found, and files opened: plain ones alone, and its own only inside it."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable
    from io import BufferedReader

_PLAIN: Final = os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK | os.O_CLOEXEC

SETTINGS_FILE: Final = "site.toml"
"""The settings of a site; it stands in the content folder."""

_LEFT_BEHIND: Final = ("~", "#", ".bak", ".orig", ".swp", ".tmp", "/desktop.ini", "/thumbs.db")
"""What ends the names of files that editors and systems leave behind, or is all of one, with a `/`
before it: common practice, no source. Those of an office begin with `~$`."""

THEME_PATH: Final = "../themes"
"""The site's own theme, as files of a content folder are named. It need not exist."""


def find_root(path: Path) -> Path:
    """The content folder that a path lies in, whole: the nearest upwards that holds `site.toml`.

    Without one it is the path itself, or, for a file, the folder the file is in.
    """
    start = path if path.is_dir() else path.parent
    absolute = Path(os.path.abspath(start))  # noqa: PTH100 - links on the way are left as they are
    for folder in (absolute, *absolute.parents):
        if (folder / SETTINGS_FILE).is_file():
            return folder
    return absolute


def own_theme(root: Path) -> Path:
    """The folder of the theme that belongs to a content folder; it need not exist."""
    return root.parent / Path(THEME_PATH).name


def is_hidden(parts: Iterable[str]) -> bool:
    """Whether sites pass a path over: one of its names begins with a dot, or was left behind."""
    return any(
        part.startswith((".", "~$")) or f"/{part}".lower().endswith(_LEFT_BEHIND) for part in parts
    )


def stays_inside(path: Path, real: Path) -> bool:
    """Whether what a path leads to, links followed, lies in a folder whose links are followed."""
    try:
        found = path.resolve()
    except (OSError, RuntimeError):  # a circle of links
        return False
    # and from Python 3.13 on one is followed to where it begins anew
    return found.is_relative_to(real) and not found.is_symlink()


def open_plain(path: Path | str) -> BufferedReader:
    """Open a plain file for reading, and nothing else: a pipe would never end, nor a device.

    Raises:
        OSError: there is none, or a folder, a link, a pipe or a device.
    """
    handle = os.open(path, _PLAIN)
    file = open(handle, "rb")  # noqa: PTH123, SIM115 - a handle, and the caller closes it
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        file.close()
        raise OSError(errno.EINVAL, "it is no plain file", str(path))
    return file


def open_inside(root: Path, file: str) -> BufferedReader:
    """Open a plain file of a content folder for reading, wherever in the folder a link leads.

    What was a file when the folder was listed may be a link out of it by now.

    Raises:
        OSError: see `open_plain`; and where it lies outside.
    """
    path = os.path.realpath(root / file)
    if not path.startswith(f"{os.path.realpath(root)}{os.sep}"):
        raise OSError(errno.EINVAL, "it leads out of the content folder", str(root / file))
    return open_plain(path)


def read_inside(root: Path, file: str, longest: int) -> bytes:
    """The bytes of a plain file of a content folder, read only where they are few enough.

    Raises:
        OSError: see `open_inside`; `EFBIG` where there are more than `longest`.
    """
    with open_inside(root, file) as opened:
        data = opened.read(longest + 1)
    if len(data) > longest:
        raise OSError(errno.EFBIG, os.strerror(errno.EFBIG), str(root / file))
    return data

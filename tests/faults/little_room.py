"""Builds on a disk with less and less room, in a process of their own: `little_room.py FOLDER HOW`.

`HOW` is `disk` where the folder is a small disk of its own, and `ration` where it is not, and what
the program writes is counted instead and refused as a full disk refuses it (ENOSPC, errno(3)). What
was seen is printed as JSON.
"""

from __future__ import annotations

import builtins
import contextlib
import errno
import io
import json
import os
import re
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Protocol

from folders import tree
from sitegen.commands.main import main

if TYPE_CHECKING:
    from collections.abc import Iterator

SITE: Final = Path(__file__).parents[1] / "kept" / "site"
PAGE: Final = 4096
"""Bytes that a small disk hands out at a time."""


class Room(Protocol):
    """So much room that a build may have."""

    def left(self, size: int) -> contextlib.AbstractContextManager[None]: ...


class Disk:
    """A disk that is filled with ballast."""

    def __init__(self, folder: Path) -> None:
        self._ballast = folder / "ballast"

    @contextlib.contextmanager
    def left(self, size: int) -> Iterator[None]:
        with self._ballast.open("wb", buffering=0) as file:
            with contextlib.suppress(OSError):
                while file.write(b"\1" * PAGE):
                    pass
            file.truncate(max(0, file.tell() - size))
        yield
        self._ballast.unlink()


class Ration:
    """A count of what is written, where no small disk is to be had."""

    @contextlib.contextmanager
    def left(self, size: int) -> Iterator[None]:
        real, rest = builtins.open, size

        class Rationed(io.FileIO):
            def write(self, data: Any) -> int:  # noqa: ANN401 - bytes of any kind
                nonlocal rest
                rest -= len(data)
                if rest < 0:
                    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
                return super().write(data)

        def rationed(file: Any, mode: str = "r", *more: Any, **named: Any) -> Any:  # noqa: ANN401
            if mode in ("xb", "wb"):
                return Rationed(file, mode)
            return real(file, mode, *more, **named)

        builtins.open = io.open = rationed
        yield
        builtins.open = io.open = real


def build(folder: Path) -> tuple[int, str]:
    out, err = io.StringIO(), io.StringIO()
    arguments = ["build", str(folder / "content"), "--out", str(folder / "out"), "--workers", "1"]
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main(arguments)
    return status, err.getvalue()


def change(folder: Path, number: int, *, everywhere: bool) -> None:
    """Another sentence on a page; or also the site's title, which stands on every page."""
    page = folder / "content" / "loose.md"
    page.write_text(
        (SITE / "content" / "loose.md").read_text("utf-8") + f"\nChange {number}.\n", "utf-8"
    )
    if everywhere:
        settings = (SITE / "content" / "site.toml").read_text("utf-8")
        title = re.sub(r"(?m)^title = .*", f"title = 'Site {number}'", settings, count=1)
        (folder / "content" / "site.toml").write_text(title, "utf-8")


def tried(folder: Path, room: Room, size: int, number: int, *, cold: bool) -> dict[str, object]:
    """A change, a build with so much room, and one with enough."""
    before = tree(folder / "out")
    change(folder, number, everywhere=cold)
    if cold:
        shutil.rmtree(folder / ".sitegen")
    with room.left(size):
        status, said = build(folder)
    after = tree(folder / "out")
    left = [path.name for path in folder.iterdir() if path.name.startswith(".out")]
    again, _ = build(folder)
    return {
        "cold": cold,
        "status": status,
        "said": said,
        "old": after == before,
        "left": left,
        "again": again,
        "whole": after == tree(folder / "out"),
        "new": f"Change {number}." in (folder / "out" / "loose.html").read_text("utf-8"),
    }


def run(folder: Path, how: str) -> Iterator[dict[str, object]]:
    """What came of builds with more and more room, until it was enough."""
    shutil.copytree(SITE / "content", folder / "content")
    room: Room = Disk(folder) if how == "disk" else Ration()
    with room.left(0):
        yield {"first": build(folder)[0], "nothing": not (folder / "out").exists()}
    build(folder)
    number = 0
    for cold, step in ((True, 3 * PAGE), (False, PAGE)):
        for size in range(0, 1 << 30, step):
            number += 1
            found = tried(folder, room, size, number, cold=cold)
            yield found
            if found["status"] == 0:
                break


if __name__ == "__main__":
    sys.stdout.write(json.dumps([*run(Path(sys.argv[1]), sys.argv[2])]))

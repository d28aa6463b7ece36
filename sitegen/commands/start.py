"""`sitegen start`: make a folder for a new site."""

from __future__ import annotations

import shlex
import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Final

from sitegen.commands.main import HOLDS, CannotRun

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterator

STARTER: Final = Path(__file__).parents[1] / "starter"

_REPOSITORY: Final = ".git"
"""What a new repository holds, which a site may be started in."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    parser.add_argument(
        "folder",
        metavar="DIR",
        help="the folder to make; it must not hold anything yet, but for the .git of a repository",
    )


def run(options: argparse.Namespace) -> int:
    """Copy the starter site."""
    folder = Path(options.folder)
    if folder.exists() and (not folder.is_dir() or any(_held(folder))):
        raise CannotRun(f"`{folder}` is there already and is not an empty folder; name a new one")
    try:
        _make(folder)
    except OSError as error:
        raise CannotRun(f"`{folder}` could not be made: {error.strerror}") from error
    content = folder / "content"
    print(f"A new site is in {folder}. Its settings are in {content / 'site.toml'}. See it with")
    print(f"  {shlex.join(['sitegen', 'preview', str(content)])}")
    print("and build it with")
    print(f"  {shlex.join(['sitegen', 'build', str(content), '--out', str(folder / 'out')])}")
    return HOLDS


def _held(folder: Path) -> Iterator[Path]:
    """What a folder holds that is no repository."""
    return (entry for entry in folder.iterdir() if entry.name != _REPOSITORY)


def _make(folder: Path) -> None:
    """Copy the starter site into a folder that is empty or not there; all of it, or nothing.

    Raises:
        OSError: it cannot be written.
    """
    was_there = folder.exists()
    folder.mkdir(parents=True, exist_ok=True)
    try:
        for path in sorted(STARTER.rglob("*")):
            new = folder / path.relative_to(STARTER)
            if path.is_dir():
                new.mkdir()
            else:
                shutil.copy2(path, new)
    except BaseException:
        for entry in [*_held(folder)]:
            if entry.is_dir():
                shutil.rmtree(entry)
            else:
                entry.unlink()
        if not was_there:
            folder.rmdir()
        raise

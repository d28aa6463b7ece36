"""The output folder: what says which build wrote it, and whether another one may replace it."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Final

from sitegen.pages.names import folders_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

MANIFEST: Final = ".sitegen-files"
"""The file in every output that says what the build wrote: a line a file; SHA-256, bytes, path."""

MANIFEST_HEAD: Final = "sitegen output 1"
"""Its first line; the number is raised when the lines change."""

REVIEW_HEAD: Final = f"{MANIFEST_HEAD}, with failures"
"""Its first line in a copy for review, which must never take the place of a published site."""


class OutputRefused(Exception):  # noqa: N818 - it is the folder that is refused
    """The output folder is not one that a build may replace. Nothing was touched."""


def check_output(out: Path, content: Path, *, review: bool = False) -> None:
    """See whether a build may replace `out`, before it is worth building.

    It may where there is nothing, an empty folder, or a folder in which all is the work of an
    earlier build. A link to such a folder will do. A copy for review may only take the place of an
    earlier one.

    Raises:
        OutputRefused: it may not; the message says why.
    """
    target, source = out.resolve(), content.resolve()
    if target == source or target.is_relative_to(source):
        raise OutputRefused(f"`{out}` lies in the content folder `{content}`; choose another")
    if source.is_relative_to(target):
        raise OutputRefused(f"`{out}` contains the content folder `{content}`; choose another")
    if out.is_symlink() and not target.exists():
        raise OutputRefused(f"`{out}` is a link to `{target}`, and there is nothing there")
    if not target.exists():
        nearest = next(path for path in target.parents if os.path.lexists(path))
        if not nearest.is_dir():
            raise OutputRefused(f"`{out}` lies in `{nearest}`, which is a file")
        return
    if not target.is_dir():
        raise OutputRefused(f"`{out}` is a file, not a folder")
    _check_folder(out, target, review=review)


def lines_by_path(site: Path) -> dict[str, str]:
    """The lines of a site's manifest, by path."""
    _, *lines, _ = (site / MANIFEST).read_text("utf-8").split("\n")
    return {line.split(" ", 2)[2]: line for line in lines}


def _check_folder(out: Path, target: Path, *, review: bool) -> None:
    """Refuse a folder that holds anything but what an earlier build wrote.

    A copy for review is also refused the folder of a published site.
    """
    manifest = target / MANIFEST
    if not manifest.is_file():
        if any(target.iterdir()):
            raise OutputRefused(
                f"`{out}` is not empty, and no build wrote it (it has no `{MANIFEST}`); choose "
                "another folder, or empty this one"
            )
        return
    known = _paths_in_manifest(out, manifest, review=review)
    strange = sorted({_with_kind(*one) for one in walk(target)} - known)
    if strange:
        shown = ", ".join(f"`{path.rstrip('/')}`" for path in strange[:3]) + (
            f" and {len(strange) - 3} more" if strange[3:] else ""
        )
        raise OutputRefused(
            f"`{out}` holds what no build put there: {shown}; move it away, or choose another "
            "folder"
        )


def _paths_in_manifest(out: Path, manifest: Path, *, review: bool) -> set[str]:
    """The paths of a manifest, with a slash at the end of folders, itself included."""
    head, *lines = manifest.read_text("utf-8", errors="replace").split("\n")
    if review and head == MANIFEST_HEAD:
        raise OutputRefused(
            f"`{out}` holds a published site, and a copy with failures must not take its place; "
            "choose another folder"
        )
    if head not in {MANIFEST_HEAD, REVIEW_HEAD}:
        raise OutputRefused(
            f"`{out}` was written by another version (its `{MANIFEST}` does not begin with "
            f"`{MANIFEST_HEAD}`); empty it first"
        )
    known = {MANIFEST}
    for line in lines:
        path = line.split(" ", 2)[-1]
        known |= {path, *(f"{folder}/" for folder in folders_of(path))}
    return known


def walk(folder: Path) -> Iterator[tuple[str, os.DirEntry[str]]]:
    """All below `folder`, folders included, by path in it; no link is followed."""
    waiting = [""]
    while waiting:
        prefix = waiting.pop()
        with os.scandir(f"{folder}/{prefix}") as entries:
            for entry in entries:
                yield f"{prefix}{entry.name}", entry
                if entry.is_dir(follow_symlinks=False):
                    waiting.append(f"{prefix}{entry.name}/")


def _with_kind(path: str, entry: os.DirEntry[str]) -> str:
    """A path: that of a folder ends in a slash, of what is no plain file in two."""
    if entry.is_dir(follow_symlinks=False):
        return f"{path}/"
    return path if entry.is_file(follow_symlinks=False) else f"{path}//"

"""What knows the site that a build left, as publishing asks for it: simple, and without a file."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from collections.abc import Set as AbstractSet
    from pathlib import Path


class LeftSite:
    """The site that was left; the folder of the one before it is kept as well.

    Attributes:
        paths: the files of the site last published, the manifest included.
        touched: those that may be others than in the site before.
    """

    def __init__(self, spare: Path, *, is_as_left: bool = True) -> None:
        """Know nothing yet.

        Args:
            spare: where the folder of the site before is kept.
            is_as_left: whether the published site is said to be the one that was left.
        """
        self.paths: set[str] = set()
        self.touched: AbstractSet[str] = frozenset()
        self._spare = spare
        self._is_as_left = is_as_left

    def as_left(self, target: Path) -> dict[str, int] | None:
        """The inodes of the published site's files, by path."""
        if not (self._is_as_left and target.exists()):
            return None
        return {path: (target / path).stat().st_ino for path in files_of(target)}

    def lend(self, new: Path) -> bool:
        """Put the kept folder at `new`."""
        return self._spare.exists() and bool(self._spare.rename(new))

    def take_back(self, old: Path) -> bool:
        """Keep a folder."""
        return bool(old.rename(self._spare))

    def leave(self, target: Path, paths: Iterable[str], touched: AbstractSet[str]) -> None:
        """Be told what was published."""
        self.paths, self.touched = set(paths), touched
        assert self.paths == set(files_of(target))


def files_of(folder: Path) -> list[str]:
    """The paths of all files below a folder."""
    return [path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()]

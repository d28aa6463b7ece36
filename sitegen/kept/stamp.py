"""Whether anything changed since the last build, told from the folders alone."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sitegen.kept.snapshot import (
    TICK,
    Snapshot,
    digest,
    have_same_bytes,
    program_digest,
    stat_of,
    take_snapshot,
)
from sitegen.kept.store import Store
from sitegen.pages.files import own_theme

if TYPE_CHECKING:
    from collections.abc import Iterable
    from collections.abc import Set as AbstractSet
    from pathlib import Path

    from sitegen.kept.snapshot import Stat


class Stamp:
    """The folders of a build as they are before it begins, and what the last build kept.

    Attributes:
        root: the content folder.
        out: the folder of the site.
        store: where builds keep things.
        content: the content folder as it is.
        themes: the site's own theme.
        kept: what the last build kept; None unless it was of this program and these folders, with
            the theme as it is and the published site as it was left.
    """

    def __init__(self, root: Path, out: Path, url: str) -> None:
        """Take snapshots of the folders, and load what the last build kept.

        Args:
            root: the content folder, whole.
            out: where the site is written.
            url: the address given in place of the one in `site.toml`, or "".

        Raises:
            OSError: a folder cannot be listed.
        """
        self.root = root
        self.out = out
        self._target = out.resolve()
        self.store = Store(root)
        self._own = own_theme(root)
        self._key = digest("\0".join([program_digest(), str(root), url]))
        self.content = take_snapshot(root, hidden=False, tick=TICK)
        self.themes = take_snapshot(self._own, hidden=True, tick=TICK)
        self._site: dict[str, Stat] = {}
        self.kept = self._usable()

    def _usable(self) -> dict[str, Any] | None:
        if self.content.has_links or self.themes.has_links:
            return None
        kept = self.store.load()
        if kept is None:
            return None
        same = (
            kept["key"] == self._key
            and kept["themes"] == self.themes.digest
            and have_same_bytes(self._own, kept["fresh themes"])
            and self._is_as_left(self._target, kept)
        )
        return kept if same else None

    def told_before(self) -> dict[str, Any] | None:
        """What the last build told, if the next would tell the same and write the same site."""
        kept = self.kept
        if not kept or kept["told"] or kept["content"] != self.content.digest:
            return None
        if not have_same_bytes(self.root, kept["fresh"]):
            return None
        if len(self.content.fresh) < len(kept["fresh"]):
            # what has settled since need not be read again the next time
            self.store.save(kept | {"fresh": self.content.fresh})
        return kept

    def as_left(self, target: Path) -> dict[str, int] | None:
        """The inodes of the published site's files, by path; None if it is not the one left."""
        if self.kept is None or not self._is_as_left(target, self.kept):
            return None
        return {path: found.inode for path, found in self._site.items()}

    def _is_as_left(self, target: Path, kept: dict[str, Any]) -> bool:
        # nobody else writes there, so the times of its files tell enough
        snapshot = take_snapshot(target, hidden=True, tick=0)
        self._site = snapshot.files
        return bool(snapshot.files and kept["site"] == snapshot.digest)

    def lend(self, new: Path) -> bool:
        """Put the folder of an older site at `new`, if one is kept."""
        return self.store.lend(new)

    def take_back(self, old: Path) -> bool:
        """Keep the folder of the site before this one; False if that cannot be."""
        return self.store.take_back(old)

    def leave(self, target: Path, paths: Iterable[str], touched: AbstractSet[str]) -> None:
        """Note the site just published: only the files that were touched are looked at."""
        before = self._site
        self._site = {
            path: stat_of(f"{target}/{path}") if path in touched else before[path] for path in paths
        }

    def keep(self, told: dict[str, Any]) -> None:
        """Keep what this build found for the next one.

        Args:
            told: `pages` and `blocks`, how many; `told`, whether there were warnings; `rows`
                and `compiled`, the files of the store that hold the rest.
        """
        if self.content.has_links or self.themes.has_links:
            self.store.drop()
            return
        head = {
            "key": self._key,
            "content": self.content.digest,
            "fresh": self.content.fresh,
            "themes": self.themes.digest,
            "fresh themes": self.themes.fresh,
            "site": Snapshot(self._site, {}, False).digest,
        }
        self.store.save(head | told)

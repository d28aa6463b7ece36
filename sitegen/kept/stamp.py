"""Whether anything changed since the last build, told from the folders alone."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

from sitegen.kept.seen import TICK, digest, look, program, still
from sitegen.kept.store import Store

if TYPE_CHECKING:
    from pathlib import Path


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
        """Look.

        Args:
            root: the content folder.
            out: where the site is written.
            url: the address given in place of the one in `site.toml`, or "".

        Raises:
            OSError: a folder cannot be listed.
        """
        self.root = root
        self.out = out
        self._target = out.resolve()
        self.store = Store(root)
        self._own = root.parent / "themes"
        self._key = digest("\0".join([program(), os.path.abspath(root), str(self._target), url]))  # noqa: PTH100 - links are left
        self.content = look(root, hidden=False, tick=TICK)
        self.themes = look(self._own, hidden=True, tick=TICK)
        self._site = ""
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
            and still(self._own, kept["fresh themes"])
            and self._is_as_left(self._target, kept)
        )
        return kept if same else None

    @property
    def theme(self) -> str:
        """A value that differs wherever two themes do."""
        return self.themes.digest

    def told_before(self) -> dict[str, Any] | None:
        """What the last build told, if the next would tell the same and write the same site."""
        kept = self.kept
        if not kept or kept["told"] or kept["content"] != self.content.digest:
            return None
        if not still(self.root, kept["fresh"]):
            return None
        if len(self.content.fresh) < len(kept["fresh"]):
            # what has settled since need not be read again the next time
            self.store.save(kept | {"fresh": self.content.fresh})
        return kept

    def is_as_left(self, target: Path) -> bool:
        """Whether the published site is the one that was left, file by file."""
        return self.kept is not None and self._is_as_left(target, self.kept)

    @staticmethod
    def _is_as_left(target: Path, kept: dict[str, Any]) -> bool:
        return bool(kept["site"] == _site(target))

    def leave(self, target: Path) -> None:
        """See the site just published, before another build may touch it."""
        self._site = _site(target)

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
            "site": self._site,
        }
        self.store.save(head | told)


def _site(target: Path) -> str:
    """A published site; nobody else writes there, so the times of its files tell enough."""
    seen = look(target, hidden=True, tick=0)
    return seen.digest if seen.files else ""

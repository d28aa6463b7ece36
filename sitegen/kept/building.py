"""A site built upon the last one: only what changed is read, judged and set again."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from sitegen.assemble import Reuse, StartOver, site_files
from sitegen.kept.known import Known, from_json, known
from sitegen.kept.plain import NotPlain, plain, read
from sitegen.kept.reach import Reach
from sitegen.kept.seen import NO_STAT, digest
from sitegen.make import make
from sitegen.pages.publish import NotAsLeft, publish
from sitegen.pages.site import Extract

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from collections.abc import Set as AbstractSet

    from sitegen.kept.stamp import Stamp
    from sitegen.make import Made

    Counter = Callable[[str], Callable[[int, int], None]]


class Building:
    """One build: first `judge`, then, if all is well, `publish`.

    Where it turns out that the last build cannot be built upon, it begins again without.
    """

    def __init__(self, stamp: Stamp, url: str, count: Counter, workers: int) -> None:
        """Begin.

        Args:
            stamp: the folders, and what the last build kept.
            url: the address given in place of the one in `site.toml`, or "".
            count: for a verb, what is told how far the work has come.
            workers: how many processes may work.
        """
        self._stamp = stamp
        self._url = url
        self._count = count
        self._workers = workers
        self._last = _last(stamp)
        self.reach: Reach | None = None

    def judge(self) -> Made:
        """Read and judge what there is to.

        Raises:
            OSError: the content folder cannot be listed.
        """
        last, stamp = self._last, self._stamp
        if last:
            self.reach = Reach(
                last.pages,
                last.others,
                stamp.content,
                stamp.kept.head["fresh"] if stamp.kept else (),
                own_templates=any(path.endswith(".html") for path in stamp.themes.files),
            )
        made = make(stamp.root, self._count("read"), self.reach)
        if self._url:
            made.settings = replace(made.settings, url=self._url)
        return made

    def publish(self, made: Made) -> Made:
        """Write the site, and keep what the next build will want; what was judged is given back.

        Args:
            made: what `judge` gave; if it has to be judged again, that is what is given back.

        Raises:
            OutputRefused, PathRefused, PublishFailed, ThemeError: as they say.
        """
        try:
            self._write(made)
        except (StartOver, NotAsLeft):
            self._last = self.reach = None
            made = self.judge()
            self._write(made)
        return made

    def _write(self, made: Made) -> None:
        stamp = self._stamp
        shelf = _Shelf(stamp, self._last, self.reach, self._workers)
        files = site_files(
            made,
            stamp.root.parent / "themes",
            self._count("set"),
            reuse=shelf,
        )
        publish(files, stamp.out, stamp.root, watch=stamp)
        self._keep(made, shelf)

    def _last_of(self, file: str) -> Known:
        if self._last is None:
            raise KeyError(file)
        return self._last.pages[file]

    def _keep(self, made: Made, shelf: _Shelf) -> None:
        stamp = self._stamp
        told = {problem.file for problem in made.problems}
        pages = {}
        for file in made.pages:
            stat = stamp.content.files.get(file, NO_STAT)
            is_read = file in made.digests
            one = known(made, file, stat) if is_read else self._last_of(file)._replace(stat=stat)
            pages[file] = one._replace(told=file in told, extract=shelf.names.get(file, ""))
        body = {
            "pages": {file: plain(one) for file, one in pages.items()},
            "others": made.folder.others,
            "frame": shelf.frame,
            "value": shelf.value,
            "addresses": shelf.addresses,
        }
        counts = {
            "pages": len(made.folder.pages),
            "blocks": sum(map(len, made.outlines.values())),
            "told": bool(told),
        }
        stamp.keep(counts, json.dumps(body, separators=(",", ":")).encode())
        stamp.store.clear(set(shelf.names.values()))


class _Last(NamedTuple):
    """What the last build kept, read.

    Attributes:
        pages: its pages, each of which held.
        others: the other files of its content folder.
        frame: a value of what stood on every page.
        value: a value of what the files about the whole site were made from.
        addresses: where these stand.
    """

    pages: dict[str, Known]
    others: list[str]
    frame: str
    value: str
    addresses: list[str]


def _last(stamp: Stamp) -> _Last | None:
    if stamp.kept is None:
        return None
    try:
        body = json.loads(stamp.kept.body)
        pages = {file: from_json(row) for file, row in body["pages"].items()}
        return _Last(pages, *(body[name] for name in _Last._fields[1:]))
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


class _Shelf(Reuse):
    """What the last build left, as the site's pages are put together.

    Attributes:
        frame: a value of what stands on every page.
        value: a value of what the files about the whole site are made from.
        names: the name of every page's extract.
        addresses: where the files about the whole site stand.
    """

    def __init__(self, stamp: Stamp, last: _Last | None, reach: Reach | None, workers: int) -> None:
        self.workers = workers
        self._store = stamp.store
        self._last = last
        self._stale: AbstractSet[str] = reach.stale if reach else set()
        self.frame = ""
        self.value = ""
        self.names: dict[str, str] = {}
        self.addresses: list[str] = []

    def begin(self, frame: str) -> None:
        self.frame = digest(frame)
        if self._last and self._last.frame != self.frame:
            raise StartOver

    def is_unchanged(self, file: str) -> bool:
        return self._last is not None and file not in self._stale

    def name(self, file: str) -> str:
        return self._last.pages[file].extract if self._last else ""

    def keep(self, extract: Extract) -> str:
        return self._store.keep_page(plain(extract))

    def find(self, name: str) -> Extract:
        try:
            return read(Extract, self._store.page(name))
        except (LookupError, NotPlain) as error:
            raise StartOver from error

    def around(self, value: str) -> Sequence[str]:
        self.value = digest(value)
        if self._last and self._last.value == self.value:
            return self._last.addresses
        return ()

    def end(self, names: Mapping[str, str], addresses: Sequence[str]) -> None:
        self.names, self.addresses = dict(names), list(addresses)

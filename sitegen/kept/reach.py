"""How far a change reaches: the pages that must be read again, and those to be set anew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from sitegen.kept.known import Known, known
from sitegen.kept.seen import NO_STAT, digest
from sitegen.pages.around import Outline, anchors
from sitegen.pages.course import courses
from sitegen.pages.folder import read_text
from sitegen.pages.formats.nav import places, shown
from sitegen.pages.page import LONGEST_PAGE, Page

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from collections.abc import Set as AbstractSet

    from sitegen.kept.seen import Seen
    from sitegen.make import Made
    from sitegen.pages.settings import Settings
    from sitegen.pages.site import Course


class Reach:
    """A `Recall` of the last build that held.

    Two things are told apart. A page is *stale* where its result may differ: its text changed, or
    something it looks at, leans on or stands beside. A page is *needed* where a stale one asks
    facts of it: it is read, and its own result is what it was.

    Blocks that refer to one another are judged together, in both directions: how many blocks wait,
    and which block of a circle comes first, is a matter of them all. So pages that are joined by
    such references are stale together.

    Attributes:
        kept: the pages as they were; each held.
        now: what is known of the pages read.
        stale: the pages whose results may differ.
    """

    def __init__(
        self,
        kept: Mapping[str, Known],
        others: Iterable[str],
        seen: Seen,
        fresh_then: Iterable[str],
        *,
        own_templates: bool,
    ) -> None:
        """Begin.

        Args:
            kept: the pages of the last build.
            others: the other files of its content folder.
            seen: the content folder now.
            fresh_then: the files whose times did not tell at the last build.
            own_templates: whether the site has templates of its own, which may show anything of
                the whole site on any page.
        """
        self.kept = kept
        self.now: dict[str, Known] = {}
        self.stale: set[str] = set()
        self._others = frozenset(others)
        self._seen = seen
        self._fresh_then = frozenset(fresh_then)
        self._own_templates = own_templates
        self._changed: set[str] = set()  # names that what looks at them must look at again
        self._joined: dict[str, set[str]] = {}
        self._askers: dict[str, set[str]] = {}
        self._listed: tuple[Course, ...] = ()
        self._addresses: frozenset[str] = frozenset()

    def begin(self, made: Made) -> None:
        """Put the pages that are as they were into `made`."""
        before = {file: one.page(file) for file, one in self.kept.items()}
        outlines = {file: one.outlines for file, one in self.kept.items()}
        self._listed, _ = courses(made.settings, _published(before))
        self._addresses = _addresses(made.settings, before, outlines)
        for file, one in self.kept.items():
            self._join(file, one)
        for file in made.folder.pages:
            if self._is_same(made, file):
                made.pages[file] = before[file]
                made.outlines[file] = outlines[file]
        self._changed |= set(self.kept).difference(made.folder.pages)
        self._changed |= self._others ^ frozenset(made.folder.others)
        self.stale = {file for file in made.folder.pages if file not in made.pages}

    def more(self, made: Made) -> Sequence[str]:
        """The pages that must be read as well, now that some are; none when that is all."""
        for file in made.digests:
            if file not in self.now:
                self._take(made, file)
        there = _addresses(made.settings, made.pages, made.outlines)
        self._spread(self._changed | (self._addresses ^ there))
        self.stale |= self._moved(made)
        self._spread(frozenset())
        asked = {file for one in self.stale for file in self._known(one).asks}
        wanted = self.stale | _reached(asked, self._joined)
        unread = made.pages.keys() - made.digests.keys()
        return [file for file in made.folder.pages if file in wanted and file in unread]

    def _is_same(self, made: Made, file: str) -> bool:
        one = self.kept.get(file)
        if one is None or one.told:
            return False
        if self._seen.files.get(file) == one.stat and file not in self._fresh_then:
            return True
        text, unreadable = read_text(made.folder.root, file, LONGEST_PAGE)
        return not unreadable and digest(text) == one.text

    def _known(self, file: str) -> Known:
        return self.now.get(file) or self.kept.get(file) or _NOTHING

    def _take(self, made: Made, file: str) -> None:
        """See what a page that was read has changed for others."""
        before, now = (
            self.kept.get(file),
            known(made, file, self._seen.files.get(file, NO_STAT)),
        )
        self.now[file] = now
        self._join(file, now)
        if before is None or before.face != now.face:
            self._changed.add(file)
        names = set(_anchors(made.pages[file]))
        if before:
            names ^= set(_anchors(before.page(file)))
        self._changed |= {f"{file}#{name}" for name in names}

    def _join(self, file: str, one: Known) -> None:
        for other in one.leans:
            self._joined.setdefault(file, set()).add(other)
            self._joined.setdefault(other, set()).add(file)
        for other in one.asks:
            self._askers.setdefault(other, set()).add(file)

    def _spread(self, changed: AbstractSet[str]) -> None:
        """Let what is stale, and names that changed, make stale all that they reach."""
        if changed:
            self.stale |= changed  # some are pages that are gone, on which others may still lean
            self.stale |= {
                file
                for file, one in {**self.kept, **self.now}.items()
                if not changed.isdisjoint(one.looks)
            }
        while True:
            joined = _reached(self.stale, self._joined)
            joined |= {file for one in joined for file in self._askers.get(one, ())}
            if joined <= self.stale:
                return
            self.stale |= joined

    def _moved(self, made: Made) -> set[str]:
        """The pages in whose margin something changed."""
        published = _published(made.pages)
        listed, _ = courses(made.settings, published)
        if listed == self._listed:
            return set()
        if self._own_templates:
            return set(published)
        before, now = places(self._listed), places(listed)
        return {
            file
            for file, page in published.items()
            if page.address not in before
            or shown(listed, *now[page.address]) != shown(self._listed, *before[page.address])
        }


_NOTHING: Final = Known(
    *(NO_STAT, "", False, "", "", None, (), (), (), "", "", False, (), (), (), (), (), (), "")
)
"""What is known of a page that cannot be read."""


def _reached(first: Iterable[str], ways: Mapping[str, AbstractSet[str]]) -> set[str]:
    """All that can be reached, the first included."""
    found = set(first)
    waiting = list(found)
    while waiting:
        for other in ways.get(waiting.pop(), ()):
            if other not in found:
                found.add(other)
                waiting.append(other)
    return found


def _published(pages: Mapping[str, Page]) -> dict[str, Page]:
    return {file: page for file, page in pages.items() if not page.front.draft}


def _anchors(page: Page) -> Iterator[str]:
    yield from page.anchors
    yield from page.figure_anchors


def _addresses(
    settings: Settings, pages: Mapping[str, Page], outlines: Mapping[str, Sequence[Outline]]
) -> frozenset[str]:
    """What pages may link to although nobody wrote it, with and without anchors."""
    found = anchors(settings, _published(pages), outlines)
    named = {f"{address}#{anchor}" for address, there in found.items() for anchor in there}
    return frozenset(named.union(found))

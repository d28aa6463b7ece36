"""A site built upon the last one: only what changed is read, judged, set and framed again."""

from __future__ import annotations

import marshal
from contextlib import suppress
from typing import TYPE_CHECKING, NamedTuple

from msgspec import convert, json
from msgspec.structs import replace

from sitegen.assemble import Layout, Margins, Reuse, layout, site_files
from sitegen.draw.ink import ELEMENTS
from sitegen.kept.making import Making
from sitegen.kept.packed import Unpacked
from sitegen.kept.rounds import NOTHING_BEFORE, Before
from sitegen.kept.rows import from_json, to_json
from sitegen.kept.snapshot import NO_STAT, digest
from sitegen.kept.work import Setter
from sitegen.pages.files import own_theme
from sitegen.pages.formats.html import Html
from sitegen.pages.formats.parts import theme_opener
from sitegen.pages.publish import publish
from sitegen.pages.site import Course
from sitegen.pages.stage import NotAsLeft

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from collections.abc import Set as AbstractSet

    from sitegen.kept.making import State
    from sitegen.kept.packed import Packed
    from sitegen.kept.stamp import Stamp

    Counter = Callable[[str], Callable[[int, int], None]]


class StartOver(Exception):  # noqa: N818 - what is to be done
    """What an earlier build left is lost, and cannot be built upon; nothing was published."""


class Building:
    """One build: first `judge`, then, if all is well, `publish`.

    Where it turns out that the last build cannot be built upon, it begins again without.
    """

    def __init__(self, stamp: Stamp, url: str, count: Counter, workers: int) -> None:
        """Begin.

        Args:
            stamp: the folders, and what the last build kept.
            url: the address given in place of the one in `site.toml`, or "".
            count: gives, for a verb, the function that is told how far the work has come.
            workers: how many processes may work.
        """
        self._stamp = stamp
        self._url = url
        self._count = count
        self._workers = workers
        self._last = _read_last(stamp)
        self._own = own_theme(stamp.root)
        self._templates = _templates(stamp)
        self._parts = theme_opener(self._own, self._templates)
        self._keep: Callable[[Packed], Packed | None] = stamp.store.keep_page

    def judge(self) -> State:
        """Read, judge and set what changed; what is wrong with the theme is told too.

        Raises:
            OSError: the content folder cannot be listed, or a process at work was killed.
        """
        stamp = self._stamp
        making = Making(
            stamp.root,
            Setter(stamp.themes.digest, self._parts, self._keep, stamp.store.in_memory.put),
            workers=self._workers,
            progress=self._count("made"),
            before=self._last.before if self._last else NOTHING_BEFORE,
        )
        state = making.update(stamp.content)
        if state.theme_error:
            state.problems.extend(state.theme_error.problems(stamp.root))
        self._now = making.before
        if self._url:
            state = replace(state, settings=replace(state.settings, url=self._url))
        return state

    def publish(
        self, state: State, is_sound: Callable[[State], bool], waits: Callable[[], None]
    ) -> State:
        """Write the site, and keep what the next build will want; what was judged is given back.

        Args:
            state: what `judge` gave; if it has to be judged again, that is what is given back.
            is_sound: whether what is judged may be written: a page may have changed by then.
            waits: called before another build is waited for.

        Raises:
            OutputRefused, PathRefused, PublishFailed, ThemeError: as they say.
        """
        try:
            if is_sound(state):
                self._write(state, waits)
        except (StartOver, NotAsLeft):
            self._last, self._keep = None, self._stamp.store.keep_and_give_back
            state = self.judge()
            if is_sound(state):
                self._write(state, waits)
        return state

    def _write(self, state: State, waits: Callable[[], None]) -> None:
        stamp = self._stamp
        say = self._parts(state.settings.lang).words("").say
        laid_out = layout(state.settings, state.listed, state.folder.others, say)
        html = Html(laid_out.site, self._own, self._templates)
        frame = digest(repr(replace(laid_out.site, courses=())))
        reuse = _ReuseOfLast(frame, state, laid_out)
        if self._last and self._last.frame == frame:
            reuse.build_upon(self._last, own_templates=stamp.themes.has_templates)
        files = site_files(
            laid_out,
            html,
            lambda file: Unpacked(self._find(state.rows[file].stored_as)),
            state.folder,
            progress=self._count("framed"),
            reuse=reuse,
            workers=self._workers,
        )
        publish(files, stamp.out, stamp.root, last=stamp, waits=waits)
        self._remember(state, laid_out, reuse)

    def _find(self, name: str) -> bytes:
        """A page in the store.

        Raises:
            StartOver: it is lost.
        """
        try:
            return self._stamp.store.page(name)
        except LookupError as error:
            raise StartOver from error

    def _remember(self, state: State, laid_out: Layout, reuse: _ReuseOfLast) -> None:
        stamp = self._stamp
        rows = {
            # its file may have been touched
            file: one._replace(stat=stamp.content.files.get(file, NO_STAT))
            for file, one in state.rows.items()
        }
        first = {
            "inputs": self._now.inputs,
            "grounds": self._now.grounds,
            "frame": reuse.frame,
            "courses": laid_out.site.courses,
            "around": reuse.value,
            "addresses": reuse.addresses,
        }
        counts = {
            "pages": len(state.folder.pages),
            "blocks": sum(len(one.listed.blocks) for one in rows.values()),
            "told": bool(state.problems),
        }
        body = b"\n".join((json.encode(first), to_json(rows)))
        files = {"rows": body, "compiled": marshal.dumps((self._templates, ELEMENTS))}
        names: dict[str, str] = {}
        with suppress(OSError):  # the next build does without
            names = {what: stamp.store.keep(data) for what, data in files.items()}
            stamp.keep(counts | names)
        stamp.store.clear({*names.values(), *(one.stored_as for one in rows.values())})


class _Last(NamedTuple):
    """What the last build kept, read.

    Attributes:
        before: its pages, each of which held.
        frame: a value of what stood on every page.
        courses: how the pages stood.
        around: a value of what the files about the whole site were made from.
        addresses: where these stand.
    """

    before: Before
    frame: str
    courses: tuple[Course, ...]
    around: str
    addresses: list[str]


def _templates(stamp: Stamp) -> dict[str, bytes]:
    """The templates that the last build compiled: of this program, this Python and this theme.

    They are code: their file is named by its hash, in a list that this folder signed. The elements
    of pictures are kept in the same file, and are put back into `ELEMENTS`.
    """
    templates: dict[str, bytes] = {}
    with suppress(LookupError):
        if stamp.kept:
            templates, elements = marshal.loads(stamp.store.page(stamp.kept["compiled"]))  # noqa: S302 - signed
            ELEMENTS.update(elements)
    return templates


def _read_last(stamp: Stamp) -> _Last | None:
    if stamp.kept is None:
        return None
    try:
        first, rows = stamp.store.page(stamp.kept["rows"]).split(b"\n", 1)
        told = json.decode(first)
        fresh = frozenset(stamp.kept["fresh"])
        return _Last(
            Before(told["inputs"], from_json(rows), fresh, told["grounds"]),
            told["frame"],
            convert(told["courses"], tuple[Course, ...]),
            told["around"],
            told["addresses"],
        )
    except (ValueError, TypeError, LookupError, AttributeError):
        return None


class _ReuseOfLast(Reuse):
    """What the last build left of the site.

    Attributes:
        frame: a value of what stands on every page.
        value: a value of what the files about the whole site are made from.
        addresses: where these stand.
    """

    def __init__(self, frame: str, state: State, laid_out: Layout) -> None:
        self.frame = frame
        self.addresses: list[str] = []
        self._state = state
        self._laid_out = laid_out
        names = [(file, state.rows[file].taken) for file in laid_out.pages]
        around = frame, laid_out.site.courses, names, state.folder.others
        self.value = digest(repr(around))
        self._last: _Last | None = None
        self._other_margins: AbstractSet[str] = frozenset()

    def build_upon(self, last: _Last, *, own_templates: bool) -> None:
        """Take over what the last build left, whose frame is the same."""
        self._last = last
        made = self._state.made
        self._other_margins = _with_other_margins(
            self._laid_out, last, made, own_templates=own_templates
        )

    def is_unchanged(self, file: str) -> bool:
        if self._last is None or file in self._other_margins:
            return False
        before = self._last.before.rows.get(file)
        return before is not None and before.stored_as == self._state.rows[file].stored_as

    def unchanged_about_site(self) -> Sequence[str]:
        if self._last and self._last.around == self.value:
            return self._last.addresses
        return ()

    def note_about_site(self, addresses: Sequence[str]) -> None:
        self.addresses = list(addresses)


def _with_other_margins(
    laid_out: Layout, last: _Last, made: AbstractSet[str], *, own_templates: bool
) -> AbstractSet[str]:
    """The pages around whose text something changed; `made` are those that were made anew."""
    is_same = laid_out.site.courses == last.courses
    if own_templates and not is_same:
        return laid_out.pages.keys()
    rows = last.before.rows
    pages = {file: one.listed for file, one in rows.items() if not one.listed.draft}
    before, now = Margins(last.courses, pages), laid_out.margins
    # where no title and no order changed, only a page that was made may need other pages
    asked = made & laid_out.pages.keys() if is_same else laid_out.pages.keys()
    return {file for file in asked if file not in before or now.of(file) != before.of(file)}

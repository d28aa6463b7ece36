"""THE MAIN PATH of a build: what changed is made again, and what leans on it; the rest is kept.

What is made of a page depends on its text, on what all pages share (the settings, the theme, the
glossary's terms), and on what the pages that it leans on lend it: their blocks. So a change to the
prose of a page reaches no other page, and a change to a block reaches all that lean on its page,
directly or through others.

Pages are made one at a time, and nothing of them stays in memory but a row. Those that lean on
others are made together with these, once it is known which they are.
"""

from __future__ import annotations

from functools import cache, cached_property
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from sitegen.kept.rows import Row, row, tail_of
from sitegen.kept.seen import NO_STAT, digest
from sitegen.kept.sheets import pack
from sitegen.make import Made, Reader, in_order, judge, problems_of_all
from sitegen.pages.around import GLOSSARY
from sitegen.pages.folder import Folder, read_folder, read_text
from sitegen.pages.formats.theme import ThemeError
from sitegen.pages.links import any_problem, link_problems, targets
from sitegen.pages.page import LONGEST_PAGE
from sitegen.pages.settings import Settings, read_settings
from sitegen.parallel import shared
from sitegen.setting import glossary_terms, set_page
from sitegen.verdicts import verdicts

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
    from collections.abc import Set as AbstractSet
    from pathlib import Path

    from sitegen.kept.seen import Seen, Stat
    from sitegen.kept.sheets import Packed
    from sitegen.pages.formats.parts import Parts
    from sitegen.pages.glossary import Terms
    from sitegen.pages.links import Targets
    from sitegen.pages.listed import Listed
    from sitegen.pages.references import Key
    from sitegen.problem import Problem


REMEMBERED: Final = 40
"""Pages that a build remembers when it has read them: those that lean on others are asked for again
soon, and memory must not grow with the site."""


class Findings(NamedTuple):
    """What was found on a page.

    Attributes:
        problems: what is wrong, links left out.
        waiting: the numbers of the blocks that wait, each with those it waits for.
        fails: whether a block failed.
        theme_error: why it could not be set, where that is the theme's fault.
    """

    problems: tuple[Problem, ...] = ()
    waiting: tuple[tuple[int, tuple[Key, ...]], ...] = ()
    fails: bool = False
    theme_error: ThemeError | None = None


class State(Struct, frozen=True):
    """A content folder as it is, judged.

    Attributes:
        folder: what it holds.
        settings: its settings.
        rows: the pages that could be read, by file, in order.
        listed: the same, as others know them.
        problems: all that is wrong, in order.
        found: what was found on each page, links left out; the same object as long as nothing
            changes that it depends on.
        waiting: the blocks that wait for others, each with these.
        theme_error: what is wrong with the site's own theme, if a page could not be set for it.
        made: the pages that were made this time.
    """

    folder: Folder
    settings: Settings
    rows: dict[str, Row]
    listed: dict[str, Listed]
    problems: list[Problem]
    found: Mapping[str, Findings]
    waiting: dict[Key, tuple[Key, ...]]
    theme_error: ThemeError | None
    made: frozenset[str]

    @property
    def holds(self) -> bool:
        """Whether nothing is wrong; warnings are not wrong."""
        return all(problem.severity != "error" for problem in self.problems)


class Before(NamedTuple):
    """What was made before.

    Attributes:
        inputs: what all of it was made with, digested.
        rows: the pages that could be read.
        fresh: the files that were changed so lately that their times did not tell.
        grounds: what links could lead to, digested.
    """

    inputs: str
    rows: dict[str, Row]
    fresh: frozenset[str]
    grounds: str


NOTHING: Final = Before("", {}, frozenset(), "")


class Setter(NamedTuple):
    """What sets pages.

    Attributes:
        theme: the site's own theme, digested.
        parts: the theme, for a site of a language. It raises `ThemeError`.
        keep: puts a page that was set into the store; one to be held in memory it gives back.
        hold: takes that, in the process that all others work for.
        drafts: whether drafts are set too.
    """

    theme: str
    parts: Callable[[str], Parts]
    keep: Callable[[Packed], Packed | None]
    hold: Callable[[Packed], None]
    drafts: bool = False


class _Job(NamedTuple):
    """Pages made together: `files` are set, `all` are judged, in the folder's order."""

    files: tuple[str, ...]
    all: tuple[str, ...]


class _Result(NamedTuple):
    """What was made of a page.

    Attributes:
        file: the page.
        row: what is kept of it; None where it could not be read.
        found: what was found on it; None where it has to be made together with others.
        held: it, set, where the store could not take that.
    """

    file: str
    row: Row | None
    found: Findings | None
    held: Packed | None = None


class Making:
    """Makes the pages of a folder, again and again."""

    def __init__(  # noqa: PLR0913 - what all pages are made with
        self,
        root: Path,
        setter: Setter | None,
        *,
        workers: int,
        progress: Callable[[int, int], None],
        remembers: int = REMEMBERED,
        before: Before = NOTHING,
    ) -> None:
        """Begin.

        Args:
            root: the content folder.
            setter: sets pages; without it they are judged alone.
            workers: how many processes may make pages.
            progress: told how many pages are made, and of how many.
            remembers: how many pages are remembered that were read.
            before: what was made before, of which everything held.
        """
        self.before = before
        self.setter = setter
        self._root = root
        self._workers = workers
        self._progress = progress
        self._read = Reader(root, remembers)
        self._findings: dict[str, Findings] = {}
        self._links: dict[str, tuple[Problem, ...]] = {}
        self._settings_read: tuple[bytes, tuple[Settings, list[Problem]]] | None = None

    def update(self, seen: Seen | None = None) -> State:
        """Make what changed.

        Args:
            seen: the content folder as the file system showed it, where that was looked at.

        Raises:
            OSError: the folder cannot be listed, or a process at work was killed.
        """
        folder = read_folder(self._root)
        settings, wrong = self._settings(folder.settings or b"")
        stats = seen.files if seen else {}
        terms_page = self._glossary(folder, settings)
        inputs = self._inputs(settings, terms_page)
        before = self.before if self.before.inputs == inputs else NOTHING
        if before is NOTHING:
            self._findings, self._links = {}, {}
        work = _Work(
            folder,
            settings,
            self.setter,
            glossary_terms(terms_page, settings.lang),
            self._read,
            stats,
        )
        rounds = _Rounds(work, before, self._findings, self._workers, self._progress)
        rounds.run()
        rows = rounds.rows
        listed = {file: one.listed for file, one in rows.items()}
        known = targets(folder, settings, listed, cache(lambda file: tail_of(rows[file]).targets))
        grounds = self._find_links(known, settings, rows, before, rounds.made)
        self._findings = rounds.findings
        self.before = Before(inputs, rows, frozenset(seen.fresh if seen else ()), grounds)
        problems = in_order(
            [
                *(p for found in self._findings.values() for p in found.problems),
                *wrong,
                *problems_of_all(folder, settings, known),
                *(problem for found in self._links.values() for problem in found),
            ]
        )
        self._work = work
        self._leaning = rounds.leaning
        self._judged_again = Made(folder, settings)
        waiting = {
            (file, number): others
            for file, found in self._findings.items()
            for number, others in found.waiting
        }
        return State(
            folder,
            settings,
            rows,
            listed,
            problems,
            dict(self._findings),
            waiting,
            next((e for f in rows if (e := self._theme_error(f))), None),
            frozenset(rounds.made),
        )

    def again(self, file: str) -> Made:
        """A page judged once more, with all that leans on it and that it leans on.

        Args:
            file: one of the rows of the last `update`.
        """
        if file not in self._judged_again.pages:
            rows, leaning = self.before.rows, self._leaning
            joined = _reached({file}, lambda one: (*_above(rows, one), *leaning.get(one, ())))
            files = [one for one in self._work.folder.pages if one in joined and one in rows]
            self._judged_again = self._work.judge(files)
        return self._judged_again

    def _theme_error(self, file: str) -> ThemeError | None:
        found = self._findings.get(file)
        return found.theme_error if found else None

    def _settings(self, data: bytes) -> tuple[Settings, list[Problem]]:
        """The settings, read again only where they have changed."""
        if self._settings_read is None or self._settings_read[0] != data:
            self._settings_read = data, read_settings(data)
        return self._settings_read[1]

    def _inputs(self, settings: Settings, glossary: Listed | None) -> str:
        """All that every page is made with, digested."""
        shared = replace(settings, title="", summary="", author="", url="", courses=())
        terms = glossary and glossary.as_glossary
        theme = self.setter.theme if self.setter else ""
        return digest(repr((shared, terms, theme)))

    def _glossary(self, folder: Folder, settings: Settings) -> Listed | None:
        """The glossary: its terms have to be known before any other page is set."""
        if GLOSSARY not in folder.pages or self.setter is None:
            return None
        text, unreadable = read_text(folder.root, GLOSSARY, LONGEST_PAGE)
        known = self.before.rows.get(GLOSSARY)
        if known and not unreadable and known.text == digest(text):
            found: Listed | None = known.listed
        else:
            found = self._read(settings, GLOSSARY).listed
        return found._replace(draft=False) if found and self.setter.drafts else found

    def _find_links(
        self,
        known: Targets,
        settings: Settings,
        rows: Mapping[str, Row],
        before: Before,
        made: AbstractSet[str],
    ) -> str:
        """Look at links: of all pages where anything changed that links could lead to.

        Returns:
            What they could lead to, digested.
        """
        ours = sorted(
            (address, found is None, sorted(found or ())) for address, found in known.others.items()
        )
        faces = [(file, one.face) for file, one in rows.items()]
        grounds = digest(repr((ours, sorted(known.broken), faces)))
        asked: Iterable[str] = rows
        if grounds == before.grounds:
            asked = [file for file in rows if file in made]
            links = {f: found for f, found in self._links.items() if f in rows and f not in made}
        else:
            links = {}
        for file in asked:
            if any_problem(known.pages[file], tail_of(rows[file]).links, known):
                # where they stand is found again: few pages have any
                page = self._read(settings, file).page
                links[file] = tuple(link_problems(page, known)) if page else ()
        self._links = links
        return grounds


class _Work(Struct):
    """What pages are made with, in whichever process.

    Attributes:
        folder: what the content folder holds.
        settings: its settings.
        setter: sets pages, if they are to be set.
        terms: the glossary's.
        read: reads a page.
        stats: what the file system said of each file.
    """

    folder: Folder
    settings: Settings
    setter: Setter | None
    terms: Terms
    read: Reader
    stats: Mapping[str, Stat]

    def alone(self, file: str) -> list[_Result]:
        """Make a page, unless it leans on others."""
        leaf = self.read(self.settings, file)
        if leaf.listed is None:
            return [_Result(file, None, Findings(leaf.problems))]
        made_of = row(leaf, leaf.listed, self.stats.get(file, NO_STAT))
        if made_of.upstream:
            return [_Result(file, made_of, None)]
        made = judge(self.folder, self.settings, [leaf])
        return [self._result(made, made_of, _findings(made)[file])]

    def together(self, job: _Job) -> list[_Result]:
        """Make pages that lean on one another."""
        leaves = [self.read(self.settings, file) for file in job.all]
        made = judge(self.folder, self.settings, leaves)
        found = _findings(made)
        results = []
        for leaf in leaves:
            if leaf.listed is not None:
                one = row(leaf, leaf.listed, self.stats.get(leaf.file, NO_STAT))
                is_needed = leaf.file not in job.files
                results.append(self._result(made, one, found[leaf.file], is_needed=is_needed))
        return results

    def judge(self, files: Iterable[str]) -> Made:
        """Some pages judged, with each all that it leans on."""
        leaves = [self.read(self.settings, file) for file in files]
        return judge(self.folder, self.settings, leaves)

    def _result(self, made: Made, one: Row, found: Findings, *, is_needed: bool = False) -> _Result:
        """What was made of a page: set, if it is sound and not only needed by others."""
        file = one.listed.file
        one = one._replace(told=bool(found.problems))
        is_sound = (
            not found.waiting
            and all(problem.severity != "error" for problem in found.problems)
            and all((file, number) in made.replays for number in range(len(one.listed.blocks)))
        )
        if is_needed or not is_sound or self.setter is None:
            return _Result(file, one, found)
        if one.listed.draft and not self.setter.drafts:
            return _Result(file, one, found)
        try:
            parts = self.setter.parts(self.settings.lang)
            sheet = set_page(made, file, parts, self.terms)
        except ThemeError as error:
            return _Result(file, one, found._replace(theme_error=error))
        packed = pack(sheet)
        titled = one.listed._replace(title=sheet.lesson.entry.title)  # what it asks for filled in
        one = one._replace(sheet=packed.name, taken=packed.taken, listed=titled)
        return _Result(file, one, found, self.setter.keep(packed))


def _findings(made: Made) -> dict[str, Findings]:
    """What was found on each page of some that were judged together."""
    problems: dict[str, list[Problem]] = {file: [] for file in made.pages}
    for problem in made.problems:
        problems.setdefault(problem.file, []).append(problem)
    waiting: dict[str, list[tuple[int, tuple[Key, ...]]]] = {}
    failed: frozenset[Key] = frozenset()
    if not made.holds:
        judged = verdicts(made)
        failed = judged.failed
        for (file, number), others in judged.waiting.items():
            waiting.setdefault(file, []).append((number, others))
    failing = {file for file, _ in failed}
    return {
        file: Findings(tuple(told), tuple(waiting.get(file, ())), file in failing)
        for file, told in problems.items()
    }


class _Rounds:
    """The rows of a folder's pages brought up to date.

    Attributes:
        rows: the pages that could be read, in the folder's order.
        findings: what was found on each.
        made: the pages that were made.
    """

    def __init__(
        self,
        work: _Work,
        before: Before,
        findings: Mapping[str, Findings],
        workers: int,
        progress: Callable[[int, int], None],
    ) -> None:
        self._work = work
        self._known = before
        self._found = findings
        self._workers = workers
        self._progress = progress
        self.rows: dict[str, Row] = {}
        self.findings: dict[str, Findings] = {}
        self.made: set[str] = set()
        self._judged_with: dict[str, tuple[str, ...]] = {}

    def run(self) -> None:
        """Make what changed, then what leans on it, then what has to be told anew."""
        pages = self._work.folder.pages
        same = [file for file in pages if self._is_same(file)]
        self.rows = {file: self._known.rows[file] for file in same}
        self.findings = {file: self._found[file] for file in same if file in self._found}
        changed = [file for file in pages if file not in self.rows]
        self._make(self._work.alone, changed)
        unmade = [file for file in changed if file in self.rows and file not in self.findings]
        self._make(self._work.together, self._jobs(self._stale(unmade, changed)))
        self._make(self._work.together, self._retold())
        self.rows = {file: self.rows[file] for file in pages if file in self.rows}

    def _is_same(self, file: str) -> bool:
        one = self._known.rows.get(file)
        if one is None or (one.told and file not in self._found):
            return False
        if self._work.stats.get(file) == one.stat and file not in self._known.fresh:
            return True
        text, unreadable = read_text(self._work.folder.root, file, LONGEST_PAGE)
        return not unreadable and digest(text) == one.text

    def _make(self, work: Callable[..., list[_Result]], items: Sequence[str | _Job]) -> None:
        done, total = 0, sum(len(i.files) if isinstance(i, _Job) else 1 for i in items)
        for item, results in zip(items, shared(work, items, self._workers), strict=True):
            for result in results:
                self._take(result, item)
            done += len(item.files) if isinstance(item, _Job) else 1
            self._progress(done, total)

    def _take(self, result: _Result, item: str | _Job) -> None:
        file = result.file
        together = item.all if isinstance(item, _Job) else (file,)
        if isinstance(item, _Job) and file not in item.files:
            # it was needed, and is what it was, but for the count of those that wait for it
            theme_error = self.findings.get(file, Findings()).theme_error
            self.findings[file] = (result.found or Findings())._replace(theme_error=theme_error)
            self._judged_with[file] = together
            return
        if result.row:
            self.rows[file] = result.row
        if result.found is None:
            return
        self.findings[file] = result.found
        self._judged_with[file] = together
        self.made.add(file)
        if self._work.setter and result.held:
            self._work.setter.hold(result.held)

    @cached_property
    def leaning(self) -> dict[str, list[str]]:
        """For each page, those that lean on it directly; it may not be there."""
        leaning: dict[str, list[str]] = {}
        for file, one in self.rows.items():
            for other in one.upstream:
                leaning.setdefault(other, []).append(file)
        return leaning

    def _above(self, file: str) -> Sequence[str]:
        return _above(self.rows, file)

    def _beside(self, file: str) -> Sequence[str]:
        return (*self._above(file), *self.leaning.get(file, ()))

    def _stale(self, unmade: Sequence[str], changed: Sequence[str]) -> set[str]:
        """The pages still to be made: those that lean on others, and what leans on a change."""
        before = self._known.rows
        moved = {*before.keys() - self.rows.keys(), *(self.rows.keys() - before.keys())}
        moved |= {
            file
            for file in changed
            if file in self.rows and file in before and self.rows[file].lends != before[file].lends
        }
        below = _reached(moved, lambda file: self.leaning.get(file, ()))
        return ({*unmade, *below} & self.rows.keys()) - self.made

    def _jobs(self, stale: AbstractSet[str]) -> list[_Job]:
        """Pages that are made together: each with all that it leans on, directly or not."""
        wanted = _reached(stale, self._above) & self.rows.keys()
        return [self._job(group, stale) for group in _groups(wanted, self._beside)]

    def _job(self, group: AbstractSet[str], stale: AbstractSet[str]) -> _Job:
        files = tuple(file for file in self._work.folder.pages if file in group)
        return _Job(tuple(file for file in files if file in stale), files)

    def _retold(self) -> list[_Job]:
        """Pages that failed without all that wait for them: how many these are has to be told."""
        before = self._known.rows
        gone = before.keys() - self.rows.keys()
        # a page that leans on others no more makes their counts smaller
        touched = _reached(
            self.made | gone, lambda file: before[file].upstream if file in before else ()
        )
        touched |= self._judged_with.keys()
        jobs = []
        done: set[str] = set()
        for file in sorted(touched & self.findings.keys()):
            if file in done or not self.findings[file].fails:
                continue
            group = _reached({file}, self._beside) & self.rows.keys()
            done |= group
            if not group <= set(self._judged_with.get(file, ())):
                jobs.append(self._job(group, frozenset()))
        return jobs


def _above(rows: Mapping[str, Row], file: str) -> Sequence[str]:
    return rows[file].upstream if file in rows else ()


def _reached(first: Iterable[str], ways: Callable[[str], Iterable[str]]) -> set[str]:
    """All that can be reached, the first included."""
    found = set(first)
    waiting = list(found)
    while waiting:
        for other in ways(waiting.pop()):
            if other not in found:
                found.add(other)
                waiting.append(other)
    return found


def _groups(pages: AbstractSet[str], ways: Callable[[str], Iterable[str]]) -> Iterator[set[str]]:
    """Pages put together that can be reached from one another by way of pages among them."""
    done: set[str] = set()
    for first in sorted(pages):
        if first not in done:
            group = _reached({first}, lambda file: [f for f in ways(file) if f in pages])
            done |= group
            yield group

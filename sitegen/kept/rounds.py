"""Which pages are made again, and which of them together: what changed, and what leans on that.

Pages are made one at a time, and nothing of them stays in memory but a row. Those that lean on
others are made together with these, once it is known which they are.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.kept.snapshot import digest
from sitegen.kept.work import Job, PageFindings
from sitegen.pages.leaning import leaners_of, reached
from sitegen.pages.moved import by_former_address
from sitegen.pages.page_names import page_now
from sitegen.pages.page_text import read_text
from sitegen.parallel import shared

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
    from collections.abc import Set as AbstractSet

    from sitegen.kept.rows import PageRow
    from sitegen.kept.work import Result, Work


class Before(NamedTuple):
    """What was made before.

    Attributes:
        inputs: what all of it was made with, digested.
        rows: the pages that could be read.
        fresh: the files that were changed so lately that their times did not tell.
        grounds: what links could lead to, digested.
    """

    inputs: str
    rows: dict[str, PageRow]
    fresh: frozenset[str]
    grounds: str


NOTHING_BEFORE: Final = Before("", {}, frozenset(), "")


class Rounds:
    """The rows of a folder's pages brought up to date.

    Attributes:
        rows: the pages that could be read, in the folder's order.
        findings: what was found on each.
        made: the pages that were made.
    """

    def __init__(
        self,
        work: Work,
        before: Before,
        findings: Mapping[str, PageFindings],
        workers: int,
        progress: Callable[[int, int], None],
    ) -> None:
        """Make nothing yet.

        Args:
            work: makes pages.
            before: what was made before, with the same.
            findings: what was found on the pages then, as far as it is known.
            workers: how many processes may make pages.
            progress: told how many pages are made, and of how many.
        """
        self._work = work
        self._known = before
        self._found = findings
        self._workers = workers
        self._progress = progress
        self.rows: dict[str, PageRow] = {}
        self.findings: dict[str, PageFindings] = {}
        self.made: set[str] = set()
        self._failed_with: dict[str, tuple[str, ...]] = {}

    def run(self) -> None:
        """Make what changed, then what leans on it, then what has to be told anew."""
        pages = self._work.folder.pages
        same = [file for file in pages if self._is_same(file)]
        self.rows = {file: self._known.rows[file] for file in same}
        self.findings = {file: self._found[file] for file in same if file in self._found}
        changed = [file for file in pages if file not in self.rows]
        self._make(self._work.alone, [Job((file,), (file,)) for file in changed])
        unmade = [file for file in changed if file in self.rows and file not in self.findings]
        self._make(self._work.together, self._jobs(self._stale_pages(unmade, changed)))
        self._make(self._work.together, self._jobs_to_recount())
        self.rows = {file: self.rows[file] for file in pages if file in self.rows}

    def _is_same(self, file: str) -> bool:
        one = self._known.rows.get(file)
        if one is None or (one.told and file not in self._found):
            return False
        if self._work.stats.get(file) == one.stat and file not in self._known.fresh:
            return True
        text, unreadable = read_text(self._work.folder.root, file)
        return not unreadable and digest(text) == one.text

    def _make(self, work: Callable[[Job], list[Result]], jobs: Sequence[Job]) -> None:
        done, total = 0, sum(len(job.files) for job in jobs)
        for job, results in zip(jobs, shared(work, jobs, self._workers), strict=True):
            for result in results:
                self._take_result(result, job)
            done += len(job.files)
            self._progress(done, total)

    def _take_result(self, result: Result, job: Job) -> None:
        file, found = result.file, result.found
        is_needed = file not in job.files
        if result.row and not is_needed:
            self.rows[file] = result.row
        if found is None:
            return
        if is_needed:  # it is what it was, but for the count of those that wait for it
            known = self.findings.get(file, PageFindings())
            found = found._replace(theme_error=known.theme_error)
        else:
            self.made.add(file)
            if self._work.setter and result.held:
                self._work.setter.hold(result.held)
        self.findings[file] = found
        if found.fails:
            self._failed_with[file] = job.all

    @cached_property
    def _leaners(self) -> dict[str, list[str]]:
        """For each page, those that lean on it directly; it may not be there."""
        return leaners_of((file, self._upstream_of(file)) for file in self.rows)

    @cached_property
    def _former(self) -> dict[str, str]:
        """The pages that were renamed, by the addresses they had, in small letters."""
        files = filter(self.rows.__contains__, self._work.folder.pages)
        return by_former_address(self.rows[file].listed for file in files)

    @cached_property
    def _order(self) -> dict[str, int]:
        """The place of each page in the folder."""
        return {file: number for number, file in enumerate(self._work.folder.pages)}

    def joined(self, file: str) -> set[str]:
        """A page, and all that leans on it or that it leans on, directly or through others."""
        return _reached({file}, self._neighbours) & self._order.keys()

    def _upstream_of(self, file: str) -> Sequence[str]:
        """What a page leans on; for what is not there, the page too that was once called so."""
        upstream = self.rows[file].upstream if file in self.rows else ()
        missing = [name for name in upstream if name not in self.rows]
        return (*upstream, *filter(None, (page_now(name, self._former) for name in missing)))

    def _neighbours(self, file: str) -> Sequence[str]:
        return (*self._upstream_of(file), *self._leaners.get(file, ()))

    def _stale_pages(self, unmade: Sequence[str], changed: Sequence[str]) -> set[str]:
        """The pages still to be made: those that lean on others, and what leans on a change."""
        before = self._known.rows
        moved = {*before.keys() - self.rows.keys(), *(self.rows.keys() - before.keys())}
        moved |= {
            file
            for file in changed
            if file in self.rows and file in before and self.rows[file].lends != before[file].lends
        }
        if missing := self._leaners.keys() - self.rows.keys():
            former = by_former_address(one.listed for one in before.values())
            moved |= {f for f in missing if page_now(f, former) != page_now(f, self._former)}
            if {*before, *self._found} != self._order.keys():  # one of them may have been meant
                moved |= missing
            # of those there that cannot be read, why is known anew
            moved |= {f for f in missing if self._found.get(f) != self.findings.get(f)}
        below = _reached(moved, lambda file: self._leaners.get(file, ()))
        return ({*unmade, *below} & self.rows.keys()) - self.made

    def _jobs(self, stale: AbstractSet[str]) -> list[Job]:
        """Pages that are made together: each with all that it leans on, directly or not.

        Pages that cannot be read are among these: what leans on them is told where it waits.
        """
        wanted = _reached(stale, self._upstream_of) & self._order.keys()
        return [self._job(group, stale) for group in _groups(wanted, self._neighbours)]

    def _job(self, group: AbstractSet[str], stale: AbstractSet[str]) -> Job:
        return Job(frozenset(group & stale), tuple(sorted(group, key=self._order.__getitem__)))

    def _jobs_to_recount(self) -> list[Job]:
        """Jobs for failed pages judged without all that wait for them: these have to be counted."""
        before = self._known.rows
        gone = before.keys() - self.rows.keys()
        # a page that leans on others no more makes their counts smaller
        touched = _reached(
            self.made | gone, lambda file: before[file].upstream if file in before else ()
        )
        touched |= self._failed_with.keys()
        jobs = []
        done: set[str] = set()
        for file in sorted(touched & self.findings.keys()):
            if file in done or not self.findings[file].fails:
                continue
            group = self.joined(file)
            done |= group
            if not group <= set(self._failed_with.get(file, ())):
                jobs.append(self._job(group, frozenset()))
        return jobs


def _reached(first: Iterable[str], ways: Callable[[str], Iterable[str]]) -> set[str]:
    """All that can be reached, the first included."""
    found: set[str] = set()
    for one in first:
        reached(one, ways, found)
    return found


def _groups(pages: AbstractSet[str], ways: Callable[[str], Iterable[str]]) -> Iterator[set[str]]:
    """Pages in groups: those of a group are connected by way of pages among them."""
    done: set[str] = set()
    for first in sorted(pages):
        if first not in done:
            group = _reached({first}, lambda file: [f for f in ways(file) if f in pages])
            done |= group
            yield group

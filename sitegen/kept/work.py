"""Pages made: read, judged together with those that they lean on, and set; in any process."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from sitegen.kept.packed import pack
from sitegen.kept.rows import PageRow, row
from sitegen.kept.snapshot import NO_STAT
from sitegen.leaf import BrokenPage, Leaf
from sitegen.made import Made, lines_hung_on
from sitegen.make import judge
from sitegen.pages.formats.theme import ThemeError
from sitegen.problem import any_error
from sitegen.set_page import set_page

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping

    from sitegen.kept.packed import Packed
    from sitegen.kept.snapshot import Stat
    from sitegen.leaf import PageReader
    from sitegen.pages.folder import Folder
    from sitegen.pages.formats.parts import Parts
    from sitegen.pages.glossary import Terms
    from sitegen.pages.references import BlockKey
    from sitegen.pages.settings import Settings
    from sitegen.problem import Problem


class PageFindings(NamedTuple):
    """What was found on a page.

    Attributes:
        problems: what is wrong, links left out.
        waiting: the numbers of the blocks that wait, each with those it waits for.
        hung_on: the lines above all blocks that blocks hang on, once for each block.
        fails: whether a block failed.
        theme_error: why it could not be set, where that is the theme's fault.
    """

    problems: tuple[Problem, ...] = ()
    waiting: tuple[tuple[int, tuple[BlockKey, ...]], ...] = ()
    hung_on: tuple[BlockKey, ...] = ()
    fails: bool = False
    theme_error: ThemeError | None = None


class Setter(NamedTuple):
    """What sets pages.

    Attributes:
        theme: what there is of the site's own theme to set them with, digested.
        parts: the theme, for a site of a language. It raises `ThemeError`.
        keep: puts a set page into the store; gives back one that has to be kept in memory.
        hold: keeps such a page in memory; called in the process that all others work for.
        drafts: whether drafts are set too.
    """

    theme: str
    parts: Callable[[str], Parts]
    keep: Callable[[Packed], Packed | None]
    hold: Callable[[Packed], None]
    drafts: bool = False


class Job(NamedTuple):
    """Pages made together: `files` are set, `all` are judged, in the folder's order."""

    files: Collection[str]
    all: tuple[str, ...]


class Result(NamedTuple):
    """What was made of a page.

    Attributes:
        file: the page.
        row: what is kept of it; None where it could not be read.
        found: what was found on it; None where it has to be made together with others.
        held: the set page, where the store could not take it.
    """

    file: str
    row: PageRow | None
    found: PageFindings | None
    held: Packed | None = None


class Work(Struct):
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
    read: PageReader
    stats: Mapping[str, Stat]

    def alone(self, job: Job) -> list[Result]:
        """Make a page; one that leans on others is only read, to be made together with them."""
        (file,) = job.all
        leaf = self.read(self.settings, file)
        if isinstance(leaf, BrokenPage):
            return [Result(file, None, PageFindings(tuple(leaf.problems)))]
        made_of = row(leaf, self.stats.get(file, NO_STAT))
        if made_of.upstream:
            return [Result(file, made_of, None)]
        made = judge(self.folder, self.settings, [leaf])
        return [self._result(made, made_of, _findings(made)[file])]

    def together(self, job: Job) -> list[Result]:
        """Make pages that lean on one another."""
        leaves = [self.read(self.settings, file) for file in job.all]
        made = judge(self.folder, self.settings, leaves)
        found = _findings(made)
        results = []
        for leaf in leaves:
            if isinstance(leaf, Leaf):
                one = row(leaf, self.stats.get(leaf.file, NO_STAT))
                is_needed = leaf.file not in job.files
                results.append(self._result(made, one, found[leaf.file], is_needed=is_needed))
        return results

    def _result(
        self, made: Made, one: PageRow, found: PageFindings, *, is_needed: bool = False
    ) -> Result:
        """What was made of a page: set, if it is sound and not only needed by others."""
        file = one.listed.file
        one = one._replace(told=bool(found.problems))
        # a block that is not replayed failed, or waits
        is_sound = not found.waiting and not any_error(found.problems)
        if is_needed or not is_sound or self.setter is None:
            return Result(file, one, found)
        if one.listed.draft and not self.setter.drafts:
            return Result(file, one, found)
        try:
            parts = self.setter.parts(self.settings.lang)
            page = set_page(made, file, parts, self.terms)
        except ThemeError as error:
            return Result(file, one, found._replace(theme_error=error))
        packed = pack(page)
        titled = one.listed._replace(title=page.lesson.entry.title)  # what it asks for filled in
        one = one._replace(stored_as=packed.name, taken=packed.taken, listed=titled)
        return Result(file, one, found, self.setter.keep(packed))


def _findings(made: Made) -> dict[str, PageFindings]:
    """What was found on each page of some that were judged together."""
    problems: dict[str, list[Problem]] = {file: [] for file in made.pages}
    for problem in made.problems:
        problems.setdefault(problem.file, []).append(problem)
    waiting: dict[str, list[tuple[int, tuple[BlockKey, ...]]]] = {}
    hung_on: dict[str, list[BlockKey]] = {}
    failed: frozenset[BlockKey] = frozenset()
    if made.settings.unread or not made.holds:
        judged = made.verdicts
        failed = judged.failed
        for (file, number), others in judged.waiting.items():
            waiting.setdefault(file, []).append((number, others))
        for (file, _), lines in lines_hung_on(made).items():
            hung_on.setdefault(file, []).extend(lines)
    failing = {file for file, _ in failed}
    return {
        file: PageFindings(
            tuple(told),
            tuple(waiting.get(file, ())),
            tuple(hung_on.get(file, ())),
            file in failing,
        )
        for file, told in problems.items()
    }

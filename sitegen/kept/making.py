"""THE MAIN PATH of a build: what changed is made again, and what leans on it; the rest is kept.

What is made of a page depends on its text, on what all pages share (the settings, the theme, the
glossary's terms), and on what the pages that it leans on lend it: their blocks. So a change to the
prose of a page reaches no other page, and a change to a block reaches all that lean on its page,
directly or through others.
"""

from __future__ import annotations

import errno
from functools import cache, partial
from itertools import chain
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from sitegen.kept.rounds import NOTHING_BEFORE, Before, Rounds
from sitegen.kept.rows import PageRow, tail_of
from sitegen.kept.snapshot import digest
from sitegen.kept.work import Work
from sitegen.leaf import Leaf, PageReader
from sitegen.made import Made, with_waiting
from sitegen.make import in_order, judge, problems_of_all
from sitegen.pages.around import GLOSSARY
from sitegen.pages.folder import Folder, read_folder
from sitegen.pages.formats.theme import ThemeError, error_of, joined
from sitegen.pages.links import any_problem, link_problems, targets
from sitegen.pages.page_text import read_text
from sitegen.pages.settings import Settings, read_settings
from sitegen.problem import any_error
from sitegen.set_page import glossary_terms

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from collections.abc import Set as AbstractSet
    from pathlib import Path

    from sitegen.kept.snapshot import Snapshot
    from sitegen.kept.work import PageFindings, Setter
    from sitegen.pages.links import Targets
    from sitegen.pages.listed import Listed
    from sitegen.pages.references import BlockKey
    from sitegen.problem import Problem


REMEMBERED: Final = 40
"""Pages that a build remembers when it has read them: those that lean on others are asked for again
soon, and memory must not grow with the site."""


class State(Struct, frozen=True):
    """A content folder as it is, judged.

    Attributes:
        folder: what it holds.
        settings: its settings.
        rows: the pages that could be read, by file, in order.
        listed: the same pages, as others know them.
        problems: all that is wrong, in order.
        found: what was found on each page, links left out; the same object as long as nothing
            changes that it depends on.
        waiting: the blocks that wait, failed ones among them, each with what it waits for.
        theme_error: what is wrong with the site's own theme, as far as it shows before pages are
            framed.
        made: the pages that were made this time.
    """

    folder: Folder
    settings: Settings
    rows: dict[str, PageRow]
    listed: dict[str, Listed]
    problems: list[Problem]
    found: Mapping[str, PageFindings]
    waiting: dict[BlockKey, tuple[BlockKey, ...]]
    theme_error: ThemeError | None
    made: frozenset[str]

    @property
    def holds(self) -> bool:
        """Whether nothing is wrong; warnings are not wrong."""
        return not any_error(self.problems)


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
        before: Before = NOTHING_BEFORE,
        is_set: bool = True,
    ) -> None:
        """Begin.

        Args:
            root: the content folder.
            setter: sets pages; as long as there is none they are judged alone.
            workers: how many processes may make pages.
            progress: told how many pages are made, and of how many.
            remembers: how many of the pages read last are remembered.
            before: what was made before, of which everything held.
            is_set: whether pages will ever be set.
        """
        self.before = before
        self.setter = setter
        self._root = root
        self._workers = workers
        self._progress = progress
        self._read = PageReader(root, remembers, is_set=is_set)
        self._findings: dict[str, PageFindings] = {}
        self._links: dict[str, tuple[Problem, ...]] = {}
        self._settings_read: tuple[bytes, tuple[Settings, list[Problem]]] | None = None

    def update(self, snapshot: Snapshot | None = None) -> State:
        """Make what changed.

        Args:
            snapshot: the content folder as the file system showed it, where that was looked at.

        Raises:
            OSError: the folder cannot be listed, or a process at work was killed.
        """
        folder = read_folder(self._root)
        settings, wrong = self._settings(folder.settings or b"")
        terms_page = self._glossary(folder, settings)
        inputs = self._inputs(settings, terms_page)
        before = self.before if self.before.inputs == inputs else NOTHING_BEFORE
        terms = glossary_terms(terms_page, settings.lang)
        stats = snapshot.files if snapshot else {}
        work = Work(folder, settings, self.setter, terms, self._read, stats)
        rounds = Rounds(work, before, self._findings, self._workers, self._progress)
        rounds.run()
        rows, self._findings = rounds.rows, rounds.findings
        listed = {file: one.listed for file, one in rows.items()}
        known = targets(folder, settings, listed, cache(lambda file: tail_of(rows[file]).targets))
        grounds = self._find_links(known, settings, rows, before, rounds.made)
        self.before = Before(inputs, rows, frozenset(snapshot.fresh if snapshot else ()), grounds)
        told = self._problems_in_order([*wrong, *problems_of_all(folder, settings, known)])
        self._rounds = rounds
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
            told,
            self._findings,
            waiting,
            self._theme_error(settings.lang, rounds.made),
            frozenset(rounds.made),
        )

    def _problems_in_order(self, of_all: Iterable[Problem]) -> list[Problem]:
        """What was found on the pages, and what no page tells by itself, in order."""
        found = self._findings.values()
        links = chain.from_iterable(self._links.values())
        told = in_order([*(p for one in found for p in one.problems), *of_all, *links])
        return with_waiting(told, (line for one in found for line in one.hung_on))

    def judge_again(self, file: str) -> Made:
        """A page judged once more, with all that leans on it and that it leans on.

        Args:
            file: one of the rows of the last `update`.

        Raises:
            OSError: one of these pages is not what it was then.
        """
        if file not in self._judged_again.pages:
            folder, settings = self._judged_again.folder, self._judged_again.settings
            joined = self._rounds.joined(file)
            files = [one for one in folder.pages if one in joined]
            leaves = [self._read(settings, one) for one in files]
            for leaf in leaves:
                known = self._rounds.rows.get(leaf.file)
                if (leaf.digest if isinstance(leaf, Leaf) else None) != (known and known.text):
                    path = str(self._root / leaf.file)
                    raise OSError(errno.EBUSY, "this file was changed while it was read", path)
            self._judged_again = judge(folder, settings, leaves)
        return self._judged_again

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

    def _theme_error(self, lang: str, made: AbstractSet[str]) -> ThemeError | None:
        """What is wrong with the theme, as far as the pages and the theme alone show it."""
        wrong = [one.theme_error for one in self._findings.values()]
        if self.setter and made:
            wrong.append(error_of(partial(self.setter.parts, lang)))
        faults = joined(wrong)
        return ThemeError(*faults) if faults else None

    def _glossary(self, folder: Folder, settings: Settings) -> Listed | None:
        """The glossary: its terms have to be known before any other page is set."""
        if GLOSSARY not in folder.pages or self.setter is None:
            return None
        text, unreadable = read_text(folder.root, GLOSSARY)
        known = self.before.rows.get(GLOSSARY)
        if known and not unreadable and known.text == digest(text):
            found: Listed | None = known.listed
        else:
            leaf = self._read(settings, GLOSSARY)
            found = leaf.listed if isinstance(leaf, Leaf) else None
        return found._replace(draft=False) if found and self.setter.drafts else found

    def _find_links(
        self,
        known: Targets,
        settings: Settings,
        rows: Mapping[str, PageRow],
        before: Before,
        made: AbstractSet[str],
    ) -> str:
        """Check the links of pages made; of all pages where anything changed that links lead to.

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
            links = {f: found for f, found in self._links.items() if f not in made}
        else:
            links = {}
        for file in asked:
            if any_problem(known.pages[file], tail_of(rows[file]).links, known):
                # where they stand is found again: few pages have any
                leaf = self._read(settings, file)
                links[file] = tuple(
                    link_problems(leaf.page, known) if isinstance(leaf, Leaf) else ()
                )
        self._links = links
        return grounds

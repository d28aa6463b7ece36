"""What is laid over a page of a preview: its problems, what waits, what is wrong elsewhere."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct

from sitegen.made import block_of
from sitegen.offers import empty_nets
from sitegen.pages.formats.words import english
from sitegen.pages.names import published_as
from sitegen.problem import any_error
from sitegen.report.tame import tame
from sitegen.review import contrast_shown, troubles

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from sitegen.kept.making import State
    from sitegen.kept.work import PageFindings
    from sitegen.made import Made
    from sitegen.pages.rewrite import Edit
    from sitegen.pages.site import Shown, Trouble
    from sitegen.preview.shown import ShownPages
    from sitegen.problem import Problem

MOST: Final = 20
"""Problems told on one page, and pages listed with problems; the terminal tells them all."""

WIDEST: Final = 160
"""Code points of a source line that are shown; a longer one is cut around its wrong part."""


class Cut(NamedTuple):
    """A source line in three parts, the middle one wrong."""

    before: str
    wrong: str
    after: str


class Paste(NamedTuple):
    """A net to be put below a line: the line, its number, the rows as they stand in the file."""

    line: int
    key: str
    rows: tuple[str, ...]


class ToldProblem(Struct, frozen=True):
    """A problem with all that is shown of it.

    Attributes:
        place: file, line and column, the file as it is called from the current folder.
        source: the line; None where nothing stands in it.
        trouble: message, pictures, what would mend it.
        paste: nets that could stand where there is none.
    """

    place: str
    source: Cut | None
    trouble: Trouble
    paste: tuple[Paste, ...]


class OtherPage(Struct, frozen=True):
    """Another page with problems: its title, its address, how many."""

    title: str
    address: str
    count: int


class Panel(Struct, frozen=True):
    """What is laid over a page.

    Attributes:
        state: `fresh` (as it is), `held` (as it last held), `review` (never held; shown as far as
            it goes), `none` (there is no such page to show).
        told: what is wrong with it, and with what no page shows, the first of it.
        count: how many problems these are in all.
        errors: whether any of these is an error.
        waits_for: the pages with problems that blocks of this one wait for, the first of them.
        waits_for_more: how many more these are.
        elsewhere: the other pages with problems, the first of them.
        elsewhere_more: how many more these are.
        elsewhere_count: how many problems those pages have in all.
        draft: whether no build would publish it.
    """

    state: str = "fresh"
    told: tuple[ToldProblem, ...] = ()
    count: int = 0
    errors: bool = False
    waits_for: tuple[OtherPage, ...] = ()
    waits_for_more: int = 0
    elsewhere: tuple[OtherPage, ...] = ()
    elsewhere_more: int = 0
    elsewhere_count: int = 0
    draft: bool = False


class ToldBefore(NamedTuple):
    """What was told of a page, to be used again where nothing changed: hundreds may be broken.

    Attributes:
        found: what was found on it.
        problems: all that is wrong with it.
        told: what was told of that.
    """

    found: PageFindings | None
    problems: Sequence[Problem]
    told: tuple[ToldProblem, ...]


class Panels:
    """Makes the panels of one state of a folder.

    Attributes:
        known: what was told of each page.
    """

    def __init__(  # noqa: PLR0913 - what a panel is made of
        self,
        state: State,
        shown: ShownPages,
        judge_again: Callable[[str], Made],
        *,
        line_of: Callable[[str, int], str],
        path_from_here: Callable[[str], str],
        known: Mapping[str, ToldBefore],
    ) -> None:
        """Work out once what many pages share.

        Args:
            state: the folder, judged.
            shown: what is shown of it.
            judge_again: judges a page once more, with all that leans on it and that it leans on.
            line_of: a file's line, from 1.
            path_from_here: a file of the content folder, as it is called from the current folder.
            known: what was told of each page of the state before.
        """
        self.known: dict[str, ToldBefore] = {}
        self._before = known
        self._state = state
        self._judge_again = judge_again
        self._shown = shown
        self._line_of = line_of
        self._path_from_here = path_from_here
        self._problems: dict[str, list[Problem]] = {}
        for problem in state.problems:
            self._problems.setdefault(problem.file, []).append(problem)
        pages = state.folder.pages
        every = set(pages)
        self._waits: dict[str, dict[str, None]] = {}
        for (file, _), others in state.waiting.items():
            found = dict.fromkeys(other for other, _ in others if other in every)
            self._waits.setdefault(file, {}).update(found)
        self._homeless = [p for p in state.problems if p.file not in every]
        self._told_everywhere = self._tell_first(self._homeless)
        self._others = [self._other_page(file) for file in pages if self._problems.get(file)]
        self._others_count = sum(other.count for other in self._others)

    def page(self, file: str = "") -> Panel:
        """The panel of a page; "" stands for a page that has no file in the content folder."""
        shown = self._shown
        state = "fresh"
        if file in shown.held_back:
            state = "held"
        elif file in shown.never_held:
            state = "review"
        elif file in shown.unread:
            state = "none"
        own = self._problems.get(file, [])
        waits_for = [other for other in self._waits.get(file, ()) if other != file]
        named = {file, *waits_for}
        left = [self._problems[one] for one in named if one in self._problems]
        # of thousands, those in front are enough
        near = self._others[: MOST + len(named)]
        addresses = {published_as(one) for one in named}
        others = [other for other in near if other.address not in addresses][:MOST]
        return Panel(
            state=state,
            told=(*self._told_everywhere, *self._tell_page(file, own))[:MOST],
            count=len(self._homeless) + len(own),
            errors=any_error(self._homeless) or any_error(own),
            waits_for=tuple(map(self._other_page, waits_for[:MOST])),
            waits_for_more=max(0, len(waits_for) - MOST),
            elsewhere=tuple(others),
            elsewhere_more=len(self._others) - len(left) - len(others),
            elsewhere_count=self._others_count - sum(map(len, left)),
            draft=file in shown.drafts,
        )

    def _other_page(self, file: str) -> OtherPage:
        page = self._state.rows.get(file)
        title = page.listed.title if page else file
        return OtherPage(title, published_as(file), len(self._problems.get(file, [])))

    def _tell_page(self, file: str, problems: Sequence[Problem]) -> tuple[ToldProblem, ...]:
        """What is told of a page: what was told before, where nothing changed."""
        found, before = self._state.found.get(file), self._before.get(file)
        if before and before.found is found and before.problems == problems:
            told = before.told
        else:
            told = self._tell_first(problems)
        if problems:
            self.known[file] = ToldBefore(found, problems, told)
        return told

    def _tell_first(self, problems: Sequence[Problem]) -> tuple[ToldProblem, ...]:
        return tuple(self._tell_each(problems[:MOST]))

    def _tell_each(self, problems: Sequence[Problem]) -> Iterator[ToldProblem]:
        """Problems in order; what mends or fills in a block is shown at its first one."""
        file = problems[0].file if problems else ""
        made = self._judge_again(file) if file in self._state.rows else None
        nets = empty_nets(made) if made else {}

        def shown(problem: Problem) -> tuple[Shown, ...]:
            key = block_of(problem, made.listed) if made else None
            done = made.replays.get(key) if made and key else None
            return contrast_shown(problem, done, english(), letters=self._state.settings.letters)

        for problem, trouble in zip(problems, troubles(problems, shown), strict=True):
            key = block_of(problem, made.listed) if made else None
            empty = nets.pop(key, ()) if key else ()
            yield ToldProblem(
                place=f"{self._path_from_here(problem.file)}:{problem.line}:{problem.column}",
                source=self._cut(problem),
                trouble=trouble,
                paste=tuple(self._paste(problem.file, edit) for edit in empty),
            )

    def _cut(self, problem: Problem) -> Cut | None:
        line = self._line_of(problem.file, problem.line)
        if not line.strip():
            return None
        start, end = problem.column - 1, problem.column - 1 + problem.length
        first = max(0, start - WIDEST // 2)
        last = max(first + WIDEST, end)
        before = ("..." if first else "") + line[first:start]
        after = line[end:last] + ("..." if last < len(line) else "")
        return Cut(tame(before), tame(line[start:end]), tame(after))

    def _paste(self, file: str, edit: Edit) -> Paste:
        line = self._line_of(file, edit.line).rstrip()
        lead = line[: len(line) - len(edit.old)]
        return Paste(edit.line, edit.old.partition(":")[0], tuple(lead + row for row in edit.below))

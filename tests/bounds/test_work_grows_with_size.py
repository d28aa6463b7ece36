"""Twice the page is at most twice the work, whatever it is full of.

Work is counted in lines of Python carried out and in characters of messages, which no busy machine
disturbs. What one line may hide (a regular expression that looks back, a text searched through
again and again) is not seen here.
"""

from __future__ import annotations

import sys
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

import pytest

from bounds.worst_cases import WORST
from sitegen.block.model import Context
from sitegen.cube.scheme import DEFAULT
from sitegen.kept.making import Making
from sitegen.make import make
from sitegen.notation.setting import MOST_TURNS, Sequences
from sitegen.pages.formats.words import english
from sitegen.pages.named_moves import LONGEST_NAMED, named_sequences
from sitegen.pages.page_names import MOST_OFFERED
from sitegen.problem import Problem
from sitegen.report.findings import BlockPlace, Findings
from sitegen.report.table import REPORTS, tell
from sitegen.review import review

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

T = TypeVar("T")

SIZE = 60
MORE_THAN_TWICE = 2.25
"""A quadratic part shows as 4; what is left over 2 is for steps that come at certain sizes."""


SLACK = 1000
"""Characters that messages may come to beside: one of a bound, once it is reached."""


def at_once(content: Path) -> Sequence[Problem]:
    """What is told of a folder that is judged whole."""
    return make(content, lambda _done, _total: None).problems


def page_by_page(content: Path) -> Sequence[Problem]:
    """The same, as `check` and `build` judge it."""
    return Making(content, None, workers=1, progress=lambda _done, _total: None).update().problems


def work(
    content: Path,
    grown: str | dict[str, str],
    judged: Callable[[Path], Sequence[Problem]] = at_once,
) -> tuple[int, int]:
    """Lines of Python carried out to judge a page or a whole folder, and characters told of it."""
    for old in content.iterdir():
        old.unlink()
    for name, text in (grown if isinstance(grown, dict) else {"page.md": grown}).items():
        (content / name).write_text(text, "utf-8")
    count, problems = counted(lambda: judged(content))
    return count, sum(len(problem.message) for problem in problems)


def counted(call: Callable[[], T]) -> tuple[int, T]:
    """Lines of Python carried out in a call, and what it gives back."""
    count = 0

    def trace(_frame: object, event: str, _arg: object) -> Any:  # noqa: ANN401 - sys wants it so
        nonlocal count
        count += event == "line"
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        given = call()
    finally:
        sys.settrace(before)
    return count, given


@pytest.mark.parametrize("judged", [at_once, page_by_page])
@pytest.mark.parametrize("name", WORST)
def test_twice_the_size_is_twice_the_work(
    name: str, judged: Callable[[Path], Sequence[Problem]], tmp_path: Path
) -> None:
    grow: Callable[[int], str | dict[str, str]] = WORST[name]
    work(tmp_path, grow(SIZE), judged)  # what is worked out once and kept is not counted
    done = [work(tmp_path, grow(SIZE * times), judged) for times in (1, 2, 4)]
    (small, middle, large), told = zip(*done, strict=True)
    added = max(middle - small, small // 4)
    assert large - middle <= MORE_THAN_TWICE * added, (small, middle, large)
    assert told[2] - told[1] <= MORE_THAN_TWICE * (told[1] - told[0]) + SLACK, told


def many_that_use_as_many(size: int) -> Context:
    """Named sequences, half of which use one that uses the others, all of them too long to show."""
    texts = {f"long{i}": f"(R U){LONGEST_NAMED}" for i in range(size)}
    texts["all"] = " ".join(f"{{{name}}}" for name in texts)
    texts |= {f"user{i}": "{all}" for i in range(size)}
    return Context(3, 33, MOST_TURNS, DEFAULT, "", Sequences(texts), "STM")


def test_twice_the_sequences_are_twice_the_work() -> None:
    named_sequences(many_that_use_as_many(SIZE), english())
    small, middle, large = (
        counted(partial(named_sequences, many_that_use_as_many(SIZE * times), english()))[0]
        for times in (1, 2, 4)
    )
    assert large - middle <= MORE_THAN_TWICE * (middle - small), (small, middle, large)


@pytest.mark.parametrize(
    "each", ["[x](paje.md)\n\n", "```moves\nfrom: paje.md#a\nmoves: R\n```\n\n"]
)
def test_only_the_first_names_of_no_page_are_held_against_all_others(
    each: str, tmp_path: Path
) -> None:
    capitals = "[x](Page.md) " * MOST_OFFERED  # what is meant by these is plain
    page = f"# T\n\n{capitals}\n\n{each * (MOST_OFFERED + 1)}"
    (tmp_path / "page.md").write_text(page, "utf-8")
    told = [problem for problem in at_once(tmp_path) if problem.severity == "error"]
    assert len(told) == 2 * MOST_OFFERED + 1
    assert sum("did you mean `page.md`?" in one.message for one in told) == 2 * MOST_OFFERED


def reported(pages: int) -> Findings:
    """So many pages of a block each that does not hold, and as many without."""
    files = [f"p{number}.md" for number in range(2 * pages)]
    return Findings(
        len(files),
        len(files),
        lambda: [(file, [BlockPlace(file, 0, "", 2, 4)]) for file in files],
        tuple(Problem(file, 3, 1, 1, "check-failed", "it does not hold") for file in files[::2]),
        lambda _file, _line: "check: solved",
        "/club/content",
        "/club",
    )


@pytest.mark.parametrize("name", REPORTS)
def test_twice_the_pages_are_a_report_of_twice_the_work(name: str) -> None:
    tell(name, reported(SIZE))
    small, middle, large = (
        counted(partial(tell, name, reported(SIZE * times)))[0] for times in (1, 2, 4)
    )
    assert large - middle <= MORE_THAN_TWICE * max(middle - small, small // 4)


def test_twice_the_pages_that_cannot_be_read_are_a_review_of_twice_the_work() -> None:
    small, middle, large = (
        counted(partial(review, unread(SIZE * times), (), {}))[0] for times in (1, 2, 4)
    )
    assert large - middle <= MORE_THAN_TWICE * (middle - small), (small, middle, large)


def unread(pages: int) -> list[Problem]:
    return [Problem.of_file(f"p{number}.md", "file", "no UTF-8") for number in range(pages)]

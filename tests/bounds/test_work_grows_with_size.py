"""Twice the page is at most twice the work, whatever it is full of.

Work is counted in lines of Python carried out, which no busy machine disturbs. What one line may
hide (a string put together anew, a regular expression that looks back) is not seen here.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import pytest
from worst_cases import WORST

from sitegen.make import make

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

SIZE = 60
MORE_THAN_TWICE = 2.25
"""A quadratic part shows as 4; what is left over 2 is for steps that come at certain sizes."""


def work(content: Path, page: str) -> int:
    """Lines of Python carried out to judge a page."""
    (content / "page.md").write_text(page, "utf-8")
    count = 0

    def trace(_frame: object, event: str, _arg: object) -> Any:  # noqa: ANN401 - sys wants it so
        nonlocal count
        count += event == "line"
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        make(content, lambda _done, _total: None)
    finally:
        sys.settrace(before)
    return count


@pytest.mark.parametrize("name", WORST)
def test_twice_the_size_is_twice_the_work(name: str, tmp_path: Path) -> None:
    grow: Callable[[int], str] = WORST[name]
    work(tmp_path, grow(SIZE))  # what is worked out once and kept is not counted
    small, middle, large = (work(tmp_path, grow(SIZE * times)) for times in (1, 2, 4))
    added = max(middle - small, small // 4)
    assert large - middle <= MORE_THAN_TWICE * added, (small, middle, large)

"""One browser for all tests; what a skipped test counts for; and how hypothesis runs.

Hypothesis never runs against the clock, and with CI set on the same examples every time.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

from chromium import chromium

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator

    from playwright.sync_api import Browser

settings.register_profile("by-hand", deadline=None, max_examples=40)
settings.register_profile("ci", deadline=None, max_examples=40, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "by-hand")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """With SITEGEN_BROWSER=required, as in CI, a test that is skipped fails."""
    report = yield
    if report.skipped and os.environ.get("SITEGEN_BROWSER") == "required":
        report.outcome = "failed"
    return report


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium, once for all folders of tests: it can be opened no second time in a process."""
    with chromium() as opened:
        yield opened

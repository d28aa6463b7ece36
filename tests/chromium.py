"""The system's own browser for tests that need one, and pages in it that may do nothing wrong."""

from __future__ import annotations

import re
import shutil
from contextlib import contextmanager
from typing import TYPE_CHECKING, Literal, NoReturn, TypedDict

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Unpack

    from playwright.sync_api import Browser, Page, Request, ViewportSize

Motion = Literal["no-preference", "reduce"]
Scheme = Literal["light", "dark"]


class Options(TypedDict, total=False):
    """How a page may be opened: of what `Browser.new_context` takes, what the tests ask for."""

    viewport: ViewportSize
    color_scheme: Scheme
    reduced_motion: Motion
    java_script_enabled: bool
    bypass_csp: bool
    permissions: list[str]


def missing(what: str) -> NoReturn:
    """Skip a test for want of something; where nothing may be wanting, that is a failure."""
    pytest.skip(f"{what} is missing")


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser, closed in the end."""
    program = shutil.which("chromium")
    if program is None:
        missing("chromium")
    try:
        from playwright.sync_api import sync_playwright  # noqa: PLC0415 - it may be missing
    except ImportError:
        missing("the Python package playwright")
    quiet = ("background-networking", "component-update", "sync")
    arguments = [f"--disable-{part}" for part in ("gpu", "dev-shm-usage", *quiet)]
    alone = "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost"
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--no-first-run", alone, *arguments]
        )
        yield opened
        opened.close()


@contextmanager
def watched(
    browser: Browser, home: str, *expected: str, **options: Unpack[Options]
) -> Iterator[Page]:
    """A page that may fetch below `home` only, and complain of nothing, or the test fails.

    What is expected to go wrong is named by regular expressions. Each has to be met.
    """
    context = browser.new_context(**options)
    wrong: list[str] = []

    def note(request: Request) -> None:
        if not request.url.startswith((home, "data:")):
            wrong.append(f"asks for {request.url}")

    context.on("request", note)
    context.on(
        "console",
        lambda said: wrong.append(said.text) if said.type in ("error", "warning") else None,
    )
    context.on("weberror", lambda error: wrong.append(str(error.error)))
    context.on(
        "response",
        lambda got: wrong.append(f"{got.status} {got.url}") if got.status >= 400 else None,
    )
    try:
        yield context.new_page()
    finally:
        context.close()
    strange = [line for line in wrong if not any(re.search(one, line) for one in expected)]
    assert not strange, f"went wrong in the browser: {strange}"
    missed = [one for one in expected if not any(re.search(one, line) for line in wrong)]
    assert not missed, f"did not go wrong in the browser: {missed}"

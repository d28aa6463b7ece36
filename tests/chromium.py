"""The system's own browser for tests that need one; nothing is downloaded."""

from __future__ import annotations

import os
import shutil
from contextlib import contextmanager
from typing import TYPE_CHECKING, Literal, NoReturn, TypedDict

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, ViewportSize

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
    """Skip a test for want of something, unless it is said that nothing may be wanting."""
    if os.environ.get("SITEGEN_BROWSER") == "required":
        pytest.fail(f"{what} is missing, and SITEGEN_BROWSER=required")
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
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--no-first-run", *arguments]
        )
        yield opened
        opened.close()

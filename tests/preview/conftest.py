"""What the tests of the preview are given: a content folder, previews of it, a browser."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from chromium import chromium
from previewing import Preview, fill

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from playwright.sync_api import Browser

    Start = Callable[..., Preview]


@pytest.fixture
def content(tmp_path: Path) -> Path:
    return fill(tmp_path / "content")


@pytest.fixture
def start(content: Path) -> Iterator[Start]:
    """Starts previews; each is stopped in the end."""
    started: list[Preview] = []

    def begin(*arguments: str) -> Preview:
        started.append(Preview.start(content, *(arguments or ("--port", "0"))))
        return started[-1]

    yield begin
    for preview in started:
        if preview.process.poll() is None:
            preview.stop()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened

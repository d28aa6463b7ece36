"""What the tests of the preview are given: a content folder, and previews of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from preview.previewing import Preview, fill

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from preview.previewing import Start


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

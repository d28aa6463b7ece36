"""What the tests of writing into pages are given: a content folder with one page."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from rewrite.rewriting import Site

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def site(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Site:
    (tmp_path / "site.toml").write_text("language = 1\n", "utf-8")
    return Site(tmp_path, monkeypatch, capsys)

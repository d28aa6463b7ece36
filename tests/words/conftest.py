"""The sites that are said in a translation."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from words.wording import built

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture(scope="session")
def sites(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("words")
    return [
        built("site", folder / "published"),
        built("alone", folder / "published"),
        built("alone", folder / "reviewed", "--with-failures"),
        built("failing", folder / "reviewed", "--with-failures"),
    ]

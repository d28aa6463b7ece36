"""The sites that a browser is shown: the club's own, and one of every form a page can have."""

from __future__ import annotations

import shutil
import tomllib
from typing import TYPE_CHECKING

import pytest

from browser.browser_site import ROOT, Served, serve
from case_copies import GOOD, copy_good
from sitegen.commands.main import main

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

FORMS_SETTINGS = """
title = "Every form"
summary = "Pages of the tests."
url = "https://example.org/cubes/"

[sequences]
four = "R U R' U'"
wide = "3Rw U [{four}: 2R]"

[[courses]]
title = "Written forms"
summary = "Nets and keys."
pages = ["nets.md", "keys.md", "containers.md"]
"""


def forms(folder: Path) -> Path:
    """A content folder of the pages that the tests know to be good."""
    copy_good(folder)
    shutil.copytree(GOOD / "additions", folder, dirs_exist_ok=True)
    (folder / "site.toml").write_text(FORMS_SETTINGS, "utf-8")
    return folder


@pytest.fixture(scope="session", params=["club", "forms"])
def site(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp(request.param)
    content = ROOT / "content" if request.param == "club" else forms(folder / "content")
    out = folder / "out"
    assert main(["build", str(content), "--out", str(out)]) == 0
    settings = tomllib.loads((content / "site.toml").read_text("utf-8"))
    with serve(settings, out) as served:
        yield served

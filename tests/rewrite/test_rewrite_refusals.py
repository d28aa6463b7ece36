"""What is never written, whatever was agreed to; and when the asking ends."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from rewrite.rewriting import Terminal

if TYPE_CHECKING:
    import pytest

    from rewrite.rewriting import Site

ONE = (
    "# P\n\n```moves a\nmoves: R U R' U\ncheck: order 6\n"
    "after:\n  F: GGY\n     GGW\n     GGG\n```\n"
)
TWO = ONE + ONE.replace("# P\n", "").replace("moves a", "moves b")


def test_a_page_that_became_a_link_out_of_the_folder_is_left_alone(
    site: Site, tmp_path_factory: pytest.TempPathFactory
) -> None:
    outside = tmp_path_factory.mktemp("elsewhere") / "outside.md"
    outside.write_text(ONE, "utf-8")
    site.write(ONE)

    def swap() -> None:
        if not site.page.is_symlink():
            site.page.unlink()
            site.page.symlink_to(outside)

    _, said = site.run("check", "--mend", stdin=Terminal("y\n", swap))
    assert "leads out of the content folder" in said
    assert outside.read_text("utf-8") == ONE


def test_a_read_only_page_is_not_replaced(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    site.write(ONE)
    monkeypatch.setattr(os, "access", lambda _path, _mode: False)
    status, _ = site.run("check", "--mend", "--yes")
    assert status == 2
    assert site.page.read_text("utf-8") == ONE


def test_the_end_of_the_input_answers_for_all_that_follows(site: Site) -> None:
    site.write(TWO)
    status, said = site.run("check", "--mend", stdin=Terminal(""))
    assert said.count("(y/n)") == 1
    assert "nobody can be asked" not in said
    assert status == 1
    assert site.page.read_text("utf-8") == TWO

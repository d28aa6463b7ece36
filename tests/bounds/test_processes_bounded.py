"""Processes that share work: as many as it is worth, gone with its last result, told if killed."""

from __future__ import annotations

import os
import signal
from itertools import islice
from multiprocessing import active_children
from typing import TYPE_CHECKING

import pytest

from sitegen.commands.main import CANNOT_RUN, main
from sitegen.parallel import FEWEST, shared
from sitegen.set_page import set_page

if TYPE_CHECKING:
    from pathlib import Path

    from sitegen.made import Made
    from sitegen.pages.formats.parts import Parts
    from sitegen.pages.glossary import Terms
    from sitegen.set_page import SetPage


def test_none_is_left_once_the_last_result_is_taken() -> None:
    count = 3 * FEWEST + 1
    squares = shared(lambda number: number**2, range(count), 2)
    taken = [*islice(squares, count)]
    assert taken == [number**2 for number in range(count)]
    assert not active_children()
    assert next(squares, None) is None


def test_none_is_begun_that_would_have_nothing_to_do() -> None:
    squares = shared(lambda number: number**2, range(FEWEST), 5 * FEWEST)
    taken = [*islice(squares, FEWEST // 2)]
    begun = len(active_children())
    assert [*taken, *squares] == [number**2 for number in range(FEWEST)]
    assert begun < FEWEST / 2


@pytest.mark.skipif(not hasattr(os, "sched_getaffinity"), reason="no process is forked elsewhere")
def test_one_that_is_killed_stops_the_build_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    content, own = tmp_path / "content", os.getpid()
    content.mkdir()
    for number in range(FEWEST):
        (content / f"page-{number}.md").write_text("# A page\n", "utf-8")

    def killed(made: Made, file: str, parts: Parts, terms: Terms) -> SetPage:
        if os.getpid() != own:  # the first pages are set before there is another
            os.kill(os.getpid(), signal.SIGKILL)
        return set_page(made, file, parts, terms)

    monkeypatch.setattr("sitegen.kept.work.set_page", killed)
    out = tmp_path / "out"
    assert main(["build", str(content), "--out", str(out), "--workers", "2"]) == CANNOT_RUN
    assert "was killed" in capsys.readouterr().err
    assert not out.exists()

"""When pages are written into and when they are left: questions, refusals, exit status."""

from __future__ import annotations

import io
import json
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rewrite.rewriting import Terminal
from sitegen.commands.main import main
from sitegen.commands.mend import lines_changed
from sitegen.make import make
from sitegen.pages.rewrite import Edit

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from rewrite.rewriting import Site
    from sitegen.made import Made

# R U R' U' has order 6 and its inverse is U R U' R': common practice, no source; the net after it
# is checked by the program, which the tests of the engine hold against other sources
SLIP = """# A page

```moves
moves: R U R' U   // four turns
after:
  F: GGY
     GGW
     GGG
check: order 6
```
"""
MENDED = SLIP.replace("R' U ", "R' U' ")
STALE = MENDED.replace("GGW", "GOW")
OTHER = "\n```moves\nmoves: R\nafter:\n```\n"


def test_a_slip_is_mended_and_then_all_holds(site: Site) -> None:
    site.write(SLIP)
    status, said = site.run("check", "--mend", "--yes")
    assert site.page.read_text("utf-8") == MENDED
    assert status == 0
    assert "    4 - R U R' U   // four turns\n      + R U R' U'   // four turns\n" in said
    assert said.splitlines()[-1] == "1 page, 1 block: everything holds"


@pytest.mark.parametrize(("command", "page"), [(["check", "--mend"], SLIP), (["redraw"], STALE)])
def test_a_page_that_is_not_asked_for_is_left(site: Site, command: list[str], page: str) -> None:
    site.write(page)
    asked = site.page.with_name("asked.md")
    asked.write_text(page, "utf-8")
    name, *rest = command
    assert main([name, str(asked), *rest, "--yes"]) == 0
    assert asked.read_text("utf-8") == MENDED
    assert site.page.read_text("utf-8") == page


@pytest.mark.parametrize(
    ("old", "new", "shown"),
    [
        ("R U R U", "R U R U R U", ["- R U R U", "+ R U R U R U", "         ^^^^"]),
        ("R U U", "R U", ["- R U U", "     ^^", "+ R U"]),
    ],
    ids=["put-in", "taken-out"],
)
def test_what_changes_in_a_line_is_marked(old: str, new: str, shown: list[str]) -> None:
    lines = [line[6:] for line in lines_changed(Edit(5, old, new))]
    assert lines == shown


@pytest.mark.parametrize("command", [("check", "--mend"), ("redraw",)])
@pytest.mark.parametrize(
    ("typed", "written"), [("y\n", True), ("what\nYES\n", True), ("n\n", False), ("", False)]
)
def test_a_person_is_asked(
    site: Site, command: tuple[str, ...], typed: str, *, written: bool
) -> None:
    page = SLIP if command[0] == "check" else STALE
    site.write(page)
    status, said = site.run(*command, stdin=Terminal(typed))
    assert "write this into page.md? (y/n)" in said
    assert (site.page.read_text("utf-8") == MENDED) == written
    assert (site.page.read_text("utf-8") == page) != written
    assert status == (0 if written else 1)


@pytest.mark.parametrize(("command", "page"), [(("check", "--mend"), SLIP), (("redraw",), STALE)])
def test_with_nobody_to_ask_nothing_is_written(
    site: Site, command: tuple[str, ...], page: str
) -> None:
    site.write(page)
    status, said = site.run(*command, stdin=io.StringIO("y\n"))
    assert status == 1
    assert site.page.read_text("utf-8") == page
    assert "nothing is written: nobody can be asked here" in said


@pytest.mark.parametrize(("command", "page"), [(("check", "--mend"), SLIP), (("redraw",), STALE)])
def test_a_page_changed_meanwhile_is_left(site: Site, command: tuple[str, ...], page: str) -> None:
    site.write(page)
    theirs = page + "\nMore.\n"
    terminal = Terminal("y\n", first=lambda: site.write(theirs))
    status, said = site.run(*command, stdin=terminal)
    assert status == 1
    assert site.page.read_text("utf-8") == theirs
    assert "page.md: not written: it was changed since it was read" in said


@pytest.mark.parametrize(("command", "page"), [(("check", "--mend"), SLIP), (("redraw",), STALE)])
def test_a_page_changed_while_it_was_judged_is_left(
    site: Site, command: tuple[str, ...], page: str
) -> None:
    site.write(page)
    theirs = page.replace("# A page", "# Another page")

    def overtaken(root: Path, progress: Callable[[int, int], None]) -> Made:
        made = make(root, progress)
        site.write(theirs)
        return made

    site.patch.setattr("sitegen.commands.judging.make", overtaken)
    _, said = site.run(*command, "--yes")
    assert site.page.read_text("utf-8") == theirs
    assert "page.md: not written: it was changed since it was read" in said


def test_one_block_may_be_agreed_to_and_the_next_not(site: Site) -> None:
    site.write(STALE + OTHER)
    status, _ = site.run("redraw", stdin=Terminal("y\nn\n"))
    assert status == 1
    assert site.page.read_text("utf-8") == MENDED + OTHER


def test_several_suggestions_are_not_chosen_between(site: Site) -> None:
    page = "# A\n\n```moves\ncube: 5\nmoves: [3Rw, U2'] x\ncheck: solved\n```\n"
    site.write(page)
    _, told = site.run("check", "--format", "json")
    assert len(json.loads(told)["problems"][0]["suggest"]) > 1
    status, _ = site.run("check", "--mend", "--yes")
    assert status == 1
    assert site.page.read_text("utf-8") == page


def test_where_the_drawing_is_likelier_wrong_the_moves_are_left(site: Site) -> None:
    # `R'` alone would make it hold, but both claims hold with `R`, and one sticker is wrong
    page = (
        "# A\n\n```moves\nmoves: R\nafter:\n  F: ...\n     .GW\n     ...\n"
        "check:\n  order 4\n  turns 1 OBTM\n```\n"
    )
    site.write(page)
    _, told = site.run("check", "--format", "json")
    assert json.loads(told)["problems"][0]["suggest"] == ["R'"]
    status, said = site.run("check", "--mend", "--yes")
    assert status == 1
    assert site.page.read_text("utf-8") == page
    assert "nothing to mend" in said


def test_a_machine_reads_the_report_alone(site: Site) -> None:
    site.write(SLIP)
    status, told = site.run("check", "--mend", "--yes", "--format", "json")
    assert status == 0
    assert json.loads(told)["problems"] == []


def test_yes_alone_agrees_to_nothing(site: Site) -> None:
    site.write(SLIP)
    assert site.run("check", "--yes")[0] == 2


@pytest.mark.parametrize(
    "failing",
    [
        "check: solved",  # a claim that does not hold
        "to: solved\nfrom: solved",  # another end
        "before: WWW",  # a net that has no shape
        "nothing: here",  # an unknown key
        "after: GGG",  # a key given twice
        "from: #nowhere",
    ],
)
def test_a_block_with_another_failure_is_not_redrawn(site: Site, failing: str) -> None:
    page = f"# A\n\n```moves\nmoves: R\nafter:\n{failing}\n```\n"
    site.write(page)
    status, said = site.run("redraw", "--yes")
    assert status == 1
    assert site.page.read_text("utf-8") == page
    assert "no net to redraw" in said


def test_a_block_that_waits_on_a_failed_one_is_not_redrawn(site: Site) -> None:
    page = (
        "# A\n\n```moves\nmoves: R\ncheck: solved\n```\n\n```moves\nfrom: last\nmoves: U\n```\n\n"
        "```moves\nfrom: last\nmoves: U\nafter:\n```\n"
    )
    site.write(page)
    site.run("redraw", "--yes")
    assert site.page.read_text("utf-8") == page


def test_a_net_with_an_empty_side_and_a_stale_one_is_redrawn_whole(site: Site) -> None:
    site.write("# A page\n\n```moves\nmoves: R\nafter:\n  F:\n  U: WWW\n     WWW\n     WWW\n```\n")
    assert site.run("redraw", "--yes")[0] == 0
    assert "U: WWG\n     WWG\n     WWG\n" in site.page.read_text("utf-8")


def test_a_block_that_waited_on_a_net_is_redrawn_after_it(site: Site) -> None:
    site.write(
        "# A\n\n```moves\nmoves: R\nafter:\n```\n\n```moves\nfrom: last\nmoves: R'\nafter:\n```\n"
    )
    assert site.run("redraw", "--yes")[0] == 0


_TURNS = st.lists(
    st.sampled_from(["R", "U'", "Fw2", "Lw", "2D", "x", "B2", "z'"]), min_size=1, max_size=6
).map(" ".join)
_NETS = st.sampled_from(
    [
        "",
        (
            "  F: G.GW\n     .GG.\n\n     G GGG\n     WWWW\n"
            "  U:\n     WWWW\n     ....\n     WWWW\n     OOOO"
        ),
        "\n" + "  WWWW\n" * 4 + "  OO.O GGGG RR RR BBBB\n" * 4 + "  YYYY\n" * 3 + "  YY.Y",
    ]
)
_AROUND = st.sampled_from([("", ""), ("> ", "> "), ("- ", "  "), ("1. > ", "   > "), ("* ", "\t")])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    moves=_TURNS,
    before=_NETS,
    after=_NETS,
    around=_AROUND,
    end=st.sampled_from(["\n", "\r\n"]),
    marked=st.booleans(),
)
def test_what_is_redrawn_holds_and_else_nothing_changed(
    site: Site,
    *,
    moves: str,
    before: str,
    after: str,
    around: tuple[str, str],
    end: str,
    marked: bool,
) -> None:
    keys = f"cube: 4\nto: solved\nmoves: {moves}  // é\nbefore: {before}\nafter: {after}"
    block = f"```moves\n{keys}\n```"
    first, more = around
    inside = first + block.replace("\n", f"\n{more}")
    page = f"# A\n\nText \t\n\n{inside}\n\nEnd".replace("\n", end).encode()
    page = b"\xef\xbb\xbf" * marked + page
    site.write(page)
    # a page without a word about wrong turns may still be warned of; warnings do not count
    status, said = site.run("redraw", "--yes")
    assert status == 0, said
    written = site.page.read_bytes()
    # with the nets' letters, and the rows of nets that were empty, put aside, both are the same
    assert _bare(written, page) == _bare(page, page)
    rows = written.count(b"\n") - page.count(b"\n")
    assert rows == 12 * [before, after].count("")  # a 4x4's cross has 12 rows
    assert site.run("redraw", "--yes")[1].startswith("no net to redraw")
    assert site.page.read_bytes() == written


def _bare(page: bytes, first: bytes) -> list[bytes]:
    """The lines of a page, colours made alike, without the lines that `first` does not have."""
    colours = bytes.maketrans(b"WGRBOY", b"******")

    def masked(data: bytes) -> list[bytes]:
        lines = data.split(b"\n")
        return [line if b"moves:" in line else line.translate(colours) for line in lines]

    there = set(masked(first))
    return [line for line in masked(page) if line in there]

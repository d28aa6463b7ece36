"""However many blocks and sequences a page has, the turns that are carried out are bounded."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from sitegen.block import replay
from sitegen.block.model import Context
from sitegen.cube import geometry
from sitegen.cube.scheme import DEFAULT
from sitegen.cube.turn import Turn
from sitegen.leaf import MOST_PAGE_TURNS
from sitegen.make import make
from sitegen.notation.setting import MOST_TURNS, Sequences
from sitegen.notation.spell import spell
from sitegen.pages.formats.words import english
from sitegen.pages.named_moves import LONGEST_NAMED, named_sequences

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from sitegen.cube.geometry import Banks
    from sitegen.notation.setting import MoveSetting
    from sitegen.notation.spell import Known, Step
    from sitegen.notation.tree import Node
    from sitegen.problem import Wrong

BLOCKS = {
    "moves": "moves: (R U)49999\ncheck: not solved",
    "from": "from: (R U)49999\nmoves: R\ncheck: order 4",
    "to": "to: (R U)49999\nmoves: R\ncheck: order 4",
    "same as": "moves: R\ncheck: not same as (R U)49999",
}
"""Blocks of as many turns as one may have, or nearly."""


@pytest.mark.parametrize("name", BLOCKS)
def test_the_blocks_of_a_page_together(name: str, tmp_path: Path) -> None:
    told = []
    for size in (5, 10, 20):
        block = f"```moves\ncube: 3\n{BLOCKS[name]}\n```\n"
        (tmp_path / "page.md").write_text("# T\n\n" + block * size, "utf-8")
        made = make(tmp_path, lambda _done, _total: None)
        replayed = [done.block.length for done in made.replays.values()]
        assert MOST_PAGE_TURNS - MOST_TURNS < sum(replayed) <= MOST_PAGE_TURNS
        whole = [problem for problem in made.problems if "the blocks of a page" in problem.message]
        assert {problem.rule for problem in made.problems} <= {"limit"}
        assert len(replayed) + len(whole) == size, "a block is replayed, or told at its first line"
        told.append(len(whole))
    assert told[1] - told[0] == 5
    assert told[2] - told[1] == 10


def test_a_long_repetition_costs_what_is_repeated(monkeypatch: pytest.MonkeyPatch) -> None:
    """On the largest cube a turn is carried through 26 banks."""
    composed = []

    def counted(first: Banks, second: Banks) -> Banks:
        composed.append(first)
        return compose(first, second)

    compose = geometry.compose
    # 999 turns, so that at each doubling all of them begin at another place
    word = [Turn("RUF"[at % 3], 1, at % 32 + 1, at % 3 + 1) for at in range(999)]
    cube = geometry.geometry(33)
    tables = [cube.turn(turn) for turn in word]
    monkeypatch.setattr(geometry, "compose", counted)
    left = geometry.fewer(tables * (MOST_TURNS // len(tables)))
    assert len(composed) + len(left) < MOST_TURNS // 8


def test_a_short_block_below_long_ones_is_judged(tmp_path: Path) -> None:
    long = f"```moves\ncube: 3\n{BLOCKS['moves']}\n```\n"
    short = "```moves last\ncube: 3\nmoves: R\ncheck: solved\n```\n"
    (tmp_path / "page.md").write_text("# T\n\n" + long * 6 + short, "utf-8")
    made = make(tmp_path, lambda _done, _total: None)
    assert "check-failed" in {problem.rule for problem in made.problems if problem.block == "last"}


@pytest.mark.parametrize("kept", [1, 300, replay.MOST_KEPT])
def test_moments_of_moves_whose_positions_are_not_all_kept(
    kept: int, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """`R U` has order 105, so of lines of one turn each, 210 lead back to where they begin."""
    monkeypatch.setattr(replay, "MOST_KEPT", kept)
    lines = "\n".join(["  R", "  U"] * 150)
    others = "\n".join(f"  not after line {at} solved" for at in (1, 2, 7, 104, 209, 211, 299))
    block = f"```moves\nmoves:\n{lines}\ncheck:\n  after line 210 solved\n{others}\n```\n"
    (tmp_path / "page.md").write_text(f"# T\n\n{block}", "utf-8")
    made = make(tmp_path, lambda _done, _total: None)
    assert not made.problems
    (done,) = made.replays.values()
    moments = [done.moment(line).now for line in (*range(300), None)]
    assert moments == [*done.positions()]


def test_named_sequences() -> None:
    """A page may name hundreds; what each does is shown only where it is not too long."""
    most = LONGEST_NAMED // 2
    texts = {"short": f"(R U){most}", "long": f"(R U){most + 1}"}
    context = Context(3, 33, MOST_TURNS, DEFAULT, "", Sequences(texts), "STM")
    short, long = named_sequences(context, english())
    assert dict(short.counts)["STM"] == LONGEST_NAMED
    assert (long.counts, long.svg) == ((), "")
    assert [word.text for word in long.words] == ["(", "R", "U", f"){most + 1}"]


def test_a_sequence_that_fits_on_no_cube_is_not_tried_on_each(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tried = []

    def counted(
        nodes: Sequence[Node], setting: MoveSetting, faults: list[Wrong], known: Known
    ) -> list[Step]:
        tried.append(setting.n)
        return spell(nodes, setting, faults, known)

    monkeypatch.setattr("sitegen.pages.named_moves.spell", counted)
    texts = {"long": f"(R U){LONGEST_NAMED}", "large": "5R", "none": "{long} R"}
    found = named_sequences(
        Context(3, 33, MOST_TURNS, DEFAULT, "", Sequences(texts), "STM"), english()
    )
    assert [one.n for one in found] == [0, 10, 0]
    assert tried == [3, 10, 3]

"""However many pictures the blocks of a page ask for, what is drawn is bounded."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

import pytest

from sitegen.block.show import Still, between, stickers_drawn, views
from sitegen.leaf import MOST_DRAWN
from sitegen.make import make

if TYPE_CHECKING:
    from pathlib import Path

PHRASES = {"": 0, " R": 1, "\n  R\n  U": 2, "\n" + "  R\n" * 8: 8, "\n" + "  R U\n" * 12: 12}
SHOWN = ["before", "after", "steps", "before after", "before steps", "before steps after", "none"]


@pytest.mark.parametrize(("moves", "show"), [*product(PHRASES, SHOWN)])
def test_what_is_counted_is_what_is_drawn(moves: str, show: str, tmp_path: Path) -> None:
    block = f"```moves\ncube: 4\nmoves:{moves}\nshow: {show}\n"
    (tmp_path / "page.md").write_text(f"# T\n\n{block}```\n\n{block}mark: UF, UF2R = a\n```\n")
    plain, ringed = make(tmp_path, lambda _done, _total: None).replays.values()
    pictures = [*views(Still(plain, letters=False)), *between(Still(plain, letters=False))]
    assert stickers_drawn(plain.block) == sum(len(view.picture.colours) for view in pictures)
    # the four stickers of an edge and the two of a wing, six times; and for one word
    assert stickers_drawn(ringed.block) == stickers_drawn(plain.block) + len(pictures) * 6 * (6 + 1)


def test_the_blocks_of_a_page_together(tmp_path: Path) -> None:
    block = "```moves\ncube: 33\nmoves:\n" + "  R\n" * 50 + "show: steps\ncheck: not solved\n```\n"
    fits = MOST_DRAWN // (50 * 6 * 33 * 33)
    (tmp_path / "page.md").write_text("# T\n\n" + block * (fits + 4), "utf-8")
    made = make(tmp_path, lambda _done, _total: None)
    assert [problem.rule for problem in made.problems] == ["limit"] * 4
    blocks = [done.block for done in made.replays.values()]
    assert len(blocks) == fits + 4, "all are judged"
    assert 0 < MOST_DRAWN - sum(map(stickers_drawn, blocks)) < 50 * 6 * 33 * 33
    # a copy for review, or a preview, draws what holds and nothing of the others
    assert [bool([*views(Still(done, letters=False))]) for done in made.replays.values()] == (
        [True] * fits + [False] * 4
    )

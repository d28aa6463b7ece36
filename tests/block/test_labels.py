"""A mark's word stands at the sticker named first: of a whole edge, at one on that side.

Common practice, no source: the letter named first is the side that is meant.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from sitegen.block.show import Still, views
from sitegen.make import make

if TYPE_CHECKING:
    from pathlib import Path

MARKS = "UF = a, FU = b, edge WO = c, edge OW = d, RFU = e"
SIDES = "ULFRBD"
PAGE = f"# T\n\n```moves\ncube: {{n}}\nmoves: y\ncheck: solved\nmark: {MARKS}\n```\n"


@pytest.mark.parametrize("n", [3, 4, 5, 8])
def test_a_word_is_at_the_side_or_the_colour_named_first(n: int, tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text(PAGE.format(n=n), "utf-8")
    (done,) = make(tmp_path, lambda _done, _total: None).replays.values()
    before, after = (view.picture for view in views(Still(done, letters=False)))
    seen = [
        {ring.label: SIDES[ring.at // n**2] for ring in picture.rings}
        for picture in (before, after)
    ]
    # y turns R to F, F to L and L to B: WCA Regulations 12a4
    assert seen == [
        dict(zip("abcde", "UFULR", strict=True)),
        dict(zip("abcde", "ULUBF", strict=True)),
    ]

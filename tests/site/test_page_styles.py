"""What authors write sets no style in a page: its policy would stop that, and say so (CSP 3)."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from sitegen.commands.main import main

if TYPE_CHECKING:
    from pathlib import Path

TABLE = """# Columns

| a | b | c | d |
|---|:--|:-:|--:|
| 1 | 2 | 3 | 4 |
"""


def test_the_columns_of_a_table_are_set_by_classes(tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text(TABLE, "utf-8")
    out = tmp_path.parent / f"{tmp_path.name}-out"
    assert main(["build", str(tmp_path), "--out", str(out)]) == 0
    text = (out / "page.html").read_text("utf-8")
    assert not re.search(r"\sstyle=", text)
    cells = re.findall(r'<t[hd](?: class="(.*?)")?>', text)
    assert cells == ["", "to-left", "to-centre", "to-right"] * 2
    styles = "".join(path.read_text("utf-8") for path in (out / "theme").glob("layout.*.css"))
    for name, side in (("to-left", "left"), ("to-centre", "center"), ("to-right", "right")):
        assert re.search(rf"\.{name} {{\s*text-align: {side};", styles)

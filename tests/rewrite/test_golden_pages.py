"""Golden pages: `NAME.before.md` in, `NAME.after.md` and what was said, `NAME.said.txt`, out.

The nets in the `after` pages were written by the engine and read by a person; what they rest on
beside that is that `check` holds them against the moves, and that the engine's own tests hold it
against other sources.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from rewrite.rewriting import Site

GOLDEN = Path(__file__).parent / "golden"
COMMANDS = {"redraw": ["redraw", "--yes"], "mend": ["check", "--mend", "--yes"]}


@pytest.mark.parametrize("way", ["lines", "crlf", "mark"])
@pytest.mark.parametrize(
    "name", sorted(path.name.split(".")[0] for path in GOLDEN.glob("*.said.txt"))
)
def test_a_page_is_written_into(site: Site, name: str, way: str) -> None:
    def worn(text: bytes) -> bytes:
        if way == "crlf":
            return text.replace(b"\n", b"\r\n")
        return b"\xef\xbb\xbf" + text if way == "mark" else text

    site.write(worn((GOLDEN / f"{name}.before.md").read_bytes()))
    _, said = site.run(*COMMANDS[name.split("-", maxsplit=1)[0]])
    assert site.page.read_bytes() == worn((GOLDEN / f"{name}.after.md").read_bytes())
    assert said == (GOLDEN / f"{name}.said.txt").read_text("utf-8")

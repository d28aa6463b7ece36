"""The feed is XML, whatever authors write: judged by libxml2's reader."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lxml import etree

from sitegen.commands.main import main

if TYPE_CHECKING:
    from pathlib import Path

ATOM = "{http://www.w3.org/2005/Atom}"


def test_what_xml_cannot_hold_is_shown_as_unknown(tmp_path: Path) -> None:
    """XML 1.0, production 2: no control characters, nor U+FFFE, not even escaped."""
    content, out = tmp_path / "content", tmp_path / "out"
    content.mkdir()
    settings = 'url = "https://example.org"\ntitle = "a & b"\n'
    (content / "site.toml").write_text(settings, "utf-8")
    front = 'date: 2026-01-02\nsummary: "x <y>"\ntags: "t"'
    (content / "page.md").write_text(f"---\n{front}\n---\n\n# A \x04 page \ufffe\n", "utf-8")
    assert main(["build", str(content), "--out", str(out)]) == 0
    feed = etree.parse(out / "feed.xml").getroot()
    assert feed.findtext(f"{ATOM}title") == "a & b"
    entry = feed.find(f"{ATOM}entry")
    assert entry is not None
    assert entry.findtext(f"{ATOM}title") == "A \ufffd page \ufffd"
    assert entry.findtext(f"{ATOM}summary") == "x <y>"
    assert [one.get("term") for one in entry.findall(f"{ATOM}category")] == ["t"]

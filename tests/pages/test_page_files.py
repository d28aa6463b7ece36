"""What no repository keeps as it is: line ends, marks, bytes, links, and what is far too long."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest
from lxml import html

from sitegen.commands.main import main
from sitegen.pages.folder import LONGEST_SETTINGS
from sitegen.pages.sequences import MOST_SEQUENCES

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    Check = Callable[[], tuple[int, dict[str, Any]]]

PAGE = """---
title: Four turns
sequences:
  turn-about: R U R' U'
---

> ```moves four-turns
> moves: {turn-about}
> after:
>   F: GGY
>      GGW
>      GGG
> check:
>   order 6
> ```

Hold `R` up.
"""
LONG = 100_000
"""Characters of a line that no reading may choke on."""


@pytest.fixture
def content(tmp_path: Path) -> Path:
    folder = tmp_path / "content"
    folder.mkdir()
    return folder


@pytest.fixture
def check(content: Path, capsys: pytest.CaptureFixture[str]) -> Check:
    def run() -> tuple[int, dict[str, Any]]:
        status = main(["check", str(content), "--format", "json"])
        return status, json.loads(capsys.readouterr().out)

    return run


def places(found: dict[str, Any]) -> list[tuple[str, int, int, str]]:
    return [(p["file"], p["line"], p["column"], p["rule"]) for p in found["problems"]]


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["no-mark", "byte-order-mark"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"], ids=["LF", "CRLF", "CR"])
@pytest.mark.parametrize("last", [True, False], ids=["ended", "last-line-not-ended"])
def test_line_ends_and_a_byte_order_mark_change_nothing(
    content: Path, check: Check, mark: bytes, end: bytes, *, last: bool
) -> None:
    text = PAGE if last else PAGE.rstrip("\n")
    (content / "good.md").write_bytes(mark + text.encode().replace(b"\n", end))
    wrong = text.replace("GGW", "GWG")
    (content / "wrong.md").write_bytes(mark + wrong.encode().replace(b"\n", end))
    status, found = check()
    assert status == 1
    assert places(found) == [("wrong.md", 11, 8, "after-mismatch")]
    assert found["blocks"] == 2


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["no-mark", "byte-order-mark"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"], ids=["LF", "CRLF"])
def test_settings_too(content: Path, check: Check, mark: bytes, end: bytes) -> None:
    (content / "page.md").write_bytes(b"# Page\n")
    (content / "site.toml").write_bytes(mark + b"language = 1" + end + b"cube = 40" + end)
    assert places(check()[1]) == [("site.toml", 2, 1, "settings")]


@pytest.mark.parametrize(
    ("data", "place"),
    [
        pytest.param("# Caf\u00e9 \u00fc\n".encode("latin-1"), (1, 6), id="latin-1"),
        pytest.param("# \u00fc".encode() + b"\n\nA \xc3", (3, 3), id="cut-off"),
        pytest.param("# Page\n".encode("utf-16"), (1, 1), id="utf-16"),
        pytest.param(b"# Page\r\n\r\nA surrogate \xed\xa0\x80\r\n", (3, 13), id="surrogate"),
    ],
)
def test_what_is_not_utf8_is_named(
    content: Path, check: Check, data: bytes, place: tuple[int, int]
) -> None:
    (content / "page.md").write_bytes(data)
    status, found = check()
    assert status == 1
    assert places(found) == [("page.md", *place, "file")]
    assert "UTF-8" in found["problems"][0]["message"]


def test_who_leans_on_a_page_that_cannot_be_read_waits(content: Path, check: Check) -> None:
    block = "```moves\nfrom: {}\nmoves: R\ncheck: order 5\n```\n"
    leaning = "".join(map(block.format, ("page.md#x", "last", "page.md#nowhere", "solved")))
    (content / "leans.md").write_text(f"# Leans\n\n{leaning}\nSee `page.md#x turns`.\n", "utf-8")
    (content / "page.md").write_bytes(b"# Caf\xe9\n\n```moves x\nmoves: R\ncheck: order 4\n```\n")
    status, found = check()
    assert status == 1
    assert places(found) == [("leans.md", 21, 8, "check-failed"), ("page.md", 1, 6, "file")]
    assert [problem["waiting"] for problem in found["problems"]] == [0, 3]


def test_settings_that_are_not_utf8_are_named(content: Path, check: Check) -> None:
    """Pages are not blamed for what these may say, and are for what they do not."""
    (content / "page.md").write_text("# Page\n\n```moves\nmoves: r U\ncheck: order 105\n```\n")
    settings = content / "site.toml"
    settings.write_bytes(b'\nlanguage = 1\nlowercase = "wide"\ntitle = "Caf\xe9"\n')
    status, found = check()
    assert status == 1
    assert [place[:2] + place[3:] for place in places(found)] == [("site.toml", 4, "settings")]
    settings.write_bytes(b'\nlanguage = 1\ntitle = "Caf\xe9"\n')
    _, found = check()
    assert [place[3] for place in places(found)] == ["lowercase", "settings"]


def test_settings_are_not_read_in_part(content: Path, check: Check) -> None:
    (content / "page.md").write_text("# Page\n")
    (content / "site.toml").write_bytes(b"language = 1\n".ljust(LONGEST_SETTINGS, b"#"))
    assert places(check()[1]) == []
    (content / "site.toml").write_bytes(b"language = 1\n".ljust(LONGEST_SETTINGS + 1, b"#"))
    assert places(check()[1]) == [("site.toml", 1, 1, "limit")]


def test_an_empty_content_folder(content: Path, check: Check) -> None:
    assert not list(content.iterdir())
    status, found = check()
    assert status == 1
    assert (found["pages"], found["blocks"]) == (0, 0)
    assert [problem["rule"] for problem in found["problems"]] == ["file"]


@pytest.mark.parametrize("text", ["", "\n\n", "---\n---\n", "\ufeff"])
def test_an_empty_page_has_no_title(content: Path, check: Check, text: str) -> None:
    (content / "page.md").write_text(text, "utf-8")
    assert places(check()[1]) == [("page.md", 1, 1, "front-matter")]


def link_to_a_page_outside(content: Path) -> None:
    (content.parent / "secret.md").write_text("# Secret\n")
    (content / "away.md").symlink_to("../secret.md")


def link_to_a_folder_outside(content: Path) -> None:
    (content.parent / "secret").mkdir()
    (content.parent / "secret" / "page.md").write_text("# Secret\n")
    (content / "away").symlink_to(content.parent / "secret")


def link_to_a_picture_outside(content: Path) -> None:
    (content.parent / "secret.png").write_bytes(b"secret")
    (content / "away.png").symlink_to(content.parent / "secret.png")


def link_in_a_circle(content: Path) -> None:
    (content / "away.md").symlink_to("away.md")


def link_to_nothing(content: Path) -> None:
    (content / "away.md").symlink_to("nothing.md")


@pytest.mark.parametrize(
    "lead",
    [
        link_to_a_page_outside,
        link_to_a_folder_outside,
        link_to_a_picture_outside,
        link_in_a_circle,
        link_to_nothing,
    ],
)
def test_a_link_that_leads_away_is_refused_and_not_read(
    content: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str], lead: Callable[[Path], None]
) -> None:
    (content / "page.md").write_text("# Page\n")
    lead(content)
    out = tmp_path / "out"
    assert main(["build", str(content), "--out", str(out), "--format", "json"]) == 1
    found = json.loads(capfd.readouterr().out)
    assert [(p["file"].startswith("away"), p["rule"]) for p in found["problems"]] == [
        (True, "file")
    ]
    assert not out.exists()


def test_a_link_within_the_folder_is_a_page(content: Path, check: Check) -> None:
    (content / "page.md").write_text("# Page\n")
    (content / "same.md").symlink_to("page.md")
    status, found = check()
    assert (status, found["pages"]) == (0, 2)


@pytest.mark.parametrize("name", ["new\nline.md", "bell\a.md"])
def test_a_name_that_no_terminal_can_show(content: Path, check: Check, name: str) -> None:
    (content / "page.md").write_text("# Page\n")
    (content / name).write_text("# Page\n")
    status, found = check()
    assert status == 1
    assert [problem["rule"] for problem in found["problems"]] == ["file"]


CHAIN = "".join(f"  a{i}: '{{a{i + 1}}}9'\n" for i in range(2000))


def fill(piece: str) -> str:
    return (piece * (LONG // len(piece) + 1))[:LONG]


LINES = {
    "letters": fill("a"),
    "words": fill("word "),
    "turns": f"```moves\nmoves: {fill('R U ')}\n```",
    "turns-together": f"```moves\nmoves: {fill('R')}\n```",
    "digits": f"```moves\nmoves: {fill('9')}R\n```",
    "primes": f"```moves\nmoves: R{fill(chr(39))}\n```",
    "round": f"```moves\nmoves: {fill('(')}\n```",
    "closing": f"```moves\nmoves: {fill(')')}\n```",
    "square": f"```moves\nmoves: {fill('[R,')}\n```",
    "nested": f"```moves\nmoves: {'(' * (LONG // 2)}R{')' * (LONG // 2)}\n```",
    "curly": f"```moves\nmoves: {fill('{')}\n```",
    "names": f"```moves\nmoves: {fill('{a} ')}\n```",
    "strokes": f"```moves\nmoves: {fill('/ ')}\n```",
    "comment": f"```moves\nmoves: R // {fill('caption ')}\ncheck: order 4\n```",
    "net": f"```moves\nmoves: R\nafter:\n  F: {fill('G')}\n```",
    "position": f"```moves\nfrom: {fill('W ')}\n```",
    "claim": f"```moves\nmoves: R\ncheck: {fill('solved ')}\n```",
    "prefixes": f"```moves\nmoves: R\ncheck: {fill('not ')}solved\n```",
    "places": f"```moves\nmoves: R\ncheck: kept {fill('UF ')}\n```",
    "classes": f"```moves\nmoves: R\ncheck: kept {fill('corners ')}\n```",
    "cycle": f"```moves\nmoves: R\ncheck: cycles ({fill('UF ')})\n```",
    "number": f"```moves\nmoves: R\ncheck: turns {fill('9')}\n```",
    "mark": f"```moves\nmoves: R\nmark: {fill('UF,')}\n```",
    "show": f"```moves\nmoves: R\nshow: {fill('x ')}\n```",
    "cube": f"```moves\ncube: {fill('9')}\n```",
    "key": f"```moves\n{fill('a')}: b\n```",
    "spaces": f"```moves\n{fill(' ')}\n```",
    "id": f"```moves {fill('a')}\nmoves: R\ncheck: order 4\n```",
    "info": f"```moves {fill('a ')}\n```",
    "marks": f"Marks {fill(chr(96))}",
    "code-spans": fill("`R` "),
    "one-code-span": f"`{fill('R U ')}`",
    "code-brackets": f"`{fill('(')}`",
    "facts": fill("`#a turns` "),
    "stars": fill("*a "),
    "brackets": fill("["),
    "links": fill("[a](b.md) "),
    "spaced-links": f"[a](b {fill('c.md#')}",
    "quotes": fill("> "),
    "heading": f"## {fill('word ')}",
    "table": f"|{fill('a|')}\n|{fill('-|')}\n",
    "references": fill("[a]: b\n"),
}
"""Pages that hold such a line, by what it is made of."""


@pytest.mark.parametrize("kind", LINES)
def test_a_line_of_100_000_characters(
    content: Path, capsys: pytest.CaptureFixture[str], kind: str
) -> None:
    page = f"---\ntitle: Long\nsequences:\n  a: R\n---\n\n{LINES[kind]}\n\nThe `R''` at the end.\n"
    (content / "page.md").write_text(page, "utf-8")
    status = main(["check", str(content)])
    text = capsys.readouterr().out
    assert max(map(len, text.split("\n"))) < 2 * LONG
    assert "`R''`" in text, "it is read on to the end"
    assert status == (": error: " in text)


@pytest.mark.parametrize(
    "front",
    [
        pytest.param(f"title: {fill('[')}", id="brackets"),
        pytest.param(f"title: {fill('a')}", id="letters"),
        pytest.param(f"title: {fill('*a ')}", id="aliases"),
        pytest.param("a: &a [x]\n" + "b: [*a, *a]\n" * 20, id="anchors"),
        pytest.param(f"sequences:\n{CHAIN}", id="chain"),
        pytest.param(f"cube: {fill('9')}", id="digits"),
    ],
)
def test_first_lines_that_are_too_much_are_refused_in_words(
    content: Path, check: Check, front: str
) -> None:
    (content / "page.md").write_text(f"---\n{front}\n---\n\n# Page\n", "utf-8")
    status, found = check()
    assert status == 1
    assert {problem["rule"] for problem in found["problems"]} <= {
        "front-matter",
        "limit",
        "notation",
    }


def test_more_sequences_than_a_page_may_name_are_told_once(content: Path, check: Check) -> None:
    named = "".join(f"  s{number}: R\n" for number in range(MOST_SEQUENCES + 3))
    (content / "page.md").write_text(f"---\nsequences:\n{named}---\n\n# Page\n", "utf-8")
    assert places(check()[1]) == [("page.md", MOST_SEQUENCES + 3, 3, "limit")]


@pytest.mark.parametrize(
    ("text", "listed"),
    [
        ("---\ntitle: Edges\n---\n\n## First\n\n## Second\n", ["first", "second"]),
        ("# Edges\n\n## First\n\n## Second\n", ["first", "second"]),
        ("---\ntitle: Edges\n---\n\n# Edges\n\n## First\n", ["first"]),
        ("---\ntitle: Edges\n---\n\n# Edges, one by one\n\n## First\n", ["first"]),
        ("To begin with.\n\n## First\n\n## Second\n", ["first", "second"]),
    ],
)
def test_every_heading_below_the_title_is_in_the_list_of_headings(
    content: Path, tmp_path: Path, text: str, listed: list[str]
) -> None:
    (content / "page.md").write_text(text, "utf-8")
    assert main(["build", str(content), "--out", str(tmp_path / "out")]) == 0
    page = html.parse(tmp_path / "out" / "page.html").getroot()
    found = page.xpath("//ul[@class='headings']/li/a/@href")
    assert found == [f"#{one}" for one in listed]
    assert len(page.xpath("//h1")) == 1

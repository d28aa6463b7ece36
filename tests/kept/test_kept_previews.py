"""A preview that has lived through random edits: it tells, and serves, what a new one does.

The judge is the program itself, begun anew. Where something does not hold the old one goes on
showing pages as they last held, which the new one never saw; so what is served is compared where
all holds.
"""

from __future__ import annotations

import random
from contextlib import suppress
from typing import TYPE_CHECKING

import pytest

from kept.kept_site import CIRCLES, SITE, begin, edit
from sitegen.make import make
from sitegen.preview.builder import Builder, Built
from sitegen.preview.edition import Copied, Later

if TYPE_CHECKING:
    from pathlib import Path

    from sitegen.preview.edition import Served
    from sitegen.preview.panel import Panel

STEPS = 12


def told(built: Built) -> object:
    """What is wrong, and what is shown of that at each address that both have."""
    problems = [
        (p.file, p.line, p.column, p.severity, p.message, p.waiting) for p in built.state.problems
    ]
    return problems, built.state.waiting


def panels(built: Built) -> dict[str, Panel]:
    return {address: one.panel for address, one in built.edition.items.items() if one.panel}


def _bytes(content: Served) -> bytes:
    if isinstance(content, Later):
        return content.make()
    return content.path.read_bytes() if isinstance(content, Copied) else content


def served(built: Built) -> dict[str, bytes]:
    own = {address: _bytes(one.content) for address, one in built.edition.items.items()}
    return {**built.edition.rest.files, **own}


@pytest.mark.parametrize("first", [SITE, CIRCLES], ids=lambda path: path.name)
@pytest.mark.parametrize("seed", range(3))
def test_a_preview_that_lived_on_is_as_a_new_one(first: Path, seed: int, tmp_path: Path) -> None:
    chance = random.Random(seed)
    site = begin(first, tmp_path / "site")
    living = Builder(site / "content", redraw=False)
    done = []
    for _ in range(STEPS):
        for _ in range(chance.choice([1, 1, 1, 2, 4])):
            with suppress(FileNotFoundError):  # nothing is kept on disk that could be lost
                done.append(edit(chance, site, mend=chance.random() < 0.15))
        old = living.build(frozenset())
        new = Builder(site / "content", redraw=False).build(frozenset())
        assert told(old) == told(new), done
        for address in panels(old).keys() & panels(new).keys():
            here, there = panels(old)[address], panels(new)[address]
            assert (here.told, here.count) == (there.told, there.count), done
        if new.state.holds:
            assert panels(old) == panels(new), done
            assert served(old) == served(new), done


FAILS = "# One\n\n```moves base\nmoves: R\ncheck: turns 2\n```\n"
LEANS = "# Leans\n\n```moves\nfrom: one.md#base\nmoves: U\ncheck: turns 1\n```\n"
CIRCLE = "".join(
    f"```moves{name}\nfrom: {start}\nmoves: U\ncheck: turns 1\n```\n\n"
    for name, start in {" first": "two.md#x", "": "last", " base": "last"}.items()
)
READ = "---\ntitle: One\n{}: {}\n---\n\n```moves base\nmoves: {}\ncheck: not solved\n```\n"
UNDONE = LEANS.replace("moves: U\ncheck: turns 1", "moves: Rw'\ncheck: solved")

CHANGES: dict[str, tuple[dict[str, str], dict[str, str]]] = {
    "what is leant on comes": ({"two.md": LEANS}, {"one.md": FAILS.replace("2", "1")}),
    "one more waits": ({"one.md": FAILS, "two.md": LEANS}, {"three.md": LEANS}),
    "one waits no more": ({"one.md": FAILS, "two.md": LEANS}, {"two.md": "# Leans no more\n"}),
    "what is waited for moves down": (
        {"one.md": FAILS, "two.md": LEANS},
        {"one.md": FAILS.replace("# One", "# One\n\nMore")},
    ),
    "a circle moves down": (
        {"one.md": "# One\n\n" + CIRCLE, "two.md": LEANS.replace("moves\n", "moves x\n", 1)},
        {"one.md": "# One\n\nMore\n\n" + CIRCLE},
    ),
    "its first line goes wrong": (
        {"one.md": FAILS.replace("2", "1"), "two.md": LEANS},
        {"one.md": FAILS.replace("2", "1").replace("base", "base more")},
    ),
    "the cube that it is read with": (
        {"one.md": READ.format("cube", 3, "Rw"), "two.md": UNDONE},
        {"one.md": READ.format("cube", 4, "Rw")},
    ),
    "its small letters": (
        {"one.md": READ.format("lowercase", "wide", "r"), "two.md": UNDONE},
        {"one.md": READ.format("lowercase", "slice", "r")},
    ),
    "its moves": (
        {"one.md": READ.format("lang", "en", "Rw"), "two.md": UNDONE},
        {"one.md": READ.format("lang", "en", "R")},
    ),
    "a sequence in it": (
        {"one.md": READ.format("sequences", "{a: Rw}", "{a}"), "two.md": UNDONE},
        {"one.md": READ.format("sequences", "{a: R}", "{a}")},
    ),
    "one that waited is gone": ({"one.md": FAILS, "two.md": LEANS}, {"two.md": ""}),
    "what is linked to is called otherwise now": (
        {"one.md": "# One\n\n[x](old.md)\n", "two.md": "# Two\n"},
        {"two.md": "---\nformerly: old.md\n---\n# Two\n"},
    ),
    "what is leant on is called otherwise now": (
        {"one.md": FAILS, "two.md": f"{LEANS}\n`one.md#base turns`\n"},
        {"one.md": "", "four.md": "---\nformerly: one.md\n---\n# Four\n"},
    ),
    "a page comes that may have been meant": (
        {"two.md": LEANS.replace("one.md", "lessom.md")},
        {"lesson.md": FAILS},
    ),
    "a page goes that may have been meant": (
        {"two.md": LEANS.replace("one.md", "lessom.md"), "lesson.md": FAILS},
        {"lesson.md": ""},
    ),
    "another page says that it was called so": (
        {"two.md": LEANS, "three.md": "---\nformerly: one.md\n---\n# Three\n"},
        {"three.md": "# Three\n", "four.md": "---\nformerly: one.html\n---\n# Four\n"},
    ),
    "no page says so any more": (
        {"two.md": LEANS, "three.md": "---\nformerly: one.md\n---\n# Three\n"},
        {"three.md": ""},
    ),
    "what is leant on can be read no more": (
        {"one.md": FAILS, "two.md": LEANS, "three.md": LEANS},
        {"one.md": "\xff"},
    ),
    "what is leant on can be read": ({"one.md": "\xff", "two.md": LEANS}, {"one.md": FAILS}),
    "what is leant on comes, unreadable": ({"two.md": LEANS}, {"one.md": "\xff"}),
    "what cannot be read of it moves down": (
        {"one.md": "\xff", "two.md": LEANS, "three.md": LEANS},
        {"one.md": "# One\n\n\xff"},
    ),
    "what is linked to comes, unreadable": (
        {"one.md": "# One\n\n[x](two.md)\n"},
        {"two.md": "\xff"},
    ),
}
"""What stands in a folder, and what is written into it then; "" is a page that goes."""


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_is_told_as_if_it_had_always_been(name: str, tmp_path: Path) -> None:
    before, after = CHANGES[name]
    tellings = []
    living = Builder(tmp_path, redraw=False)
    for texts in (before, after):
        for file, text in texts.items():
            (tmp_path / file).write_text(text, "latin-1")
            if not text:
                (tmp_path / file).unlink()
        old, new = living.build(frozenset()), Builder(tmp_path, redraw=False).build(frozenset())
        assert told(old) == told(new)
        # what it last held is shown of a page by one that saw it hold alone
        states = [{address: one.state for address, one in panels(b).items()} for b in (old, new)]
        # a list of failures is there where a page never held
        held = [{a for a, state in one.items() if state == "fresh"} for one in states]
        assert held[0] - {"failures.html"} == held[1] - {"failures.html"}
        for address, _ in states[0].items() & states[1].items():
            assert served(old)[address] == served(new)[address]
        tellings.append((told(new), served(new)))
    assert tellings[0] != tellings[1]


def test_what_hangs_on_the_settings_alone_waits_however_it_is_judged(tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text('cube = "five"\n')
    (tmp_path / "one.md").write_text("# One\n\n```moves\nmoves: R\ncheck: turns 1\n```\n")
    whole = make(tmp_path, lambda _done, _total: None)
    piecewise = Builder(tmp_path, redraw=False).build(frozenset()).state
    assert [[p.waiting for p in one.problems] for one in (whole, piecewise)] == [[1], [1]]


def test_a_top_that_is_mended_reaches_who_leans_on_its_page(tmp_path: Path) -> None:
    """Also where its cube is found to be the one that was taken for it."""
    block = "```moves base\nfrom: {}\nmoves: R U\ncheck: turns {}\n```\n"
    page, leaning = tmp_path / "one.md", tmp_path / "two.md"
    page.write_text("---\ntitle: One\ncube: five\n---\n" + block.format("solved", 2))
    leaning.write_text("# Two\n\n" + block.format("one.md#base", 3))
    living = Builder(tmp_path, redraw=False)
    amiss = living.build(frozenset()).state
    assert [(p.rule, p.waiting) for p in amiss.problems] == [("front-matter", 2)]
    assert amiss.waiting == {("one.md", 0): (("one.md", -3),), ("two.md", 0): (("one.md", -3),)}
    page.write_text(page.read_text().replace("five", "3"))
    mended = living.build(frozenset()).state
    assert [(p.file, p.rule) for p in mended.problems] == [("two.md", "check-failed")]
    page.write_text(page.read_text().replace("cube: 3", "cube: [3"))
    assert told(living.build(frozenset())) == told(
        Builder(tmp_path, redraw=False).build(frozenset())
    )

"""The reference pages say what the program does, and the club's own pages use all of it.

Nothing here is a value: what is held together are the pages and the program's tables. That the
tables themselves are right is for the other tests.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest

from reference.message import message, picture
from reference.tables import CONTENT, PICTURE, TABLES, tables_in, with_tables
from sitegen.block.claims.table import CLAIMS, PREFIXES
from sitegen.block.facts import FACTS
from sitegen.block.fence import read_fence
from sitegen.block.keys import FOLDS, KEYS, SHOWN
from sitegen.cube.classes import CLASSES
from sitegen.cube.possible import REASONS
from sitegen.make import make
from sitegen.notation.count import METRICS
from sitegen.pages.formats.theme import DEFAULT_THEME
from sitegen.pages.front import FRONT_KEYS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from sitegen.made import Made

PAGES = sorted(CONTENT.rglob("*.md"))
HOLDERS = [path for path in PAGES if tables_in(path.read_text("utf-8"))]
FORMS = [form.shape for row in CLAIMS for form in row.forms]

NUMBER = r"\d+"
STANDS_FOR = {
    "NUMBER": NUMBER,
    "METRIC": "|".join(METRICS),
    "EDGES": r"[UDLRFB]{2}( .*)?|edge .*",
    "...": r"\S.*",
}
"""What the words in capitals may be, where that is not just any text."""


@cache
def made() -> Made:
    """The club's content, read and judged once for all tests here."""
    return make(CONTENT, lambda _done, _total: None)


@cache
def values(key: str) -> tuple[str, ...]:
    """The values that a key has in all blocks of all pages."""
    found = []
    for page in made().pages.values():
        for block in page.blocks:
            text = block.body.text
            entries = read_fence(block.body, [])
            found += [text[e.value_start : e.value_end] for e in entries if e.key == key]
    return tuple(found)


def words(key: str) -> set[str]:
    return {word for value in values(key) for word in value.split()}


def claims() -> Iterator[str]:
    """Every line of every `check`."""
    return (line.strip() for value in values("check") for line in value.split("\n"))


def bare(claim: str) -> str:
    """A claim without what may stand before it."""
    return re.sub(r"^((not|at first|after line \d+)\s+)*", "", claim)


def like(shape: str) -> re.Pattern[str]:
    """What a line of a form looks like: words in capitals stand for something else."""
    parts = re.split(r"([A-Z]{4,}|\.\.\.)", shape)
    parts[::2] = [re.escape(part) for part in parts[::2]]
    parts[1::2] = [f"({STANDS_FOR.get(part, '.+')})" for part in parts[1::2]]
    return re.compile("".join(parts))


def test_the_club_s_pages_hold_without_a_warning() -> None:
    problems = [f"{p.file}:{p.line}:{p.column}: {p.message} ({p.rule})" for p in made().problems]
    assert made().blocks
    assert problems == []


@pytest.mark.parametrize("path", HOLDERS, ids=lambda path: path.stem)
def test_a_page_s_tables_are_the_program_s(path: Path) -> None:
    text = path.read_text("utf-8")
    assert text == with_tables(text), (
        f"{path.name} tells something else than the program's tables; if the program is right, "
        "run `PYTHONPATH=.:tests python -m reference.tables` and read the difference"
    )


def test_the_picture_of_a_message_is_the_program_s() -> None:
    assert PICTURE.read_text("utf-8") == picture(), (
        f"{PICTURE.name} shows something else than the program says; if the program is right, "
        "run `PYTHONPATH=.:tests python -m reference.tables` and look at the picture"
    )


def test_the_picture_is_well_formed_and_all_of_it_is_text() -> None:
    # read by the standard library's XML parser, which knows nothing of how it was written
    drawn = ET.parse(PICTURE)  # noqa: S314 - our own file
    rows = ["".join(row.itertext()) for row in drawn.iter("{http://www.w3.org/2000/svg}text")]
    assert rows == message(colour=False)
    assert any(set(row.split("|")[-1].split()) == {"^^^"} for row in rows)


def test_every_table_stands_in_a_page() -> None:
    told = {name for path in HOLDERS for name in tables_in(path.read_text("utf-8"))}
    assert told == {*TABLES}


def test_every_template_is_among_those_that_can_be_replaced() -> None:
    text = (CONTENT / "writing" / "themes.md").read_text("utf-8")
    rows = "\n".join(row for row in text.split("\n") if row.startswith("| `text: "))
    named = set(re.findall(r"`text: (\w+\.html)`", rows))
    assert named == {path.name for path in DEFAULT_THEME.glob("*.html")}


@pytest.mark.parametrize("key", KEYS)
def test_every_key_is_used(key: str) -> None:
    assert values(key)


@pytest.mark.parametrize("shape", FORMS)
def test_every_form_of_claim_is_used(shape: str) -> None:
    form = like(shape)
    assert any(form.fullmatch(bare(claim)) for claim in claims())


@pytest.mark.parametrize("shape", [form.shape for form in PREFIXES])
def test_every_prefix_is_used(shape: str) -> None:
    form = like(shape)
    assert any(form.fullmatch(claim) for claim in claims())


@pytest.mark.parametrize("word", SHOWN)
def test_every_word_of_show_is_used(word: str) -> None:
    assert word in words("show")


@pytest.mark.parametrize("word", FOLDS)
def test_every_word_of_fold_is_used(word: str) -> None:
    assert word in words("fold")


@pytest.mark.parametrize("reason", REASONS)
def test_every_reason_is_used(reason: str) -> None:
    assert reason in words("impossible")


@pytest.mark.parametrize("name", CLASSES)
def test_every_class_is_used(name: str) -> None:
    assert name in words("focus") | words("check")


@pytest.mark.parametrize("name", FACTS)
def test_every_fact_is_asked(name: str) -> None:
    asked = {said.asked.words[0] for page in made().said.values() for said in page if said.asked}
    assert name in asked


@pytest.mark.parametrize("key", FRONT_KEYS)
def test_every_key_of_the_front_matter_is_used(key: str) -> None:
    fronts = [page.read_text("utf-8").split("\n---\n")[0] for page in PAGES]
    assert any(re.search(rf"^{key}:", front, re.MULTILINE) for front in fronts)


@pytest.mark.parametrize(
    "form",
    [
        r"solved",
        r"last",
        r"#[\w-]+",
        r"#[\w-]+ start",
        r"\S+\.md#[\w-]+",
        r"\S+\.md#[\w-]+ start",
        r"U:[\s\S]*D:[\s\S]*",
        r"[WOGRBY\s]+",
        r"[^#:]*[UDLRFB][w'2]?[^#:]*",
    ],
)
def test_every_form_of_a_position_is_used(form: str) -> None:
    assert any(re.fullmatch(form, value.strip()) for value in (*values("from"), *values("to")))

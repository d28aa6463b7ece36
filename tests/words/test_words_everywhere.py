"""Nothing that a site says to its readers stands anywhere but in the theme's table of words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from words.wording import NUMBERED, TABLE, in_latin, met, said

if TYPE_CHECKING:
    from pathlib import Path

BY_A_PREVIEW: Final = {"page.draft"}
"""What is said only where pages are shown before they are published."""


def test_nothing_is_said_in_other_words_than_the_tables(sites: list[Path]) -> None:
    found = {(place, text) for out in sites for place, text in said(out) if in_latin(text)}
    assert not found


def test_lists_are_joined_as_the_table_says(sites: list[Path]) -> None:
    found = {(place, text) for out in sites for place, text in said(out) if text.strip() == ","}
    assert not found


def test_every_claim_is_denied_in_words_as_well() -> None:
    """The other tests would miss one: a text for `not` is looked up where a page has that `not`."""
    around = {"at_first", "after_line", "in_wings"}
    said = {name for name in TABLE["claims"] if not name.endswith("_not")} - around
    assert {f"{name}_not" for name in said} == TABLE["claims"].keys() - said - around


def test_every_text_of_the_table_is_said_somewhere(sites: list[Path]) -> None:
    files = (path for out in sites for path in out.rglob("*") if path.suffix in (".html", ".js"))
    assert (
        NUMBERED.keys() - met("\n".join(path.read_text("utf-8") for path in files)) == BY_A_PREVIEW
    )

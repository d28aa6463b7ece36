"""The theme's files under names that change with their bytes, and what names them made to fit."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from folders import written
from sitegen.cube.scheme import DEFAULT
from sitegen.pages.formats.assets import Assets
from sitegen.pages.formats.theme import ThemeError

if TYPE_CHECKING:
    from pathlib import Path


def made(folder: Path, **files: str) -> Assets:
    """A theme's files; a double underscore in a name here stands for a stroke there."""
    named = {name.replace("__", "/").replace("_", "."): text for name, text in files.items()}
    return Assets(written(folder, named), DEFAULT, ())


def named(assets: Assets) -> set[str]:
    return {address for address, _ in assets.files()}


def faults(folder: Path, **files: str) -> list[tuple[str, int, str]]:
    """What is wrong with a theme's files: each by its name there, the line, what is told."""
    with pytest.raises(ThemeError) as told:
        made(folder, **files)
    found = sorted(told.value.faults)
    return [(one.path.relative_to(folder).as_posix(), one.line, one.message) for one in found]


def test_a_name_changes_with_the_bytes_and_with_nothing_else(tmp_path: Path) -> None:
    one = made(tmp_path / "one", own_css="a { color: green }")
    again = made(tmp_path / "again", own_css="a { color: green }")
    other = made(tmp_path / "other", own_css="a { color: olive }")
    assert named(one) == named(again)
    assert one.address("own.css") != other.address("own.css")
    assert len(named(one) ^ named(other)) == 2
    assert re.fullmatch(r"theme/own\.[0-9a-f]{10}\.css", one.address("own.css"))


def test_what_a_stylesheet_names_is_there_under_its_new_name(tmp_path: Path) -> None:
    sheet = """
        @import "more/deep.css";
        a { background: url( 'lamp.svg#light' ) } /* url(lamp.svg) in a comment */
        b { background: url(more/lamp.svg), url("data:image/svg+xml,x"), url(#here) }
        c { background: url(../pictures/own.svg) }
    """
    assets = made(
        tmp_path,
        own_css=sheet,
        lamp_svg="<svg/>",
        more__lamp_svg="<svg id='a'/>",
        more__deep_css="d { background: url(../lamp.svg), url(./lamp.svg) }",
    )
    files = dict(assets.files())
    text = files[assets.address("own.css")].decode()
    for name in ("more/deep.css", "lamp.svg#light", "more/lamp.svg"):
        path, _, anchor = name.partition("#")
        address = assets.address(path).removeprefix("theme/")
        assert address in text
        assert not anchor or f"{address}#light" in text
    assert text.count("url(lamp.svg)") == 1  # the one in the comment
    for kept in ('url("data:image/svg+xml,x")', "url(#here)", "url(../pictures/own.svg)"):
        assert kept in text
    deep = files[assets.address("more/deep.css")].decode()
    assert f"../{assets.address('lamp.svg').removeprefix('theme/')}" in deep
    assert assets.address("more/lamp.svg").rpartition("/")[2] in deep


def test_a_sheet_is_renamed_when_what_it_names_changes(tmp_path: Path) -> None:
    sheet = "a { background: url(lamp.svg) }"
    one = made(tmp_path / "one", own_css=sheet, lamp_svg="<svg/>")
    other = made(tmp_path / "other", own_css=sheet, lamp_svg="<svg id='a'/>")
    assert one.address("own.css") != other.address("own.css")


def test_sheets_that_load_one_another_or_themselves_are_told_where_they_do(tmp_path: Path) -> None:
    found = faults(
        tmp_path,
        a_css="@import url(c.css);",
        b_css="@import url(c.css);",
        c_css="\n@import 'b.css';",
        own_css="\n\n@import 'own.css';",
    )
    circle = "in a circle: `c.css` loads `b.css`, which loads `c.css`; take one of these out"
    assert found == [
        ("b.css", 1, f"stylesheets load one another {circle}"),
        ("own.css", 3, "this stylesheet loads itself; take that out"),
    ]


def test_what_a_stylesheet_names_and_nobody_finds_is_told_at_its_line(tmp_path: Path) -> None:
    found = faults(
        tmp_path,
        lamp_svg="<svg/>",
        more__own_css="/* url(none.svg) */\na {\n  background: url(../lamb.svg#light);\n}\n",
        own_css="\n@import 'night/stars.svg';",
    )
    assert found == [
        ("more/own.css", 3, "the theme has no file `lamb.svg`; did you mean `lamp.svg`?"),
        ("own.css", 2, "the theme has no file `night/stars.svg`"),
    ]


@pytest.mark.parametrize(
    "address", ["//lantern.example/a.svg", "/a.svg", "../a.svg", "#a", "blob:a", "?a"]
)
def test_what_a_stylesheet_names_elsewhere_is_left_alone(tmp_path: Path, address: str) -> None:
    sheet = f"a {{ background: url({address}) }}"
    assets = made(tmp_path, own_css=sheet)
    assert dict(assets.files())[assets.address("own.css")].decode() == sheet

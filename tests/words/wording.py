"""A translation of everything that no translator made, sites said in it, and what these say.

Every text of the table is put into letters of another alphabet here, whatever it says, and given a
number. The author of the sites beside this file writes a third alphabet. So whatever is left in
Latin letters, capitals apart (addresses, letters of colours, metrics), was said by the program and
cannot be translated.
"""

from __future__ import annotations

import json
import re
import shutil
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Final
from xml.etree import ElementTree as ET

from lxml import html

import sitegen
from sitegen.commands.main import main
from sitegen.pages.sheets import ROOM

if TYPE_CHECKING:
    from collections.abc import Iterator

HERE: Final = Path(__file__).parent
TABLE: Final = tomllib.loads(
    (Path(sitegen.__file__).parent / "theme" / "words.toml").read_text("utf-8")
)
NUMBERED: Final = {
    f"{section}.{name}": number
    for number, (section, name) in enumerate(
        (section, name) for section, texts in TABLE.items() for name in texts
    )
}
LATIN: Final = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
CYRILLIC: Final = "абвгдежзийклмнопрстуфхцчшщАБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩ"

SIGNS: Final = {"code", "pre", "text", "script"}
"""Elements that hold moves, addresses, what the author typed, letters in pictures, nothing."""

SAID_BY: Final = {"alt", "aria-label", "placeholder", "title"}
IN_META: Final = {"author", "description", "og:description", "og:site_name", "og:title"}
NOT_SAID: Final = {"data-index", "data-letters", "data-line", "data-root"}


def translated(name: str, text: str) -> str:
    pieces = re.split(r"(\{\w+\})", text)
    pieces[::2] = [piece.translate(str.maketrans(LATIN, CYRILLIC)) for piece in pieces[::2]]
    # what is filled in is asked for twice, as a translator may
    return f"⟦{NUMBERED[name]}: {''.join(pieces)} {''.join(pieces[1::2])}⟧"


def write_table(themes: Path) -> None:
    themes.mkdir(parents=True)
    lines = []
    for section, texts in TABLE.items():
        lines.append(f"[{section}]")
        for name, text in texts.items():
            said = translated(f"{section}.{name}", text)
            lines.append(f"{name} = {json.dumps(said, ensure_ascii=False)}")
    (themes / "words.el.toml").write_text("\n".join(lines), "utf-8")


def built(name: str, folder: Path, *options: str) -> Path:
    """One of the sites beside this file, built in the language of the table; where it stands."""
    content = folder / name / "content"
    shutil.copytree(HERE / name, content)
    if not (content / "site.toml").exists():
        (content / "site.toml").write_text('language = 1\nlang = "el"\ntitle = "Κύβοι"\n', "utf-8")
    if name == "site":
        block = "```moves\ncube: 2\nmoves: R\ncheck: order 4\n```\n"
        (content / "long.md").write_text("# Πάρα πολλά\n" + block * (ROOM + 1), "utf-8")
    write_table(folder / name / "themes")
    out = folder / name / "out"
    assert main(["build", str(content), "--out", str(out), *options]) == (name == "failing")
    return out


def built_as_it_is(name: str, folder: Path) -> Path:
    """The same of a site whose table, or whose alphabet, is its own."""
    shutil.copytree(HERE / name, folder, dirs_exist_ok=True)
    assert main(["build", str(folder / "content"), "--out", str(folder / "out")]) == 0
    return folder / "out"


def for_authors(element: html.HtmlElement) -> bool:
    """Whether it is a message, or names a file, in a copy for review: these are in English."""
    around = {one.get("class") for one in element.iterancestors()}
    return element.get("class") == "reviewed" or (element.tag == "p" and "troubles" in around)


def of_element(element: html.HtmlElement) -> Iterator[str]:
    """All that a reader sees or hears of an element, piece by piece."""
    if not isinstance(element.tag, str) or for_authors(element):
        return
    for name, value in element.items():
        is_meta = name == "content" and {element.get("name"), element.get("property")} & IN_META
        if is_meta or name in SAID_BY or (name.startswith("data-") and name not in NOT_SAID):
            yield value
    if element.tag not in SIGNS and element.get("class") != "address":
        yield element.text or ""
        for child in element:
            yield from of_element(child)
            yield child.tail or ""


def of_page(text: str) -> Iterator[str]:
    """The same of a page, from its HTML."""
    yield from of_element(html.document_fromstring(text))


def of_search(text: str) -> Iterator[str]:
    for _, title, more, places in json.loads(text.removeprefix("searchIndex=")):
        yield from (title, more, *(words for _, words, *_ in places))


def of_feed(text: str) -> Iterator[str]:
    kinds = {"title", "subtitle", "name", "summary"}
    for element in ET.fromstring(text.encode()).iter():  # noqa: S314 - we have made it
        if element.tag.rpartition("}")[2] in kinds:
            yield element.text or ""


def said(out: Path) -> Iterator[tuple[str, str]]:
    """All that a site says, each with where it is said."""
    for path in sorted(out.rglob("*")):
        readers = {".html": of_page, "search-index.js": of_search, "feed.xml": of_feed}
        reader = readers.get(path.name) or readers.get(path.suffix)
        if reader:
            yield from (
                (path.relative_to(out).as_posix(), text) for text in reader(path.read_text("utf-8"))
            )


def in_latin(text: str) -> list[str]:
    """The words in Latin letters that are no names of gaps, cubes, pages, places, metrics."""
    words = re.findall(r"[A-Za-z][A-Za-z0-9]*", re.sub(r"\{\w+\}|\d+x\d+|\w+\.md", "", text))
    return [word for word in words if not re.fullmatch(r"[A-Z0-9]+", word)]


def met(text: str) -> set[str]:
    """The texts of the table that stand in a text."""
    numbers = set(map(int, re.findall(r"⟦(\d+): ", text)))
    return {name for name, number in NUMBERED.items() if number in numbers}

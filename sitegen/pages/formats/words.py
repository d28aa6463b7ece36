"""What a theme says of its own, by section and name: `words.toml`, which a club may translate."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from types import SimpleNamespace
from typing import TYPE_CHECKING, Final

from sitegen.in_xml import in_no_page
from sitegen.pages.formats.theme import DEFAULT_THEME, Fault, raise_all
from sitegen.said import Plain
from sitegen.wording import meant_or_known

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from sitegen.said import Value

Table = dict[str, dict[str, str]]
"""Section to name to text, with the names of what is filled in between braces."""


_GAP: Final = re.compile(r"\{(\w+)\}")


class Words:
    """What a theme says, as templates see it, section by section: `words.page.next`.

    Sections are no dictionaries: a template would find a method where a text is called `copy`.

    Attributes:
        say: says what is told in plain words.
    """

    def __init__(self, table: Table) -> None:
        """Take the texts of a table."""
        self.say = Voice(table)
        for section, texts in table.items():
            setattr(self, section, SimpleNamespace(**texts))


class Voice:
    """Says what is told in plain words, in the texts of one language; see `said.Say`."""

    def __init__(self, table: Table) -> None:
        """Learn the texts of a table."""
        self._texts = {
            f"{section}.{name}": text
            for section, texts in table.items()
            for name, text in texts.items()
        }

    def text(self, name: str) -> str:
        """A text as the table has it, by its section and name: `motion.nothing`."""
        return self._texts[name]

    def __call__(self, value: Value) -> str:
        """What is to be said, in words."""
        if isinstance(value, str):
            return value
        if isinstance(value, Plain):
            values = {gap: self(one) for gap, one in value.values.items()}
            return fill(self._texts[value.name], values)
        if isinstance(value, int):
            return str(value)
        return self._texts["lists.between"].join([self(one) for one in value])


class Phrasebook:
    """The default theme's words, with what a site's own theme says otherwise."""

    def __init__(self, own: Path | None) -> None:
        """See which files there are, and read none yet.

        Args:
            own: the folder of the site's own theme; it need not hold words.
        """
        # a language's tag is the same in capitals and in small letters
        self._files = {path.name.lower(): path for path in sorted(own.iterdir())} if own else {}
        self._kept: dict[str, Words] = {}

    def words(self, lang: str) -> Words:
        """The words for a page in a language (BCP 47: `de-CH` also takes those of `de`).

        Raises:
            ThemeError: files of words cannot be read, or say what no template asks for.
        """
        if lang not in self._kept:
            parts = lang.split("-")
            tags = ["-".join(parts[:count]) for count in range(1, len(parts) + 1)] if lang else []
            words, faults = _default_words(), list[Fault]()
            for name in ("words.toml", *(f"words.{tag}.toml" for tag in tags)):
                path = self._files.get(name.lower())
                if path is not None and path.is_file():
                    words = _overlaid(words, path, faults)
            raise_all(faults)
            self._kept[lang] = Words(words)
        return self._kept[lang]


@cache
def _default_words() -> Table:
    """The default theme's words: in English, as the program's own messages are."""
    table: Table = tomllib.loads((DEFAULT_THEME / "words.toml").read_text("utf-8"))
    return table


@cache
def english() -> Voice:
    """Says to authors, in English, what pages say to their readers."""
    return Voice(_default_words())


def _overlaid(words: Table, path: Path, faults: list[Fault]) -> Table:
    """Words with those of a file in their places, and what is wrong with that."""
    # few sites have words of their own, and `sitegen net` is to answer at once
    from sitegen.pages.toml import read_toml  # noqa: PLC0415

    try:
        read = read_toml(path.read_text("utf-8-sig"))
    except UnicodeDecodeError as error:
        line = error.object.count(b"\n", 0, error.start) + 1
        why = "these words are not written in UTF-8; save them as UTF-8"
        faults.append(Fault(path, line, why))
        return words
    faults += [Fault(path, slip.line, slip.message) for slip in read.slips]
    changed = {section: dict(texts) for section, texts in words.items()}
    for section, texts in read.table.items():
        amiss: dict[tuple[str, ...], str] = {(section,): _no_section(section, texts)}
        if not amiss[section,]:
            ours = _default_words()[section]
            amiss |= {(section, name): _misfit(name, one, ours) for name, one in texts.items()}
            changed[section] |= texts
        for place, why in amiss.items():
            line = read.place(*place)[0]
            if why and line not in read.slipped:  # of which that is told already
                faults.append(Fault(path, line, why))
    return changed


def _no_section(section: str, texts: object) -> str:
    """What is wrong with a section as a whole, or with what stands where one should; or ""."""
    if section not in _default_words():
        return _unknown(f"[{section}]", [f"[{name}]" for name in _default_words()])
    return "" if isinstance(texts, dict) else f"`{section}` is to be a section, `[{section}]`"


def _unknown(name: str, known: list[str]) -> str:
    hint = meant_or_known(name, known, "what it says is called")
    return f"the theme says nothing called `{name}`; {hint}"


def _misfit(name: str, text: object, ours: Mapping[str, str]) -> str:
    """What is wrong with a text, or with its being there; "" where what is filled in fits it."""
    if name not in ours:
        return _unknown(name, list(ours))
    if not isinstance(text, str):
        return f"`{name}` is to be a text between quotation marks"
    if odd := in_no_page(text):
        return f"`{name}` holds {odd}, which can stand on no page"
    given, asked = set(_GAP.findall(ours[name])), set(_GAP.findall(text))
    if asked - given:
        names = ", ".join(f"{{{gap}}}" for gap in sorted(given))
        there = f"what is filled in is {names}" if names else "nothing is filled in here"
        return f"`{name}` asks for {{{min(asked - given)}}}; {there}"
    # not doubled ones either: many texts are shown, or handed to scripts, as they stand
    if {"{", "}"} & set(_GAP.sub("", text)):
        return f"`{name}` has braces that stand around no name; a text cannot show any"
    return ""


def fill(text: str, values: Mapping[str, object]) -> str:
    """A text with what stands between its braces filled in."""
    return text.format_map(values)

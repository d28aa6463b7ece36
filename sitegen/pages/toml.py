"""TOML, read as far as it goes: a slip is told, and what stands around it is read all the same."""

from __future__ import annotations

import re
import tomllib
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from msgspec import Struct, json

from sitegen.pages.unmerged import unmerged
from sitegen.wording import QUOTES

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    TomlPlace = tuple[int, int, int]
    """Line and column, from 1, and length."""

MOST_SLIPS: Final = 10
"""How many slips are looked past; each has the text read a few times more."""

_SPOT: Final = re.compile(r"(?P<what>.*) \(at line (?P<line>\d+), column (?P<column>\d+)\)")
_BEGINS: Final = re.compile(
    r"[ \t]*(?:(?P<header>\[)|(?P<key>[\w\"'.-]+)[ \t]*(?P<sign>[=:])[ \t]*(?P<value>.*))"
)
"""A line that begins a table or gives a key its value, with the colon that some write for `=`."""

_KEY: Final = re.compile(r"\s*((?:[\w.-]|\"[^\"]*\"|'[^']*')+)\s*[=:]")


class TomlSlip(NamedTuple):
    """What is wrong, and where: line and column, from 1."""

    message: str
    line: int
    column: int = 1


class Toml(Struct, frozen=True, dict=True):
    """A text of TOML.

    Attributes:
        text: the text, its lines ended by line feeds.
        table: what it says.
        slips: what is wrong with it, in order.
        merged: each line that a merge left in one of two versions, and where this is told.
    """

    text: str
    table: dict[str, Any]
    slips: tuple[TomlSlip, ...]
    merged: Mapping[int, int]

    @cached_property
    def lines(self) -> list[str]:
        """The lines of the text."""
        return self.text.split("\n")

    @cached_property
    def slipped(self) -> list[int]:
        """The lines in which a slip is told, rising."""
        return sorted(slip.line for slip in self.slips)

    def place(self, *path: str | int) -> TomlPlace:
        """Where a key stands, as far as TOML's forms can be followed by lines."""
        if path in self.places:
            return self.places[path][0]
        around = (self.places.get(path[:end]) for end in range(len(path) - 1, 0, -1))
        return next((found[-1] for found in around if found), (1, 1, 1))

    @cached_property
    def places(self) -> dict[tuple[str | int, ...], list[TomlPlace]]:
        """The places of each key and each table that a line names."""
        header: list[str | int] = []
        counts: dict[str, int] = {}
        places: dict[tuple[str | int, ...], list[TomlPlace]] = {}
        for number, line in enumerate(self.lines, 1):
            table = re.match(r"\s*(\[\[?)\s*([^\]]+?)\s*(?:\]|$)", line)
            key = _KEY.match(line)
            if table:
                header = [part.strip().strip("\"'") for part in table[2].split(".")]
                place = number, line.index(table[2]) + 1, len(table[2])
                if table[1] == "[[":
                    places.setdefault(tuple(header), []).append(place)
                    counts[table[2]] = counts.get(table[2], -1) + 1
                    header.append(counts[table[2]])
                places.setdefault(tuple(header), []).append(place)
            elif key:
                found = (*header, *(part.strip("\"'") for part in key[1].split(".")))
                place = number, key.start(1) + 1, len(key[1])
                for named in {found[: len(header) + 1], found}:
                    places.setdefault(named, []).append(place)
        return places


def read_toml(text: str, hint: str = "") -> Toml:
    """Read a text of TOML.

    A value that lacks its quotes is read as if it had them; any other with a slip, or a table whose
    name has one, is left out. Of what a merge left in two versions the first is read.

    Args:
        text: the text, its lines ended by line feeds.
        hint: what is told of each slip besides.
    """
    lines = text.split("\n")
    slips: list[TomlSlip] = []
    merged: dict[int, int] = {}
    for one in unmerged(text):
        slips.append(TomlSlip(one.message, one.first))
        merged |= dict.fromkeys(range(one.first, one.last), one.first)
        for at in (one.first, *range(one.cut, one.last + 1)):
            lines[at - 1] = ""
    most = len(slips) + MOST_SLIPS
    table, slip = _read(lines, hint)
    while slip:
        for first, end, instead in _ways_past(lines, slip) if len(slips) < most else ():
            around = [*lines[:first], instead, *[""] * (end - first - 1), *lines[end:]]
            further, later = _read(around, hint)
            if later is None or later.line > slip.line:
                # what is never closed is told where it begins, not where the next thing stands
                slips.append(TomlSlip(slip.message, first + 1) if end < slip.line else slip)
                lines, table, slip = around, further, later
                break
        else:
            slips.append(slip)
            table, _ = _read(lines[: slip.line - 1], hint)
            break
    return Toml(text, table, tuple(slips), merged)


def _read(lines: Sequence[str], hint: str) -> tuple[dict[str, Any], TomlSlip | None]:
    """What lines say, and the first slip in them; with one they say nothing."""
    text = "\n".join(lines) + "\n"  # else a slip in a last line that is not ended has no place
    try:
        return tomllib.loads(text), None
    except tomllib.TOMLDecodeError as error:
        found = _SPOT.fullmatch(str(error))
        if found:
            message = f"this is no TOML: {found['what']}{hint}"
            return {}, TomlSlip(message, int(found["line"]), int(found["column"]))
        return {}, TomlSlip(f"this is no TOML: {error}{hint}", len(lines))  # "at end of document"
    except RecursionError:
        return {}, TomlSlip("brackets are nested too deep", 1)
    except ValueError:  # of a number with more digits than Python reads
        longest = max(re.findall(r"\d+", text), key=len, default="")
        line = text.partition(longest)[0].count("\n") + 1
        return {}, TomlSlip(f"a number of {len(longest)} digits stands here; none needs them", line)


def _ways_past(lines: Sequence[str], slip: TomlSlip) -> Iterator[tuple[int, int, str]]:
    """The ways past a slip that can be tried, the one that loses least first.

    Yields:
        A first line and the one past the last, from 0, and what is read instead of these.
    """
    at = slip.line - 1
    own = _begin(lines, at)
    begins = _BEGINS.match(lines[own])
    if own == at and at and not lines[at][: slip.column - 1].strip():
        yield _begin(lines, at - 1), at, ""  # met where the next thing begins
    elif own == at and begins and begins["key"]:
        key, value = begins["key"], begins["value"].rstrip()
        if begins["sign"] == ":":
            yield at, at + 1, f"{key} = {value}"
        text = json.encode(value.strip(f"{QUOTES}'’")).decode()
        yield at, at + 1, f"{key} = {text}"
    yield own, _end(lines, own), ""
    yield at, at + 1, ""


def _begin(lines: Sequence[str], at: int) -> int:
    """The line that begins what a line belongs to."""
    return next((i for i in range(at, -1, -1) if _BEGINS.match(lines[i])), max(at, 0))


def _end(lines: Sequence[str], begin: int) -> int:
    """Past the last line of what begins at one: a value, or a table with all that stands in it."""
    found = _BEGINS.match(lines[begin])
    mark = "header" if found and found["header"] else 0
    following = ((i, _BEGINS.match(lines[i])) for i in range(begin + 1, len(lines)))
    end = next((i for i, one in following if one and one[mark]), len(lines))
    while end > begin + 1 and not lines[end - 1].strip():
        end -= 1
    return end

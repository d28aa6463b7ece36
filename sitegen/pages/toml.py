"""TOML, read as far as it goes: a slip is told, and what stands around it is read all the same."""

from __future__ import annotations

import json
import re
import tomllib
from typing import TYPE_CHECKING, Any, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

MOST_SLIPS: Final = 10
"""How many slips are looked past; each has the text read a few times more."""

_SPOT: Final = re.compile(r"(?P<what>.*) \(at line (?P<line>\d+), column (?P<column>\d+)\)")
_BEGINS: Final = re.compile(
    r"[ \t]*(?:(?P<header>\[)|(?P<key>[\w\"'.-]+)[ \t]*(?P<sign>[=:])[ \t]*(?P<value>.*))"
)
"""A line that begins a table or gives a key its value, with the colon that some write for `=`."""

_HINT: Final = (
    "; texts stand in quotes, lists in square brackets with commas between, and each course "
    "begins with `[[courses]]`"
)


class Slip(NamedTuple):
    """What is wrong, and where: line and column, from 1."""

    message: str
    line: int
    column: int = 1


class _Way(NamedTuple):
    """A way past a slip: what stands from one line up to another, and what is read instead."""

    first: int
    end: int
    instead: str = ""


class _Past(NamedTuple):
    """What is told of a slip; the lines without it, what they say, and the next slip in them."""

    told: Slip
    lines: list[str]
    table: dict[str, Any]
    later: Slip | None


def read_toml(text: str) -> tuple[dict[str, Any], list[Slip]]:
    """What a text of TOML says, and the slips in it.

    A value that lacks its quotes is read as if it had them; any other with a slip, or a table whose
    name has one, is left out.
    """
    lines = text.split("\n")
    table, slip = _read(lines)
    slips: list[Slip] = []
    while slip:
        past = _past(lines, slip) if len(slips) < MOST_SLIPS else None
        if past is None:
            slips.append(slip)
            table, _ = _read(lines[: slip.line - 1])
            break
        slips.append(past.told)
        lines, table, slip = past.lines, past.table, past.later
    return table, slips


def _past(lines: Sequence[str], slip: Slip) -> _Past | None:
    """What stands around a slip, by the first way that leads past it; None if none does."""
    for first, end, instead in _ways_past(lines, slip):
        around = [*lines[:first], instead, *[""] * (end - first - 1), *lines[end:]]
        table, later = _read(around)
        if later is None or later.line > slip.line:
            # what is never closed is told where it begins, not where the next thing stands
            told = Slip(slip.message, first + 1) if end < slip.line else slip
            return _Past(told, around, table, later)
    return None


def _read(lines: Sequence[str]) -> tuple[dict[str, Any], Slip | None]:
    """What lines say, and the first slip in them; with one they say nothing."""
    text = "\n".join(lines)
    try:
        return tomllib.loads(text), None
    except tomllib.TOMLDecodeError as error:
        found = _SPOT.fullmatch(str(error))
        if found:
            message = f"this is no TOML: {found['what']}{_HINT}"
            return {}, Slip(message, int(found["line"]), int(found["column"]))
        return {}, Slip(f"this is no TOML: {error}{_HINT}", len(lines))  # "at end of document"
    except RecursionError:
        return {}, Slip("brackets are nested too deep", 1)
    except ValueError:  # of a number with more digits than Python reads
        longest = max(re.findall(r"\d+", text), key=len, default="")
        line = text.partition(longest)[0].count("\n") + 1
        return {}, Slip(f"a number of {len(longest)} digits stands here; none needs them", line)


def _ways_past(lines: Sequence[str], slip: Slip) -> Iterator[_Way]:
    """The ways past a slip that can be tried, the one that loses least first."""
    at = slip.line - 1
    own = _begin(lines, at)
    begins = _BEGINS.match(lines[own])
    if own == at and not lines[at][: slip.column - 1].strip():
        yield _Way(_begin(lines, at - 1), at)  # met where the next thing begins
    elif own == at and begins and begins["key"]:
        key, value = begins["key"], begins["value"].rstrip()
        if begins["sign"] == ":":
            yield _Way(at, at + 1, f"{key} = {value}")
        text = json.dumps(value.strip("\"'"), ensure_ascii=False)
        yield _Way(at, at + 1, f"{key} = {text}")
    yield _Way(own, _end(lines, own))
    yield _Way(at, at + 1)


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

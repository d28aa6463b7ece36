"""Lines to keys and values: the inside of a `moves` fence taken apart."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.problem import Wrong

if TYPE_CHECKING:
    from sitegen.problem import Source

_KEY: Final = re.compile(r"([A-Za-z][\w-]*)[ \t]*:")


class Entry(NamedTuple):
    """A key and its value, by their offsets in the fence's text.

    Attributes:
        key: as written.
        start: offset of the key.
        value_start: offset just past the colon.
        value_end: offset past the value's last line that is not blank.
    """

    key: str
    start: int
    value_start: int
    value_end: int


def read_fence(source: Source, faults: list[Wrong]) -> list[Entry]:
    """Take a fence apart into its keys and values.

    A key stands at the block's left edge; what is indented further belongs to the key above it.

    Args:
        source: the lines between the fence's marks.
        faults: `unknown-key` for lines that begin with no key are put here.
    """
    lines = source.text.split("\n")
    filled = [line for line in lines if line.strip()]
    edge = min((len(line) - len(line.lstrip()) for line in filled), default=0)
    entries: list[Entry] = []
    place, stray = 0, False
    for line in lines:
        start, place = place, place + len(line) + 1
        if not line.strip():
            continue
        end = start + len(line.rstrip())
        if line[edge].isspace():
            if entries:
                entries[-1] = entries[-1]._replace(value_end=end)
            elif not stray:
                faults.append(_stray(line, start))
            continue
        found = _KEY.match(line, edge)
        if found:
            stray = False
            entries.append(Entry(found[1], start + edge, start + found.end(), end))
        else:
            if not stray:
                faults.append(_stray(line, start))
            stray = True
    return entries


def _stray(line: str, start: int) -> Wrong:
    text = line.strip()
    return Wrong(
        "unknown-key",
        "this line begins with no key; lines that go on with the value above are indented",
        start + line.index(text),
        start + line.index(text) + len(text),
    )

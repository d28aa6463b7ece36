"""Lines to keys and values: the inside of a `moves` fence taken apart."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.block.keys import ANY_KEY, KEYS
from sitegen.block.misplaced import FACE_ROW, FILLED, is_blank_above, is_prose
from sitegen.cube.scheme import FACES
from sitegen.problem import Wrong
from sitegen.wording import in_plain_signs, meant

if TYPE_CHECKING:
    from sitegen.problem import Source

_AT_EDGE: Final = (
    r"^(?P<margin>[^\S\n]{0,%d})(?=\S)(?:(?P<key>[A-Za-z][\w-]*)[ \t]*(?P<colon>:))?.*"
)
"""A line that begins no further to the right, with the key that it begins with, if it does."""

_KEY_LINE: Final = re.compile(rf"^[^\S\n]*(?=(?:{ANY_KEY})[^\S\n]*:)", re.MULTILINE)
_NEARLY_KEY: Final = re.compile(rf"[\W_]*({ANY_KEY})[\W_]*[:=]", re.IGNORECASE)
_BARE_KEY: Final = re.compile(rf"({ANY_KEY})(?=\s|$)(?!\s+line\b)")
"""A key with its colon forgotten; `after line 2` begins a claim."""

_FIRST_WORD: Final = re.compile(r"(?!after\s+line\b)(?:([^\s:]{2,}):.*|([a-z]{3,})(?:\s.*)?)")
_MARKS: Final = re.compile(r"(?:(?:[-*+>]|\d{1,9}[.)])[ \t]+)*+(?:`{2,}|~{2,}|['’‘´]{3})")
"""What fences begin and end with, or what is written for it, in a list or a quote perhaps."""


class KeyValue(NamedTuple):
    """A key and its value, by their offsets in the fence's text.

    Attributes:
        key: as written.
        start: offset of the key.
        value_start: offset just past the colon.
        value_end: offset past the value's last line that is not blank.
        strays: offsets of its lines that stand at the edge, of which that is told.
    """

    key: str
    start: int
    value_start: int
    value_end: int
    strays: tuple[int, ...] = ()


def read_fence(source: Source, faults: list[Wrong]) -> list[KeyValue]:
    """Take a fence apart into its keys and values.

    A key stands at the block's left edge; what is indented further belongs to the key above it.

    Args:
        source: the lines between the fence's marks.
        faults: `unknown-key` for lines that begin with no key are put here.
    """
    text = source.text
    lines = list(re.compile(_AT_EDGE % _edge(text), re.MULTILINE).finditer(text))
    if (cut := _cut(text, lines)) is not None:
        whole, text = text, text[:cut]
        lines = [line for line in lines if line.end("margin") < cut]
    ends = [*(line.start() for line in lines[1:]), len(text)]
    if lines:
        before = FILLED.finditer(text, 0, lines[0].start())
        faults += [_stray(text, line.start(), line.end()) for line in before]
    entries: list[KeyValue] = []
    strays: dict[int, list[int]] = {}
    stray = of_a_key = is_bare = False
    for line, end in zip(lines, ends, strict=False):
        key, start = line["key"], line.end("margin")
        if key and key not in tuple(FACES):
            value = line.end("colon")
            last = value + len(text[value:end].rstrip())
            entries.append(KeyValue(key, start, value, last))
            stray = of_a_key = False
            is_bare = last == value and key != "check"  # whose lines are judged one by one
            continue
        near = nearly_key(line[0])
        of_a_key = of_a_key or bool(near)  # what goes on below it is not of the value above
        if not stray or near:
            faults.append(_stray(text, start, line.end()))
        stray = True
        strays.setdefault(len(entries) - 1, []).append(start)
        goes_on = text[line.end() : end].rstrip()
        may_go_on = is_bare or (entries and entries[-1].key == "moves")  # a bracket, say
        if entries and (goes_on or may_go_on) and not of_a_key:
            entries[-1] = entries[-1]._replace(value_end=line.end() + len(goes_on))
    if cut is not None:
        last = entries[-1].start if entries else 0
        faults[:] = [one for one in faults if one.start < last or _goes_on(text, one.start)]
        faults.append(_not_closed(whole, cut))
    return [one._replace(strays=tuple(strays.get(i, ()))) for i, one in enumerate(entries)]


def _edge(text: str) -> int:
    """How far the key that begins farthest to the left is indented; the line, if there is none."""
    if text and not text[0].isspace():
        return 0
    if keys := _KEY_LINE.findall(text):
        return min(map(len, keys))
    filled = (line for line in text.split("\n") if line.strip())
    return min((len(line) - len(line.lstrip()) for line in filled), default=0)


def _cut(text: str, lines: list[re.Match[str]]) -> int | None:
    """Where lines begin that are none of the block, which is not closed above them: marks, prose.

    Args:
        text: of the block.
        lines: those that begin at its edge.
    """
    starts = [line.end("margin") for line in lines]
    above = next((i for i, start in enumerate(starts) if _MARKS.match(text, start)), len(lines))
    marks = starts[above] if above < len(lines) else None
    prose = None
    for line in reversed(lines[:above]):
        if line["key"] in KEYS:
            break
        is_sentence = is_prose(line[0]) and not text[line.end("margin")].islower()  # as claims are
        if is_sentence and (prose is not None or is_blank_above(text, line.start())):
            prose = line.end("margin")
    return marks if prose is None else prose


def _goes_on(text: str, start: int) -> bool:
    """Whether a line stands right below another, and so is of the block, closed or not."""
    begins = text.rfind("\n", 0, start) + 1
    return not is_blank_above(text, begins)


def nearly_key(line: str) -> str:
    """The key that a line at the edge was meant to begin with; "" where it was meant for none."""
    plain = in_plain_signs(line).strip()
    if found := _NEARLY_KEY.match(plain) or _BARE_KEY.match(plain):
        return found[1].lower()
    word = _FIRST_WORD.fullmatch(plain)
    return meant(re.sub(r"\W", "", word[1] or word[2]), KEYS, 0.75) if word else ""


def _stray(text: str, start: int, end: int) -> Wrong:
    line = text[start:end].rstrip()
    if near := nearly_key(line):
        why = f"a key stands bare at the left edge, a colon after it: `{near}:`"
    elif FACE_ROW.match(line):
        why = "the rows of a net are indented further than its key, as `after:`"
    else:
        why = "a colon stands after a key, and lines that go on with the value above are indented"
    message = f"this line begins with no key: {why}"
    return Wrong("unknown-key", message, start, start + len(line))


def _not_closed(text: str, cut: int) -> Wrong:
    """What is wrong where a block holds a line like those that fences begin and end with."""
    marks = "it ends with the marks that it begins with, as many or more, alone on a line"
    message = (
        f"the block is not closed above this line, nor by it: {marks}"
        if _MARKS.match(text, cut)
        else "this is no line of a block; the block is probably not closed above it: "
        f"{marks}; a line that goes on with a value is indented"
    )
    line = text[cut:].partition("\n")[0].rstrip()
    return Wrong("unknown-key", message, cut, cut + len(line))

"""A block read with the readers of its keys, and all that is wrong in it told at its place."""

from __future__ import annotations

import re
from bisect import bisect_left
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from sitegen.block.fence import nearly_key, read_fence
from sitegen.block.hangs import HANGS_ON, as_plain_as_any, true_of_any
from sitegen.block.keys import ANY_KEY, KEYS, WHOLE, Reading, perhaps_a_net
from sitegen.block.model import Block, Drawn
from sitegen.notation.read import unclear
from sitegen.problem import Problem, Wrong
from sitegen.wording import meant, nothing_after, some_of

if TYPE_CHECKING:
    from collections.abc import Collection, Container, Iterable, Iterator
    from collections.abc import Set as AbstractSet

    from sitegen.block.model import Context
    from sitegen.problem import Source

_KEY_LINE: Final = re.compile(rf"\n(?P<line>[^\S\n]*(?P<key>{ANY_KEY})[^\S\n]*:)")
_KEY_AMID: Final = re.compile(rf"(?<=[\s,;])({'|'.join(KEYS.keys() - {'from', 'to'})})[^\S\n]*:")
"""A key with something before it on its line, but for those that are words of claims."""

_ON_ITS_LINE: Final = re.compile(r"[^\S\n]*\S.*")

_ORDER: Final = {"cube": 0, "moves": 1, "check": 3}
"""The others are read with the cube, and the claims with the number of phrases."""

_BETWEEN: Final = 2
_FEW_CUBES: Final = {3, 4, 7}
"""Cubes of all sorts: what is wrong on each of them in the same words is wrong on any."""

_MOST_HANGING: Final = 500
"""With more faults than this in a value, none are looked for that are wrong on any cube."""


def read_block(
    number: int, block_id: str, head: Source, body: Source, context: Context
) -> tuple[Block, list[Problem]]:
    """Read a block, as far as it can be read, with all that is wrong in it.

    Args:
        number: which block of the page it is, from 0.
        block_id: its id, or "".
        head: the opening line of its fence.
        body: the lines between the fence's marks.
        context: what the page gives.
    """
    values, faults, lost, strays = _entries(body)
    problems = [Problem.at(body, wrong, block_id) for wrong in faults]
    fields: dict[str, Any] = {"n": context.n}
    unread, above = {*lost}, context.unread
    hangs = above.keys() & {"colours"}  # a net may stand under most keys
    if "cube" in above and "cube" not in values:
        hangs.add("cube")
        unread.add("cube")
    phrases: int | None = None if "moves" in lost else 0
    for name in sorted(values, key=lambda name: _ORDER.get(name, _BETWEEN)):
        reading = Reading(values[name], context, fields["n"], phrases)
        value = _value(name, reading)
        # a list of claims keeps those that could be read; nothing else is kept by halves
        if name == "check" or not reading.faults:
            fields[KEYS[name].field] = value
        if name == "moves":
            phrases = None if reading.faults or name in lost else len(value.phrases)
        problems += _value_problems(reading, name, block_id, unread, strays)
        if reading.faults:
            hangs |= _others_above(context) & {HANGS_ON.get(one.rule) for one in reading.faults}
            unread |= {name, reading.hidden} - {""}
            if reading.hidden == "moves":
                phrases = None
    block = Block(
        file=body.file,
        number=number,
        id=block_id,
        source=body,
        head=head,
        metric=context.metric,
        scheme=context.scheme,
        check=values.get("check"),
        impossible_at=values.get("impossible"),
        unread=frozenset(unread),
        waits_for=tuple(sorted({above[key] for key in hangs})),
        **fields,
    )
    if block.impossible:
        problems += _impossible_problems(block, values)
    return block, problems


def _value(name: str, reading: Reading) -> Any:  # noqa: ANN401 - each key has a type of its own
    """What a key says, as far as it could be read; None where nothing stands after it."""
    key = KEYS[name]
    if not reading.source.text.strip() and not key.may_be_empty:
        reading.wrong(nothing_after(name))
        return None
    value = key.read(reading)
    _tell_indented_key(reading, name)
    return value


def _tell_indented_key(reading: Reading, name: str) -> None:
    """Where faults begin at an indented line of another key, tell of that line instead."""
    found = _KEY_LINE.search(reading.source.text)
    if not found:
        _tell_key_amid(reading, name)
        return
    if name == "title":  # which may say anything, but hardly what can be read as a key's value
        below = _KEY_LINE.search(reading.source.text, found.end())
        end = below.start("line") if below else len(reading.source.text)
        hidden = reading.source.part(found.end(), end)
        other = Reading(hidden, reading.context, reading.n, None)
        _value(found["key"], other)
        told = not other.faults
    else:
        told = any(wrong.end > found.start("line") for wrong in reading.faults)
    if not told:
        return
    reading.faults[:] = [wrong for wrong in reading.faults if wrong.end <= found.start("line")]
    above = f"this line goes on with `{name}`; keys stand at the left edge"
    message = f"`{found['key']}:` is indented, so {above}"
    reading.wrong(message, *found.span("key"), rule="unknown-key")
    reading.hidden = found["key"]


def _tell_key_amid(reading: Reading, name: str) -> None:
    """Where a fault is a key that stands behind the value of another, tell of that.

    What stands behind it on its line is its value; where nothing does, all that stands below.
    """
    text = reading.source.text
    for wrong in reading.faults:
        if found := _KEY_AMID.search(text, wrong.start, wrong.end + 1):
            value = _ON_ITS_LINE.match(text, found.end())
            end = value.end() if value else len(text)
            reading.faults[:] = [
                one for one in reading.faults if one.end <= found.start() or one.start >= end
            ]
            message = f"`{found[1]}:` stands behind `{name}`; a key begins a line of its own"
            reading.wrong(message, *found.span(1), rule="unknown-key")
            reading.hidden = found[1]
            return


class _Entries(NamedTuple):
    """What stands in a block, key by key, before any value is read.

    Attributes:
        values: of each key that is known.
        faults: what is wrong with the keys.
        lost: the keys that were meant by what is wrong. Without the line that was meant for
            `moves`, say, nothing that the block states can be judged.
        strays: the lines of values that stand where a key would: all that is told of them is this.
    """

    values: dict[str, Source]
    faults: list[Wrong]
    lost: set[str]
    strays: set[int]


def _entries(body: Source) -> _Entries:
    """Take the inside of a fence apart."""
    faults: list[Wrong] = []
    values: dict[str, Source] = {}
    entries = read_fence(body, faults)
    starts = [entry.start for entry in entries]
    lost = set[str]()
    for wrong in faults:
        above = bisect_left(starts, wrong.start)  # how many keys stand there
        if near := nearly_key(body.text[wrong.start : wrong.end]):
            lost.add(near)
        elif above:
            lost.add(entries[above - 1].key)
    for entry in entries:
        end = entry.start + len(entry.key)
        if entry.key not in KEYS:
            if near := _meant(entry.key):
                lost.add(near)
            faults.append(Wrong("unknown-key", _unknown_key(entry.key), entry.start, end))
        elif entry.key in values:
            line = values[entry.key].lines[0]
            message = f"`{entry.key}` is given twice; it stood in line {line} already"
            faults.append(Wrong("repeated-key", message, entry.start, end))
            lost.add(entry.key)  # nobody knows which is meant
        else:
            values[entry.key] = body.part(entry.value_start, entry.value_end)
    if "moves" not in values and faults:
        lost.add("moves")  # which may stand in what could not be read
    goes_on = (WHOLE.match(values[key].text) for key in ("from", "to") if key in values)
    if any(goes_on) and ("moves" not in values or not values["moves"].text.strip()):
        lost.add("moves")
    strays = {body.place(start)[0] for entry in entries for start in entry.strays}
    return _Entries(values, faults, lost, strays)


def _value_problems(
    reading: Reading, name: str, block_id: str, unread: set[str], strays: Container[int]
) -> Iterator[Problem]:
    """What is told of a value: its faults, but in lines that are told as strays; unclear turns."""
    if reading.faults:
        told = _faults_told(reading, name, _others_above(reading.context) | (unread & {"cube"}))
        faults = (Problem.at(reading.source, wrong, block_id) for wrong in told)
        yield from (problem for problem in faults if problem.line not in strays)
    for wrong in unclear(reading.spacings, as_plain_as_any(reading.n, unread)):
        yield Problem.at(reading.source, wrong, block_id)


def _others_above(context: Context) -> AbstractSet[str]:
    """The unread keys above all blocks but `cube`, since a block that names its own needs none."""
    return context.unread.keys() - {"cube"}


def _faults_told(reading: Reading, name: str, unread: Collection[str]) -> list[Wrong]:
    """The faults of a value that are faults whatever the unread keys say: only they are told."""
    is_lost = "cube" in unread and name in ("from", "to") and perhaps_a_net(reading)
    if is_lost or "colours" in unread:  # a net in letters that nobody knows may look like anything
        return []
    told = true_of_any(reading.faults, unread)
    if "cube" in unread:
        hanging = [wrong for wrong in reading.faults if HANGS_ON.get(wrong.rule) == "cube"]
        if len(hanging) <= _MOST_HANGING:
            told += _wrong_on_each(reading, name, hanging)
    return sorted(told, key=lambda wrong: wrong.start)


def _wrong_on_each(reading: Reading, name: str, faults: Iterable[Wrong]) -> list[Wrong]:
    """The faults that are told in the same words on each of `_FEW_CUBES`."""
    for n in _FEW_CUBES - {reading.n}:
        other = Reading(reading.source, reading.context, n, reading.phrases)
        _value(name, other)
        found = {(wrong.rule, wrong.message, wrong.start) for wrong in other.faults}
        faults = [wrong for wrong in faults if (wrong.rule, wrong.message, wrong.start) in found]
    return [*faults]


_OTHER_WORDS: Final = {
    **dict.fromkeys(("setup", "set-up", "scramble", "start", "begin", "position"), "from"),
    **dict.fromkeys(("goal", "end", "target", "result", "expected"), "to"),
    **dict.fromkeys(("caption", "name", "note", "comment", "description"), "title"),
    **dict.fromkeys(("algorithm", "sequence", "turns"), "moves"),
    **dict.fromkeys(("size", "layers"), "cube"),
    **dict.fromkeys(("claim", "claims"), "check"),
    **dict.fromkeys(("ring", "highlight"), "mark"),
    **dict.fromkeys(("picture", "pictures"), "show"),
    **dict.fromkeys(("answer", "hide"), "fold"),
}
"""What is written for a key in other words, most of them no nearer to it than to another key."""


def _meant(key: str) -> str:
    """The key that one which is none was probably meant to be, or ""."""
    return _OTHER_WORDS.get(key.lower()) or meant(key.lower(), KEYS, 0.5)


def _unknown_key(key: str) -> str:
    if near := _meant(key):
        hint = f"did you mean `{near}`?"
    else:
        hint = f"keys are {some_of(KEYS, len(KEYS))}"
    return f"no key is called `{key}`; {hint}"


def _impossible_problems(block: Block, values: dict[str, Source]) -> Iterator[Problem]:
    """What cannot stand beside `impossible`."""
    if "from" not in block.unread and not (block.start and isinstance(block.start.origin, Drawn)):
        at = values.get("from", values["impossible"])
        message = "`impossible` speaks of a full net drawn in `from`; there is none"
        yield Problem.at(at, Wrong("bad-value", message, *at.filled), block.id)
    if block.steps:
        at = values["moves"]
        message = "no moves start from a position that no cube has; take the moves out"
        yield Problem.at(at, Wrong("bad-value", message, *at.filled), block.id)
    for claim in block.claims:
        message = "an impossible position has no claims"
        wrong = Wrong("bad-check", message, claim.start, claim.end)
        yield Problem.at(values["check"], wrong, block.id)

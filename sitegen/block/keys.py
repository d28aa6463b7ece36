"""KEYS: every key of a block, its reader and its default."""

from __future__ import annotations

import re
from functools import partial
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from msgspec import Struct, field

from sitegen.block.claims.claim import Reader
from sitegen.block.claims.lines import read_claims, reads_as_claim
from sitegen.block.misplaced import FEWEST_WORDS, FILLED, told_once
from sitegen.block.model import Context, Drawn, Given, Mark, Reference, Show, Solved, Spelt
from sitegen.cube.address import looks_like_address
from sitegen.cube.classes import CLASSES
from sitegen.cube.place_hints import JOINING
from sitegen.cube.places import read_places
from sitegen.cube.possible import REASONS
from sitegen.cube.size import read_size
from sitegen.cube.textnet import empty_faces, full_net, read_net
from sitegen.draw.styles import STYLES
from sitegen.notation.read import read_moves
from sitegen.notation.spell import spell_phrases
from sitegen.problem import Source, Wrong
from sitegen.wording import meant

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from sitegen.block.claims.claim import Stated
    from sitegen.block.model import Origin
    from sitegen.cube.places import Place
    from sitegen.cube.textnet import Net
    from sitegen.notation.tree import Spacing

SHOWN: Final = {
    "before": "the position before the moves",
    "after": "the position after the moves",
    "steps": "the position after each line of the moves",
    "none": "no picture",
    "source": "the block's own text beside it",
    "nosetup": "the moves in `from` are not printed",
    **{word: style.meaning for word, style in STYLES.items()},
}

FOLDS: Final = {"answer": "moves and after behind a button", "all": "everything behind a button"}

MOST_MARKS: Final = 500
"""How many places a block may ring."""

_REFERENCE: Final = re.compile(r"(?P<page>[^#\n]*)#(?P<id>[A-Za-z0-9-]+)(?:\s+(?P<start>start))?")
_MORE_THAN_AN_ID: Final = re.compile(r"([^#\n]*#[A-Za-z0-9-]+)[^\S\n].*")
WHOLE: Final = re.compile(
    r"\s*((?i:solved|last)|(?!//)[^\s#]*#[A-Za-z0-9-]+(?:[^\S\n]+start)?)[^\S\n]*(?://.*)?\n\s*(\S.*)"
)
"""A word or a reference, which says all of a position, and the first line below it."""

_WORDS: Final[dict[str, Origin]] = {"solved": Solved(), "last": Reference("", "", at_start=False)}
_ABOVE: Final = ("above", "previous", "before")
"""Other words for `last`."""

_FACE_ROW: Final = re.compile(r"^[^\S\n]*[ULFRBD][^\S\n]*:", re.MULTILINE)


class Reading(Struct):
    """A value being read: its text, what is known of its block, and what is wrong with it.

    Attributes:
        source: the value, from just past the colon.
        context: what the page gives.
        n: layers each way.
        phrases: how many phrases the block's moves have; None where these cannot be read.
        faults: what is wrong, offsets in `source.text`.
        spacings: turns that could be read otherwise.
        hidden: a key that stands indented among the lines of the value; "" for none.
    """

    source: Source
    context: Context
    n: int
    phrases: int | None = 0
    faults: list[Wrong] = field(default_factory=list)
    spacings: list[Spacing] = field(default_factory=list)
    hidden: str = ""

    @property
    def in_one_line(self) -> str:
        """The value as its words alone, a space between them."""
        return " ".join(self.source.text.split())

    def wrong(self, message: str, start: int = 0, end: int = 0, rule: str = "bad-value") -> None:
        """Complain of a part of the value; without a part, of all of it."""
        if not end:
            start, end = self.source.filled
        self.faults.append(Wrong(rule, message, start, end))


class Key(NamedTuple):
    """A key of a block.

    Attributes:
        field: the field of `Block` it fills.
        read: the field's value; what is wrong is put into the reading's faults.
        meaning: for the reference page.
        default: what holds when it is left out, for the reference page.
        may_be_empty: whether nothing at all may stand after it.
    """

    field: str
    read: Callable[[Reading], Any]
    meaning: str
    default: str
    may_be_empty: bool = False


def _title(reading: Reading) -> str:
    return reading.in_one_line


def _cube(reading: Reading) -> int:
    text = reading.source.text.strip()
    try:
        return read_size(text, reading.context.largest)
    except Wrong as wrong:
        on_one_line = wrong.saying(" ".join(wrong.message.split()))
        reading.faults.append(on_one_line.moved(reading.source.text.index(text)))
        return reading.n


def read_spelt(reading: Reading) -> Spelt:
    """Read moves, each phrase with its turns."""
    faults: list[Wrong] = []
    setting = reading.context.setting(reading.n)
    moves = read_moves(reading.source.text, faults, reading.spacings, setting.sequences)
    # every phrase is spelt, also after a fault: all problems are told in one run
    spelt = spell_phrases((phrase.nodes for phrase in moves.phrases), setting, faults)
    steps = [*map(tuple, spelt)]
    reading.faults += sorted(faults, key=lambda wrong: wrong.start)
    return Spelt(reading.source, moves.phrases, tuple(steps))


def _moves(reading: Reading) -> Spelt:
    spelt = read_spelt(reading)
    _tell_once(reading, "notation")
    return spelt


def _tell_once(reading: Reading, rule: str) -> None:
    """Of what stands among moves or places and is plainly none tell once, not word by word."""
    if reading.faults:
        letters = reading.context.scheme.letters if rule == "notation" else ""
        is_claim = partial(reads_as_claim, _claim_reader(reading), "")
        found = told_once(reading.source.text, reading.faults, rule, letters, is_claim)
        reading.faults[:] = found


def _given(reading: Reading) -> Given | None:
    """The value of `from` or `to`."""
    origin = _origin(reading, reading.source.text.strip())
    return Given(reading.source, origin) if origin else None


def _origin(reading: Reading, text: str) -> Origin | None:
    """What a `from` or a `to` says: a word, a block's name, a net or moves."""
    if text in _WORDS:
        return _WORDS[text]
    word, comment, _ = text.partition("//")
    word = word.strip()
    if comment and (word in _WORDS or _REFERENCE.fullmatch(word)):
        reading.wrong(f"no comment stands after `{word}`: comments stand among moves alone")
        return None
    if more := WHOLE.match(reading.source.text):
        message = f"`{more[1]}` says all; is a key, as `moves:`, missing above this line?"
        reading.wrong(message, *more.span(2), rule="notation")
        return None
    if text.lower() in _WORDS:
        reading.wrong(f"`{text}` is written `{text.lower()}`")
        return None
    if "#" in text and "\n" not in text and "//" not in text.split("#", maxsplit=1)[0]:
        return _reference(reading, text)
    if net := full_net(reading.source.text, reading.n, reading.context.scheme):
        return _drawn_full(reading, net)
    return _moves_done(reading, text)


def _reference(reading: Reading, text: str) -> Reference | None:
    found = _REFERENCE.fullmatch(text)
    if found:
        return Reference(found["page"].strip(), found["id"], at_start=bool(found["start"]))
    write = "write `#id`, `#id start` or `page.md#id`"
    if more := _MORE_THAN_AN_ID.fullmatch(text):
        write = f"where that block ended is `{more[1]}`, and where it began `{more[1]} start`"
    reading.wrong(f"`{text}` is no reference: {write}; ids are letters, digits and hyphens")
    return None


def _moves_done(reading: Reading, text: str) -> Spelt:
    """Moves done from solved; where they cannot be read, what else may be meant is said."""
    spelt = read_spelt(reading)
    is_name = text in reading.context.sequences
    if reading.faults and not is_name and (block := _perhaps_a_word(text)):
        reading.faults[:] = []
        shown, more, _ = text.partition("\n")
        reading.wrong(f"`{shown}{more and ' ...'}` is no moves; {block}", rule="notation")
    elif reading.faults and (net := perhaps_a_net(reading)):
        first = reading.faults[0]
        message = f"read as moves: {first.message}; if a net was meant: {net}"
        reading.faults[:] = [first.saying(message)]
    else:
        _tell_once(reading, "notation")
    return spelt


def _perhaps_a_word(text: str) -> str:
    """What to write for a value which is no moves and may name a position; "" if it names none."""
    if (bare := text.strip(" .,;'\"`")) != text and bare in _WORDS:
        return f"it is written `{bare}`"
    if text in _ABOVE:
        return "where the block above ended is `last`"
    if text == "last start":
        return "`last` is where the block above ended; where it began is `#id start`"
    if word := re.match(r"(solved|last)[^\S\n]", text):
        return f"`{word[1]}` stands alone; take out what stands behind it"
    if page := re.fullmatch(r"(\S+\.md)(?:[^\S\n]+(?!start\b)([A-Za-z0-9-]+))?(?:\s+start)?", text):
        return f"a block is named with its page: `{page[1]}#{page[2] or 'id'}`"
    offer = f"#{text}"
    if text.isalpha() and not text.isascii():  # a word, and no id
        offer = "#id"
    elif not re.fullmatch(r"(?=.*[a-z]{3})[A-Za-z0-9-]+(?:\s+start)?", text):
        return ""
    solved = ", and the solved cube is `solved`" if text.isalpha() else ""
    return f"a block is named by its id, `{offer}`{solved}"


def _drawn_full(reading: Reading, net: Net) -> Drawn | None:
    if unknown := net.dots:
        at = unknown[0].offset
        message = "a position is drawn in full: no dots; every cell has its colour"
        reading.wrong(message, at, at + 1, "net-shape")
        return None
    return Drawn(reading.source, net)


_SYMBOLS: Final = re.compile(r"[\s\u2b00-\u2bff\U0001f534-\U0001f7eb]")
"""Blanks, and coloured squares and circles, which some write for colours."""


def perhaps_a_net(reading: Reading) -> str:
    """What is wrong with a value read as a net, if it looks like one; else ""."""
    text = reading.source.text
    letters = {*reading.context.scheme.letters.casefold(), "."}
    rows = [row for row in text.split("\n") if row.strip()]
    like = [row for row in rows if {*_SYMBOLS.sub("", row).casefold()} <= letters]
    is_one_line = len(rows) == 1 and rows == like and all(len(row) > 1 for row in text.split())
    if not (_FACE_ROW.search(text) or is_one_line or len(like) >= max(2, len(rows) // 2)):
        return ""
    faults: list[Wrong] = []
    net = read_net(text, reading.n, reading.context.scheme, faults)
    if net is not None:
        return "a position takes all six faces"
    return faults[0].message


_IN_WORDS: Final = re.compile(r"(?i:solved|last)|\S*#.*")
_TO_DRAW: Final = "draw it, or have it drawn by `sitegen redraw`"


def _net(reading: Reading) -> Drawn | None:
    text = reading.source.text
    if _IN_WORDS.fullmatch(text.strip()):
        message = (
            "a net is drawn here, in letters; a position in words stands after `from` or `to`, and "
            "`solved` also under `check`"
        )
        reading.wrong(message, rule="net-shape")
        return None
    if not text.strip():
        reading.wrong(f"the net is empty: {_TO_DRAW}", rule="net-shape")
        return None
    faults: list[Wrong] = []
    net = read_net(text, reading.n, reading.context.scheme, faults)
    empty = empty_faces(text) if faults else {}
    for wrong in faults:
        face = empty.get(wrong.start)
        told = wrong.saying(f"the face {face} is empty: {_TO_DRAW}") if face else wrong
        reading.faults.append(told)
    return Drawn(reading.source, net) if net else None


def _check(reading: Reading) -> tuple[Stated, ...]:
    text = reading.source.text
    claims = read_claims(text, reading.phrases, _claim_reader(reading))
    if reading.faults:
        letters = reading.context.scheme.letters
        reading.faults[:] = told_once(text, reading.faults, "bad-check", letters)
    return claims


def _claim_reader(reading: Reading) -> Reader:
    context = reading.context
    setting = context.setting(reading.n)
    metric = "" if "metric" in context.unread else context.metric
    return Reader(reading.n, context.scheme, setting, metric, reading.faults, reading.spacings)


def _impossible(reading: Reading) -> str:
    text = reading.in_one_line
    if text not in REASONS:
        reading.wrong(_unknown(text, REASONS, "a reason is one of"))
    return text


def _marks(reading: Reading) -> tuple[Mark, ...]:
    marks: list[Mark] = []
    for found in re.finditer(r"[^,\n]+", reading.source.text):
        if found[0].strip():
            marks += _marks_in(reading, found[0], found.start())
        if len(marks) > MOST_MARKS:
            message = f"at most {MOST_MARKS} places are ringed in one block"
            reading.wrong(message, found.start(), found.end(), rule="limit")
            break
    _tell_once(reading, "bad-value")
    return tuple(marks)


def _marks_in(reading: Reading, part: str, at: int) -> list[Mark]:
    """The marks in a part of the value that holds no comma; none where it has a fault."""
    where, equals, label = part.partition("=")
    faults: list[Wrong] = []
    places = read_places(where, reading.n, reading.context.scheme, faults)
    if faults and looks_like_address(place := label.strip()):
        offer = f"{place} = {where.strip()}"
        message = f"a place stands before `=`, and the word at its ring behind it: `{offer}`"
        start = at + len(where) - len(where.lstrip())
        reading.wrong(message, start, at + len(part.rstrip()))
        return []
    for wrong in faults:
        is_joining = where[wrong.start : wrong.end] in JOINING
        may_be_word = wrong.rule == "bad-value" and not equals and not is_joining
        stands_behind = where[: wrong.start].strip() and places
        is_word = may_be_word and (":" in where or stands_behind)
        hint = "; the word at a ring stands after `=`: `UF2R = a`" if is_word else ""
        reading.faults.append(wrong.saying(wrong.message + hint).moved(at))
    if faults:
        return []
    start, end, word = at + len(where), at + len(part), label.strip()
    unfit = next((p for p in places if p.kind in CLASSES and not p.colours), None)
    if not places:
        reading.wrong("a place is missing here", start, end)
    elif unfit:
        message = (
            f"`{unfit.text}` is a class, and only places are ringed; name them, or keep the class "
            "in colour with `focus`"
        )
        reading.wrong(message, at + unfit.start, at + unfit.end)
    elif equals and (len(word.split()) != 1 or len(places) > 1):
        message = "after `=` comes one word, for one place alone: `UF2R = a, FD3L = b`"
        reading.wrong(message, start, end)
    else:
        return [Mark(place, word) for place in places]
    return []


def _focus(reading: Reading) -> tuple[Place, ...]:
    text, faults = reading.source.text, list[Wrong]()
    places = read_places(text, reading.n, reading.context.scheme, faults)
    ring = None  # where several have a word, the first says it for all
    for wrong in faults:
        if text[wrong.start : wrong.end] != "=":
            reading.faults.append(wrong)
        elif ring is None:
            message = "`focus` knows places alone; the word at a ring stands in `mark`: `UF2R = a`"
            ring = wrong.saying(message)
            reading.faults.append(ring)
    _tell_once(reading, "bad-value")
    return places


def _show(reading: Reading) -> Show:
    given = set[str]()
    for line in FILLED.finditer(reading.source.text):
        words = [*re.compile(r"[^\s,]+").finditer(reading.source.text, *line.span())]
        given.update(word[0] for word in words)
        unknown = [word for word in words if word[0] not in SHOWN]
        if len(unknown) > FEWEST_WORDS and len(unknown) == len(words):  # a line of something else
            reading.wrong(_unknown(line[0].rstrip(), SHOWN, "`show` knows"), *line.span())
            continue
        for word in unknown:
            reading.wrong(_unknown(word[0], SHOWN, "`show` knows"), *word.span())
    pictures = given & {"before", "after", "steps"}
    styles = given & {*STYLES}
    if "none" in given and pictures:
        reading.wrong("`none` asks for no picture, and a word beside it for one; choose")
    if len(styles) > 1:
        ways = " or ".join(f"`{style}`" for style in sorted(styles))
        reading.wrong(f"a picture is drawn in one way: {ways}")
    every = not pictures and "none" not in given
    return Show(
        before=every or "before" in given,
        after=every or "after" in given,
        steps="steps" in given,
        style=next(iter(sorted(styles)), "net"),
        source="source" in given,
        setup="nosetup" not in given,
    )


def _fold(reading: Reading) -> str:
    text = reading.in_one_line
    if text not in FOLDS:
        reading.wrong(_unknown(text, FOLDS, "`fold` is"))
        return "open"
    return text


def _unknown(word: str, known: Collection[str], lead: str) -> str:
    near = meant(word, known)
    hint = f"; did you mean `{near}`?" if near else ""
    return f"`{word}` is not known; {lead} {', '.join(f'`{k}`' for k in known)}{hint}"


KEYS: Final = {
    "title": Key("title", _title, "the caption, printed as it is typed", "none"),
    "cube": Key(
        "n",
        _cube,
        "how many layers the cube has: `7` or `7x7`",
        "the page's, else the site's, else 3",
    ),
    "from": Key(
        "start",
        _given,
        "the position before the moves: `solved`, moves done from solved, `last` (where the block "
        "above ended), `#id` or `page.md#id` (where that block ended; `#id start`: where it "
        "began), or a full text net",
        "`solved`; if `to` is given, whatever leads there",
    ),
    "to": Key(
        "goal",
        _given,
        "the position after the moves, in the same words, as it stands in space; with `from` left "
        "out, the position before is this one with the moves undone",
        "not asked",
    ),
    "moves": Key(
        "moves",
        _moves,
        "the moves; a line is a phrase, its comment the phrase's caption; empty for a picture only",
        "none",
        may_be_empty=True,
    ),
    "before": Key(
        "before",
        _net,
        "a text net that must match the position before",
        "not asked",
        may_be_empty=True,
    ),
    "after": Key(
        "after",
        _net,
        "a text net that must match the position after",
        "not asked",
        may_be_empty=True,
    ),
    "check": Key("claims", _check, "claims, one a line", "none", may_be_empty=True),
    "impossible": Key(
        "impossible",
        _impossible,
        "the net in `from` (no moves) is no position of the cube, first for this reason: "
        + ", ".join(f"`{reason}`" for reason in REASONS),
        "not said",
    ),
    "mark": Key(
        "marks",
        _marks,
        "places to ring, named where they are before the moves and followed through them; a word "
        "after `=` is printed at the ring",
        "none",
        may_be_empty=True,
    ),
    "focus": Key(
        "focus",
        _focus,
        "places and classes to keep in colour, named before the moves and followed; the rest is "
        "drawn as bare outlines",
        "everything",
    ),
    "show": Key(
        "show",
        _show,
        "which pictures are drawn, and what stands beside them: any of "
        + ", ".join(f"`{word}`" for word in SHOWN),
        "`before after net`",
    ),
    "fold": Key(
        "fold",
        _fold,
        "what is kept behind a button: " + " or ".join(f"`{word}`" for word in FOLDS),
        "open",
    ),
}
"""Every key of a block, in the order of the reference page."""

ANY_KEY: Final = "|".join(KEYS)
"""The name of a key, as a pattern."""

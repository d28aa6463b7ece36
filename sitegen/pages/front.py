"""What a page says of itself between the `---` lines at its top."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Final

from msgspec import Struct, field

from sitegen.block.hangs import as_plain_as_any
from sitegen.cube.size import read_size
from sitegen.notation.setting import Sequences
from sitegen.pages.files import SETTINGS_FILE
from sitegen.pages.plain_yaml import TopLines
from sitegen.pages.prose import asks_for_fact
from sitegen.pages.sequences import MOST_SEQUENCES, TOO_MANY, sequence_problems, wrong_in_name
from sitegen.pages.settings import SETTINGS, is_language_tag
from sitegen.problem import Problem, Wrong
from sitegen.wording import meant, meant_or_known, nothing_after

if TYPE_CHECKING:
    from collections.abc import Container, Mapping

    from sitegen.notation.setting import Lowercase
    from sitegen.pages.listed import PlacedName
    from sitegen.pages.plain_yaml import Typed
    from sitegen.pages.settings import Settings
    from sitegen.problem import Source

_MARK: Final = re.compile(r"---[ \t]*")
_LIKE_MARK: Final = re.compile(r"[-\u2010-\u2015\u2212]+[ \t]*")
"""What word processors make of it as well."""

_COMMENTS: Final = re.compile(r"(?:\s*<!--(?>.*?-->)[ \t]*(?=\n))*+", re.DOTALL)
"""The comments that a page begins with."""

_QUOTED: Final = re.compile(r"`([^`]+)`")

FRONT_KEYS: Final = {
    "title": "the page's title; without it, the first heading",
    "summary": "the page in a sentence",
    "cube": "the cube of blocks that name none, and of moves in the prose",
    "lowercase": "`wide` or `slice`: how `r` is read on this page",
    "sequences": "named sequences of this page: a map of name to moves",
    "needs": "pages to read first, named as in links, spaces between",
    "date": "when it was written: `2026-11-25`",
    "lang": "the page's language, where it is not the site's",
    "formerly": "the page's old addresses, named as in links, spaces between: each leads here",
    "tags": "words to find it by, commas between",
    "draft": "`yes`: checked, and published only by a preview",
}
"""Every key between the `---` lines, in the order of the reference page."""

_OTHER_WORDS: Final = {
    **dict.fromkeys(("description", "subtitle", "abstract"), "summary"),
    **dict.fromkeys(("name", "heading"), "title"),
    **dict.fromkeys(("size", "layers"), "cube"),
    **dict.fromkeys(("requires", "prerequisites"), "needs"),
    "keywords": "tags",
}
"""What plain words are written for a key: most are no nearer to it than to another key."""

_NEVER_EMPTY: Final = ("cube", "lowercase", "date", "lang", "draft")


class Front(Struct, frozen=True):
    """What a page says of itself.

    Attributes:
        lines: how many lines of the file it takes, its marks included; 0 if there is none.
        needs: the pages to read first, as written.
        formerly: the addresses that the page had before, as written.
        unread: for each key whose value could not be read, the line where this is told; the field
            stands at its default, whatever the site says.

    The other fields are the keys of the same names.
    """

    lines: int = 0
    title: str = ""
    summary: str = ""
    cube: int | None = None
    lowercase: Lowercase = ""
    sequences: Sequences = field(default_factory=Sequences)
    needs: tuple[PlacedName, ...] = ()
    formerly: tuple[PlacedName, ...] = ()
    date: str = ""
    lang: str = ""
    tags: tuple[str, ...] = ()
    draft: bool = False
    unread: Mapping[str, int] = field(default_factory=dict)


def read_front(file: str, text: str, settings: Settings) -> tuple[Front, list[Problem]]:
    """Read what stands between the `---` lines of a page, if it begins with one."""
    lines = text.split("\n")
    if not _MARK.fullmatch(lines[0]):
        comments = _COMMENTS.match(text)
        first = comments[0].count("\n") + 1 if comments and comments[0] else 0
        if unmarked := _unmarked(lines, first):
            return _unmarked_front(file, lines, unmarked, settings)
        own = Sequences({}, settings.sequences, settings.lowercase)
        return Front(lowercase=settings.lowercase, sequences=own), []
    end = next((i for i, line in enumerate(lines) if i and _MARK.fullmatch(line)), 0)
    top = TopLines(file, lines)
    if not end:
        message = (
            "the page begins with `---`, and no second `---` ends its first lines; "
            "put one below the last of them"
        )
        top.complain(message, 1, 1, 3)
        return _unread_front(len(lines), lines, 1, settings), top.problems
    is_bare = not any(line.strip() for line in lines[1:end])
    if is_bare and (unmarked := _unmarked(lines, end + 1)):
        message = (
            "nothing stands above this `---`, and the lines of the top of the page stand below it; "
            "take it out"
        )
        top.complain(message, end + 1, 1, 3)
        below = lines[unmarked.start : unmarked.stop]
        return _unread_front(unmarked.stop + 1, below, end + 1, settings), top.problems
    return _Reader(top, settings).read(end), top.problems


def _unread_front(count: int, lines: list[str], told: int, settings: Settings) -> Front:
    """Front matter of which nothing could be read: each key that its lines name is unread.

    Args:
        count: how many lines of the file it takes.
        lines: these lines.
        told: the line where it is told that they cannot be read.
        settings: the site's.
    """
    unread = {key: told for key in FRONT_KEYS if any(key in line for line in lines)}
    lowercase = "" if "lowercase" in unread else settings.lowercase
    sequences = Sequences({}, settings.sequences, lowercase, "sequences" in unread)
    return Front(count, lowercase=lowercase, sequences=sequences, unread=unread)


def _unmarked_front(
    file: str, lines: list[str], unmarked: range, settings: Settings
) -> tuple[Front, list[Problem]]:
    """Front matter without the `---` above it, which stands in some of the file's lines."""
    message = (
        "these are the lines of the top of a page, and `---` does not stand above them in the "
        "first line of the file"
    )
    here = lines[unmarked.start : unmarked.stop]
    wrong = Problem(file, unmarked.start + 1, 1, len(here[0]), "front-matter", message)
    return _unread_front(0, here, unmarked.start + 1, settings), [wrong]


def _unmarked(lines: list[str], start: int) -> range:
    """The lines, from 0, of front matter that only lacks the `---` above it; none if it is none.

    Args:
        lines: of the file.
        start: the first that it may stand in.
    """
    filled = (i for i, line in enumerate(lines[start:], start) if line.strip())
    first = next(filled, len(lines))
    if first < len(lines) and _LIKE_MARK.fullmatch(lines[first].strip()):
        first = next(filled, len(lines))
    for at, line in enumerate(lines[first:], first):
        if _LIKE_MARK.fullmatch(line):
            return range(first, at)
        goes_on = at > first and line[:1] in ("", " ", "\t")
        if line.partition(":")[0] not in FRONT_KEYS and not goes_on:
            break
    return range(0)


class _Reader:
    def __init__(self, top: TopLines, settings: Settings) -> None:
        self.top = top
        self.settings = settings
        self.unread: dict[str, int] = {}

    def read(self, end: int) -> Front:
        """Read the lines below the first, up to the one that ends them, counted from 0."""
        pairs = self.top.pairs(end)
        if pairs is None:
            told = self.top.problems[-1].line
            return _unread_front(end + 1, self.top.lines[1:end], told, self.settings)
        given: dict[str, Typed] = {}
        for key, value in pairs:
            if self.holds(key, value, given):
                given[key.plain] = value
        cube = self.cube(given.get("cube"))
        lowercase = self.lowercase(given.get("lowercase"))
        n = cube or as_plain_as_any(self.settings.cube, self.unread)
        return Front(
            lines=end + 1,
            title=self.sentence("title", given.get("title")),
            summary=self.sentence("summary", given.get("summary")),
            cube=cube,
            lowercase=lowercase,
            sequences=self.sequences(given.get("sequences"), lowercase, n),
            needs=_names(given.get("needs")),
            formerly=_names(given.get("formerly")),
            date=self.date(given.get("date")),
            lang=self.lang(given.get("lang")),
            tags=_tags(given.get("tags")),
            draft=self.draft(given.get("draft")),
            unread=self.unread,
        )

    def holds(self, key: Typed, value: Typed, seen: Container[str]) -> bool:
        """Whether a key can be read: known, not given before, and with a value if it needs one."""
        name = key.plain
        if name not in FRONT_KEYS:
            word = _OTHER_WORDS.get(name.lower(), name.lower())
            near = meant(word, FRONT_KEYS)
            if word in SETTINGS and not near:
                hint = f"`{word}` is told once, of the whole site, in `{SETTINGS_FILE}`"
            else:
                hint = meant_or_known(word, FRONT_KEYS, "keys are", most=len(FRONT_KEYS))
            key.complain(f"no key is called `{name}` here; {hint}")
            if near:
                self.note_unread(near, key)
        elif name in seen:
            key.complain(f"`{name}` is given twice")
        elif name in _NEVER_EMPTY and value.is_empty:
            value.complain(nothing_after(name))
            self.note_unread(name, value)
        else:
            return True
        return False

    def note_unread(self, key: str, value: Typed) -> None:
        """Remember that the value of a key could not be read, and where that is told."""
        self.unread.setdefault(key, value.line)

    def sentence(self, key: str, value: Typed | None) -> str:
        """A plain text, on one line; no facts are filled in there."""
        if value is None:
            return ""
        text = " ".join(value.text().split())
        if value.is_cut:
            value.complain("a `#`, `&` or `!` cuts this short; put the value in double quotes")
        if asked := next((one for one in _QUOTED.findall(text) if asks_for_fact(one)), ""):
            hint = "; a first heading can hold it, in place of `title`" if key == "title" else ""
            value.complain(
                f"`{key}` is printed as it is typed, so `{asked}` is not filled in{hint}; or write "
                "what it comes to"
            )
        return text

    def cube(self, value: Typed | None) -> int | None:
        if value is None:
            return None
        try:
            return read_size(value.text().strip(), self.settings.largest)
        except Wrong as wrong:
            rule = "limit" if wrong.rule == "limit" else "front-matter"
            value.complain(wrong.message, rule)
            self.note_unread("cube", value)
            return None

    def lowercase(self, value: Typed | None) -> Lowercase:
        if value is None:
            return "" if "lowercase" in self.unread else self.settings.lowercase
        text = value.text()
        if text == "wide":
            return "wide"
        if text == "slice":
            return "slice"
        value.complain(f"`lowercase` is `wide` or `slice`, not `{text}`")
        self.note_unread("lowercase", value)
        return ""

    def sequences(self, value: Typed | None, lowercase: Lowercase, n: int) -> Sequences:
        problems = self.top.problems
        told = len(problems)
        pairs = value.pairs if value else []
        if value and pairs is None and value.text():
            value.complain("`sequences` is a map of name to moves, a name a line, indented")
        texts, sources = _named_moves(pairs or [], problems)
        if len(problems) > told:
            self.unread["sequences"] = problems[told].line
        is_lost = "sequences" in self.unread
        sequences = Sequences(texts, self.settings.sequences, lowercase, is_lost)
        problems += sequence_problems(sequences, sources, n)
        return sequences

    def date(self, value: Typed | None) -> str:
        if value is None:
            return ""
        text = value.text().strip()
        try:
            if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
                return date.fromisoformat(text).isoformat()
        except ValueError:
            pass
        value.complain(f"`{text}` is no date; write year, month and day: `2026-11-25`")
        return ""

    def lang(self, value: Typed | None) -> str:
        if value is None:
            return ""
        text = value.text().strip()
        if is_language_tag(text):
            return text
        value.complain(f"`{text}` is no language tag; write one such as `de` or `en-GB`")
        return ""

    def draft(self, value: Typed | None) -> bool:
        text = value.text().strip().lower() if value else "no"
        if value is None or text in ("no", "false"):
            return False
        if text in ("yes", "true"):
            return True
        value.complain(f"`draft` is `yes` or `no`, not `{text}`")
        return False


def _named_moves(
    pairs: list[tuple[Typed, Typed]], problems: list[Problem]
) -> tuple[dict[str, str], dict[str, Source]]:
    """Named sequences: the moves of each, and where they stand; what is wrong joins `problems`."""
    texts: dict[str, str] = {}
    sources: dict[str, Source] = {}
    for key, value in pairs:
        name = key.text()
        if wrong := wrong_in_name(name):
            key.complain(wrong)
        elif name in texts:
            key.complain(f"the sequence `{name}` is given twice")
        elif len(texts) == MOST_SEQUENCES:
            key.complain(TOO_MANY, "limit")
            break
        else:
            before, moves = len(problems), value.text_in_lines()
            if moves or len(problems) == before:
                texts[name], sources[name] = moves, value.source(moves)
    return texts, sources


def _names(value: Typed | None) -> tuple[PlacedName, ...]:
    """Pages named as in links; commas between them are taken for spaces."""
    words = value.words() if value else ()
    return tuple(one._replace(name=one.name.strip(",")) for one in words)


def _tags(value: Typed | None) -> tuple[str, ...]:
    if value is None:
        return ()
    items = value.items
    texts = value.text().split(",") if items is None else [item.text() for item in items]
    return tuple(" ".join(text.split()) for text in texts if text.strip())

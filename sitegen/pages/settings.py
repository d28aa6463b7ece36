"""`site.toml`, read: everything optional, everything checked."""

from __future__ import annotations

import re
from functools import cached_property
from itertools import islice
from typing import TYPE_CHECKING, Any, Final, NamedTuple, cast
from urllib.parse import urlsplit

from msgspec import Struct, field

from sitegen.block.model import Context
from sitegen.cube.geometry import LARGEST, SMALLEST
from sitegen.cube.scheme import DEFAULT, FACES, Scheme
from sitegen.in_xml import in_no_page
from sitegen.notation.count import METRICS
from sitegen.notation.read import read_moves
from sitegen.notation.setting import MOST_TURNS, Lowercase, Sequences
from sitegen.pages.files import SETTINGS_FILE
from sitegen.pages.sequences import MOST_SEQUENCES, TOO_MANY, sequence_problems, wrong_in_name
from sitegen.pages.toml import read_toml
from sitegen.problem import Problem, Source
from sitegen.wording import meant, meant_or_known, with_odd_signs

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping

    from sitegen.pages.toml import TomlPlace
    from sitegen.problem import Wrong

DEFAULT_METRIC: Final = "STM"


class CourseList(Struct, frozen=True):
    """A course as `site.toml` lists it; `at`: line, column and length of each page's name there."""

    title: str
    summary: str
    pages: tuple[str, ...]
    at: tuple[tuple[int, int, int], ...]


class Settings(Struct, frozen=True):
    """A site's settings; the fields are the keys of `site.toml`.

    Attributes:
        letters: print the colours' letters on the stickers of all pictures.
        raw_html: let HTML in pages through as it is.
        scheme: from `[colours]`.
        sequences: from `[sequences]`.
        largest: the largest cube allowed, from `[limits]`.
        most_turns: how many turns moves may come to, from `[limits]`.
        unread: for each key that could not be read, or not whole, the line where this is told.
    """

    title: str = "Cube lessons"
    summary: str = ""
    author: str = ""
    url: str = ""
    lang: str = "en"
    cube: int = 3
    lowercase: Lowercase = ""
    metric: str = DEFAULT_METRIC
    letters: bool = False
    raw_html: bool = False
    scheme: Scheme = DEFAULT
    sequences: Sequences = field(default_factory=Sequences)
    largest: int = LARGEST
    most_turns: int = MOST_TURNS
    courses: tuple[CourseList, ...] = ()
    unread: Mapping[str, int] = field(default_factory=dict)

    def context(self) -> Context:
        """What blocks get where their page says nothing."""
        return Context(
            n=self.cube,
            largest=self.largest,
            most_turns=self.most_turns,
            scheme=self.scheme,
            lowercase=self.lowercase,
            sequences=self.sequences,
            metric=self.metric,
        )


class TomlKey(NamedTuple):
    """A key at the top of `site.toml`.

    Attributes:
        kind: what its value must be, in words.
        fits: whether a value is that.
        meaning: for the reference page.
    """

    kind: str
    fits: Callable[[Any], bool]
    meaning: str


def is_language_tag(text: str) -> bool:
    """Whether a text has the shape of a language tag, BCP 47: `en`, `en-GB`, `zh-Hant`.

    More than three letters could begin one, but no language is called so (RFC 5646, 2.2.1; from
    memory), and `german` is not what a browser knows as `de`.
    """
    return re.fullmatch(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{1,8})*", text) is not None


def _is_url(text: str) -> bool:
    try:
        urlsplit(text)
    except ValueError:  # a square bracket that is never closed
        return False
    shape = r"https?://[^\s/?#]+(/[^\s?#]*)?"
    return text.isprintable() and re.fullmatch(shape, text) is not None


def _unquoted(value: Any) -> Any:  # noqa: ANN401 - whatever TOML can hold
    """What a short text between quotation marks would be without them, if it is one."""
    bare = {"true": True, "false": False, **{str(number): number for number in range(LARGEST + 1)}}
    return bare.get(value) if isinstance(value, str) else None


def _is_number(value: Any) -> bool:  # noqa: ANN401 - as above
    return isinstance(value, int) and not isinstance(value, bool)


def _text(kind: str, fits: Callable[[str], bool], meaning: str) -> TomlKey:
    return TomlKey(kind, lambda v: isinstance(v, str) and fits(v), meaning)


def _flag(meaning: str) -> TomlKey:
    return TomlKey("true or false", lambda v: isinstance(v, bool), meaning)


def _table(meaning: str) -> TomlKey:
    return TomlKey("a table", lambda v: isinstance(v, dict), meaning)


SETTINGS: Final = {
    "language": TomlKey(
        "1", lambda v: _is_number(v) and v == 1, "the version of the authoring language"
    ),
    "title": _text("a text that is not empty", lambda v: bool(v.strip()), "the site's name"),
    "summary": _text("a text", lambda _: True, "the site in a sentence"),
    "author": _text("a text", lambda _: True, "who writes it"),
    "url": _text(
        "an https:// or http:// address, such as `https://club.example/cubes/`",
        _is_url,
        "where it is published",
    ),
    "lang": _text("a language tag such as `de` or `en-GB`", is_language_tag, "its language"),
    "cube": TomlKey(
        f"a whole number, {SMALLEST} to {LARGEST}", _is_number, "the cube where a page names none"
    ),
    "lowercase": _text(
        "`wide` or `slice`",
        lambda v: v in ("wide", "slice"),
        "how `r` is read: as `Rw` or as `2R`; without it, `r` is an error",
    ),
    "metric": _text(
        f"one of {', '.join(METRICS)}",
        lambda v: v in METRICS,
        "how turns are counted where nothing is said",
    ),
    "letters": _flag("print the colours' letters on the stickers"),
    "raw_html": _flag("let HTML in pages through as it is; without it, it is printed as text"),
    "colours": _table("for a face letter each: `letter`, `name`, `value`"),
    "sequences": _table("named sequences: name to moves"),
    "limits": _table("`cube`, the largest; `turns`, the most in one block"),
    "courses": TomlKey(
        "tables, each begun by [[courses]]",
        lambda v: isinstance(v, list) and all(isinstance(one, dict) for one in v),
        "`title`, `summary`, and `pages` in order",
    ),
}
"""Every key at the top of `site.toml`, in the order of the reference page."""

LIMITS: Final = {"cube": (SMALLEST, LARGEST), "turns": (1, MOST_TURNS)}

_GIVEN: Final = re.compile(
    r"(?<![\w-])(?P<name>[\w-]+)[\"']?[ \t]*[=:][ \t]*(?:\"{3}\n?|'{3}\n?|[\"']?)"
)
"""A name and what stands before the moves it is given; several may stand on a line."""

_QUOTED: Final = re.compile(r"#[^\n]*|(?P<text>\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*')")
"""A comment, or a text in quotes that begins and ends on one line."""

_HINT: Final = (
    "; texts stand in straight quotes, lists in square brackets with commas between, and each "
    "course begins with `[[courses]]`"
)

COURSE_KEYS: Final = ("title", "summary", "pages")
COLOUR_KEYS: Final = {
    "letter": _text(
        "one letter", lambda v: len(v) == 1 and v.isalpha(), "as text nets write the colour"
    ),
    "name": _text("a word", lambda v: bool(v.strip()), "the colour in a word"),
    "value": _text(
        "like `#1a7f3c`",
        lambda v: re.fullmatch(r"#[0-9a-fA-F]{6}", v) is not None,
        "the colour in pictures",
    ),
}


def read_settings(data: bytes) -> tuple[Settings, list[Problem]]:
    """Read `site.toml`; what cannot be read stays at its default."""
    reader = _Reader(data)
    return reader.read(), reader.problems


class _Reader:
    def __init__(self, data: bytes) -> None:
        self.problems: list[Problem] = []
        self.unread: dict[str, int] = {}
        text = ""
        try:
            text = data.decode("utf-8-sig").replace("\r\n", "\n")
        except UnicodeDecodeError as error:
            line = data.count(b"\n", 0, error.start) + 1
            message = "this file is not written in UTF-8; save it as UTF-8"
            self.problems.append(Problem(SETTINGS_FILE, line, 1, 1, "settings", message))
            self.unread = {key: line for key in SETTINGS if key.encode() in data}
        self.toml = read_toml(text, _HINT)
        for slip in self.toml.slips:
            self.complain(*slip)
        if self.toml.slips:
            self.lose_slipped()

    def complain(self, message: str, line: int, column: int = 1, length: int = 1) -> None:
        # not each form of a key is found in its line, but each is quoted
        said = with_odd_signs(message, "".join([message, *self.toml.lines[line - 1 : line]]))
        self.problems.append(Problem(SETTINGS_FILE, line, column, length, "settings", said))

    def wrong(self, message: str, *path: str | int) -> None:
        """Complain of a key, at the line it stands in."""
        line, column, length = self.toml.place(*path)
        if line not in self.toml.slipped:  # of which that is told already
            self.complain(message, line, column, length)
        key = str(path[0])
        if key in SETTINGS:
            self.unread.setdefault(key, line)
        elif (near := meant(key, SETTINGS)) and near not in self.toml.table:
            self.unread.setdefault(near, line)

    def unknown(self, known: Collection[str], *path: str | int) -> None:
        """Complain of a key that is none of those known where it stands."""
        key = str(path[-1])
        if key in SETTINGS and not meant(key, known):
            self.misplaced(*path)
        else:
            hint = meant_or_known(key, known, "settings here are", most=len(known))
            self.wrong(f"no setting is called `{key}`; {hint}", *path)

    def misplaced(self, *path: str | int) -> None:
        """Complain of a setting of the whole site that stands in a table."""
        key = str(path[-1])
        where = "it stands above the first line that begins with a bracket"
        self.wrong(f"`{key}` is a setting of the whole site, and none in here; {where}", *path)
        if key not in self.toml.table:
            self.unread.setdefault(key, self.toml.place(*path)[0])

    def lose_slipped(self) -> None:
        """Remember the keys that lines name and that nothing could be read of, or not all.

        Nor does anybody know what those say that a merge left in two versions.
        """
        slipped, merged = self.toml.slipped, self.toml.merged
        for (key, *inner), places in self.toml.places.items():
            if told := next((merged[line] for line, *_ in places if line in merged), 0):
                self.unread.setdefault(str(key), told)
            value: Any = self.toml.table
            for part in (key, *inner):
                try:
                    value = value[part]
                except (LookupError, TypeError):
                    line = places[-1][0]
                    told = next((at for at in slipped if at >= line), slipped[-1])
                    self.unread.setdefault(str(key), told)
                    break

    @cached_property
    def whole(self) -> Source:
        """The file, to find places in."""
        return Source.whole(SETTINGS_FILE, self.toml.text)

    def read(self) -> Settings:
        self.odd_signs()
        top = {key: value for key, value in self.toml.table.items() if self.fits(key, value)}
        fields: dict[str, Any] = {key: top[key] for key in Settings.__struct_fields__ if key in top}
        limits = self.limits(top.get("limits", {}))
        largest = limits.get("cube", LARGEST)
        cube = top.get("cube", min(3, largest))
        if not SMALLEST <= cube <= largest:
            self.wrong(f"`cube` is {SMALLEST} to {largest} here, not {cube}", "cube")
            cube = 3
        fields["cube"] = cube
        fields["scheme"] = self.scheme(top.get("colours", {}))
        sequences = self.sequences(top.get("sequences", {}), top.get("lowercase", ""), cube)
        fields["sequences"] = sequences
        courses = enumerate(top.get("courses", []))
        fields["courses"] = tuple(self.course(number, one) for number, one in courses)
        most = limits.get("turns", MOST_TURNS)
        return Settings(**fields, largest=largest, most_turns=most, unread=self.unread)

    def odd_signs(self) -> None:
        """Complain of the texts that hold what can stand on no page: TOML can write it escaped."""
        waiting: list[tuple[tuple[str | int, ...], Any]] = [((), self.toml.table)]
        while waiting:
            path, value = waiting.pop()
            if isinstance(value, dict):
                waiting += [((*path, key), one) for key, one in value.items()]
            elif isinstance(value, list):
                waiting += [((*path, number), one) for number, one in enumerate(value)]
            elif isinstance(value, str) and (odd := in_no_page(value)):
                key = next(part for part in reversed(path) if isinstance(part, str))
                message = f"`{key}` holds {odd}, which can stand on no page; take it out"
                self.wrong(message, *path)

    def fits(self, key: str, value: Any) -> bool:  # noqa: ANN401 - whatever TOML can hold
        if key not in SETTINGS:
            self.unknown(SETTINGS, key)
            return False
        setting = SETTINGS[key]
        if not setting.fits(value):
            quoted = "; take the quotation marks away" if setting.fits(_unquoted(value)) else ""
            hints = {
                "a table": f": `[{key}]` on a line of its own, and below it what belongs to it",
                "a text": ": write it in quotes",
            }
            self.wrong(f"`{key}` must be {setting.kind}{hints.get(setting.kind, quoted)}", key)
            return False
        return True

    def limits(self, table: dict[str, Any]) -> dict[str, int]:
        kept = {}
        for key, value in table.items():
            if key not in LIMITS:
                self.unknown(LIMITS, "limits", key)
                continue
            low, high = LIMITS[key]
            if not _is_number(value) or not low <= value <= high:
                self.wrong(f"`{key}` must be a whole number, {low} to {high}", "limits", key)
            else:
                kept[key] = value
        return kept

    def scheme(self, table: dict[str, Any]) -> Scheme:
        fields = {
            "letter": list(DEFAULT.letters),
            "name": list(DEFAULT.names),
            "value": list(DEFAULT.values),
        }
        for face, colour in table.items():
            if face not in tuple(FACES) or not isinstance(colour, dict):
                message = (
                    "`[colours]` takes the faces U L F R B D, each with a table, such as "
                    '`D = { letter = "K", name = "black" }`'
                )
                self.wrong(message, "colours", face)
                continue
            for key, value in colour.items():
                if self.fits_colour(face, key, value):
                    fields[key][FACES.index(face)] = value.strip()
        letters = "".join(fields["letter"])
        if len(set(letters)) < 6:
            self.wrong(
                f"two colours have one letter: {' '.join(letters)}; give each its own", "colours"
            )
            letters = DEFAULT.letters
        return Scheme(letters, tuple(fields["name"]), tuple(fields["value"]))

    def fits_colour(self, face: str, key: str, value: Any) -> bool:  # noqa: ANN401 - as above
        if key not in COLOUR_KEYS:
            self.unknown(COLOUR_KEYS, "colours", face, key)
            return False
        if COLOUR_KEYS[key].fits(value):
            return True
        message = f"`{key}` of a colour must be {COLOUR_KEYS[key].kind}"
        if key == "letter":
            self.wrong(message, "colours", face, key)
        else:  # nothing is read by it
            self.complain(message, *self.toml.place("colours", face, key))
        return False

    def sequences(self, table: dict[str, Any], lowercase: Lowercase, n: int) -> Sequences:
        texts: dict[str, str] = {}
        for name, moves in table.items():
            if name in SETTINGS and SETTINGS[name].fits(moves) and not _are_moves(moves):
                self.misplaced("sequences", name)
            elif not isinstance(moves, str):
                self.wrong(
                    f"the sequence `{name}` must be a text of moves, in quotes", "sequences", name
                )
            elif wrong := wrong_in_name(name):
                self.wrong(wrong, "sequences", name)
            elif len(texts) == MOST_SEQUENCES:
                self.wrong(TOO_MANY, "sequences", name)
                break
            else:
                texts[name] = moves
        sequences = Sequences(texts, None, lowercase, "sequences" in self.unread)
        sources = {name: self.source(name, moves) for name, moves in texts.items()}
        self.problems += sequence_problems(sequences, sources, n)
        return sequences

    def source(self, name: str, moves: str) -> Source:
        """Where a sequence's moves stand; the place of their first if any sign is escaped."""
        line, column, _ = self.toml.place("sequences", name)
        start, end = self.whole.starts[line - 1 : line + 1]
        given = _GIVEN.finditer(self.toml.text, start, end)
        ends = (one.end() for one in given if one["name"] == name)
        at = next(ends, start + column - 1)
        is_plain = self.toml.text.startswith(moves, at)
        return self.whole.part(at, at + len(moves) if is_plain else at)

    def course(self, number: int, table: dict[str, Any]) -> CourseList:
        path: tuple[str | int, ...] = ("courses", number)
        for key in table:
            if key not in COURSE_KEYS:
                self.unknown(COURSE_KEYS, *path, key)
        texts = {}
        for key in ("title", "summary"):
            value = table.get(key, "")
            if not isinstance(value, str):
                self.wrong(f"`{key}` of a course must be a text: write it in quotes", *path, key)
                value = ""
            texts[key] = value
        if not texts["title"].strip():
            self.wrong("a course needs a `title`", *path)
            texts["title"] = f"Course {number + 1}"
        pages = table.get("pages", [])
        if not isinstance(pages, list) or not all(isinstance(page, str) for page in pages):
            self.wrong("`pages` of a course must be a list of page names", *path, "pages")
            pages = []
        listed = tuple(cast("list[str]", pages))
        at = self.listed(len(listed), (*path, "pages"))
        return CourseList(texts["title"], texts["summary"], listed, at)

    def listed(self, number: int, path: tuple[str | int, ...]) -> tuple[TomlPlace, ...]:
        """Where the texts of a list stand that begins on the line of its key, each in its quotes.

        In a form that lines do not show they stand at the key.
        """
        key = line, column, length = self.toml.place(*path)
        start = self.whole.starts[line - 1] + column - 1 + length
        found = (one for one in _QUOTED.finditer(self.toml.text, start) if one["text"])
        shown = islice(found, number if path in self.toml.places else 0)
        places = [(*self.whole.place(one.start()), len(one[0])) for one in shown]
        return (*places, *[key] * (number - len(places)))


def _are_moves(value: Any) -> bool:  # noqa: ANN401 - whatever TOML can hold
    """Whether a value can be read as moves, the names in them aside."""
    faults: list[Wrong] = []
    if isinstance(value, str):
        read_moves(value, faults)
    return isinstance(value, str) and not faults

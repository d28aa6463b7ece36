"""The lines between `---` at the top of a page, read: YAML of plain strings."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Final, cast

import yaml
from msgspec import Struct, field
from yaml.reader import ReaderError

from sitegen.block.hangs import as_plain_as_any
from sitegen.cube.size import read_size
from sitegen.in_xml import in_no_page
from sitegen.notation.spell import Sequences
from sitegen.pages.listed import PlacedName
from sitegen.pages.prose import asks_for_fact
from sitegen.pages.sequences import MOST_SEQUENCES, sequence_problems
from sitegen.pages.settings import is_language_tag
from sitegen.problem import Problem, Source, Wrong
from sitegen.wording import in_plain_signs, meant, meant_or_known, nothing_after, with_odd_signs

if TYPE_CHECKING:
    from collections.abc import Container, Mapping

    from sitegen.notation.spell import Lowercase
    from sitegen.pages.settings import Settings

LONGEST: Final = 65_536
"""Characters that the lines between `---` may have."""

DEEPEST: Final = 500
"""Opening brackets, and marks of nested lists, that they may hold: YAML is read by recursion."""

_MARK: Final = re.compile(r"---[ \t]*")
_LIKE_MARK: Final = re.compile(r"[-\u2010-\u2015\u2212]+[ \t]*")
"""What word processors make of it as well."""

_PAIR: Final = re.compile(r"\s*(?:#|[\w-]+\s*:(?:\s|$))")
_NEARLY_PAIR: Final = re.compile(r"\s*[\w-]+\s*[:=]")
"""The beginning of a line that gives a key its value, and of one that is meant to."""

_NO_PAIR: Final = "these lines must be `key: value`, a key a line, and a space after its colon"

_QUOTED: Final = re.compile(r"`([^`]+)`")
_INDICATORS: Final = frozenset("*&!%@`|>-?,")
"""The signs, beside quotes and brackets, that mean something to YAML where a value begins with them
(YAML 1.2.2, section 5.3)."""

_LOADER: Final = getattr(yaml, "CBaseLoader", yaml.BaseLoader)

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
    own = Sequences({}, settings.sequences, settings.lowercase)
    lines = text.split("\n")
    if not _MARK.fullmatch(lines[0]):
        plain, missed = (
            Front(lowercase=settings.lowercase, sequences=own),
            _begin_of_unmarked(lines),
        )
        if not missed:
            return plain, []
        message = (
            "these are the lines of the top of a page, and `---` does not stand above them in the "
            "first line of the file"
        )
        length = len(lines[missed - 1])
        wrong = Problem(file, missed, 1, length, "front-matter", message)
        end = next(i for i, line in enumerate(lines) if i >= missed and _LIKE_MARK.fullmatch(line))
        return _unread_front(0, lines[missed - 1 : end], missed, settings), [wrong]
    end = next((i for i, line in enumerate(lines) if i and _MARK.fullmatch(line)), 0)
    reader = _Reader(file, lines, settings)
    if not end:
        message = (
            "the page begins with `---`, and no second `---` ends its first lines; "
            "put one below the last of them"
        )
        reader.complain(message, 1, 1, 3)
        return _unread_front(len(lines), lines, 1, settings), reader.problems
    return reader.read(lines[1:end], end + 1), reader.problems


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


def _begin_of_unmarked(lines: list[str]) -> int:
    """The line, from 1, where front matter begins that only lacks the `---` above it; else 0."""
    first = next((i for i, line in enumerate(lines) if line.strip()), 0)
    if _LIKE_MARK.fullmatch(lines[first].strip()):
        first += 1
    for number, line in enumerate(lines[first:]):
        if _LIKE_MARK.fullmatch(line):
            return first + 1 if number else 0
        if line.partition(":")[0] not in FRONT_KEYS and not (number and line[:1] in (" ", "\t")):
            return 0
    return 0


def _repeated_node(root: yaml.Node) -> yaml.Node | None:
    """A node that stands for another one, or holds itself: a few lines could mean millions."""
    seen: set[int] = set()
    waiting = [root]
    while waiting:
        node = waiting.pop()
        if id(node) in seen:
            return node
        seen.add(id(node))
        if isinstance(node, yaml.SequenceNode):
            waiting += node.value
        elif isinstance(node, yaml.MappingNode):
            waiting += [one for pair in node.value for one in pair]
    return None


class _Reader:
    def __init__(self, file: str, lines: list[str], settings: Settings) -> None:
        self.file = file
        self.lines = lines
        self.settings = settings
        self.problems: list[Problem] = []
        self.unread: dict[str, int] = {}

    def complain(
        self, message: str, line: int, column: int, length: int, rule: str = "front-matter"
    ) -> None:
        said = with_odd_signs(message, self.lines[line - 1][column - 1 : column - 1 + length])
        self.problems.append(Problem(self.file, line, column, max(1, length), rule, said))

    def complain_at(self, node: yaml.Node, message: str, rule: str = "front-matter") -> None:
        start, end = node.start_mark, node.end_mark
        length = end.column - start.column if end.line == start.line else 1
        # the marks count from 0, and in the lines after the first `---`
        self.complain(message, start.line + 2, start.column + 1, length, rule)

    def read(self, inner: list[str], count: int) -> Front:
        given = self.pairs(inner)
        if given is None:
            return _unread_front(count, inner, self.problems[-1].line, self.settings)
        cube = self.cube(given.get("cube"))
        lowercase = self.lowercase(given.get("lowercase"))
        n = cube or as_plain_as_any(self.settings.cube, self.unread)
        return Front(
            lines=count,
            title=self.sentence("title", given.get("title")),
            summary=self.sentence("summary", given.get("summary")),
            cube=cube,
            lowercase=lowercase,
            sequences=self.sequences(given.get("sequences"), lowercase, n),
            needs=self.names(given.get("needs")),
            formerly=self.names(given.get("formerly")),
            date=self.date(given.get("date")),
            lang=self.lang(given.get("lang")),
            tags=self.tags(given.get("tags")),
            draft=self.draft(given.get("draft")),
            unread=self.unread,
        )

    def pairs(self, inner: list[str]) -> dict[str, yaml.Node] | None:
        """Keys and values, each key known and given once; None where none can be read."""
        text = "\n".join(inner)
        if len(text) > LONGEST:
            self.complain(f"at most {LONGEST:,} characters may stand here", 1, 1, 3, "limit")
            return None
        if sum(text.count(mark) for mark in ("[", "{", "- ", "? ")) > DEEPEST:
            self.complain(
                f"at most {DEEPEST} brackets and list marks may stand here", 1, 1, 3, "limit"
            )
            return None
        try:
            root = yaml.compose(text, Loader=_LOADER)
        except ReaderError as error:
            # where it stands is told in bytes by one of the package's two readers
            odd = chr(error.character)
            above = text[: text.index(odd)].split("\n")
            message = f"this is {in_no_page(odd)}, which can stand on no page; take it out"
            self.complain(message, len(above) + 1, len(above[-1]) + 1, 1)
            return None
        except yaml.MarkedYAMLError as error:
            self.no_yaml(error, text)
            return None
        if root is None:
            return {}
        if again := _repeated_node(root):
            self.complain_at(
                again, "`&` and `*` do not stand for values here; write each where it belongs"
            )
            return None
        if not isinstance(root, yaml.MappingNode):
            self.complain_at(root, _NO_PAIR)
            return None
        given: dict[str, yaml.Node] = {}
        for key, value in root.value:
            name = key.value if isinstance(key, yaml.ScalarNode) else ""
            if self.holds(key, name, value, given):
                given[name] = value
        return given

    def no_yaml(self, error: yaml.MarkedYAMLError, text: str) -> None:
        mark = _place_of(error)
        line, column = min(mark.line, text.count("\n")) + 2, mark.column + 1
        if _is_told_below(self.lines, line, column):
            self.complain(_NO_PAIR, line - 1, 1, len(self.lines[line - 2]))
            return
        why = _why_no_yaml(self.lines[line - 1], text, str(error.problem))
        self.complain(f"these lines cannot be read: {why}", line, column, 1)

    def holds(self, key: yaml.Node, name: str, value: yaml.Node, seen: Container[str]) -> bool:
        """Whether a key can be read: known, not given before, and with a value if it needs one."""
        if name not in FRONT_KEYS:
            hint = meant_or_known(name.lower(), FRONT_KEYS, "keys are", most=len(FRONT_KEYS))
            self.complain_at(key, f"no key is called `{name}` here; {hint}")
            if near := meant(name.lower(), FRONT_KEYS):
                self.note_unread(near, key)
        elif name in seen:
            self.complain_at(key, f"`{name}` is given twice")
        elif name in _NEVER_EMPTY and isinstance(value, yaml.ScalarNode) and not value.value:
            self.complain_at(value, nothing_after(name))
            self.note_unread(name, value)
        else:
            return True
        return False

    def note_unread(self, key: str, node: yaml.Node) -> None:
        """Remember that the value of a key could not be read, and where that is told."""
        self.unread.setdefault(key, node.start_mark.line + 2)

    def sentence(self, key: str, node: yaml.Node | None) -> str:
        """A plain text, on one line; no facts are filled in there."""
        text = " ".join(self.text(node).split())
        if isinstance(node, yaml.ScalarNode) and self.is_cut(node):
            self.complain_at(
                node, "a `#`, `&` or `!` cuts this short; put the value in double quotes"
            )
        asked = next((one for one in _QUOTED.findall(text) if asks_for_fact(one)), "")
        if node and asked:
            hint = "; a first heading can hold it, in place of `title`" if key == "title" else ""
            self.complain_at(
                node,
                f"`{key}` is printed as it is typed, so `{asked}` is not filled in{hint}; or write "
                "what it comes to",
            )
        return text

    def text(self, node: yaml.Node | None) -> str:
        """A plain string, as typed; "" where there is none."""
        if node is None:
            return ""
        if isinstance(node, yaml.ScalarNode):
            if odd := in_no_page(node.value):
                self.complain_at(node, f"this holds {odd}, which can stand on no page; take it out")
            return str(node.value)
        start, end = node.start_mark, node.end_mark
        # `[R, U]` unquoted is a list to YAML; what was typed is what was meant
        if getattr(node, "flow_style", False) and start.line == end.line:
            return self.lines[start.line + 1][start.column : end.column]
        self.complain_at(node, "this must be a plain text, not a list or a map")
        return ""

    def is_cut(self, node: yaml.ScalarNode) -> bool:
        """Whether YAML takes less for the value than was typed to be read.

        A comment is meant where a space follows its `#`, and not in `Lesson #3`.
        """
        start, end = node.start_mark, node.end_mark
        if node.style or start.line != end.line:
            return False
        line = self.lines[start.line + 1]
        typed, rest = line[start.column : end.column], line[end.column :].lstrip()
        return typed != node.value or bool(re.match(r"#[^\s#]", rest))

    def cube(self, node: yaml.Node | None) -> int | None:
        if node is None:
            return None
        try:
            return read_size(self.text(node).strip(), self.settings.largest)
        except Wrong as wrong:
            rule = "limit" if wrong.rule == "limit" else "front-matter"
            self.complain_at(node, wrong.message, rule)
            self.note_unread("cube", node)
            return None

    def lowercase(self, node: yaml.Node | None) -> Lowercase:
        text = self.text(node)
        if node is None:
            return "" if "lowercase" in self.unread else self.settings.lowercase
        if text == "wide":
            return "wide"
        if text == "slice":
            return "slice"
        self.complain_at(node, f"`lowercase` is `wide` or `slice`, not `{text}`")
        self.note_unread("lowercase", node)
        return ""

    def sequences(self, node: yaml.Node | None, lowercase: Lowercase, n: int) -> Sequences:
        texts: dict[str, str] = {}
        sources: dict[str, Source] = {}
        told = len(self.problems)
        if node is not None and not isinstance(node, yaml.MappingNode):
            if self.text(node):
                self.complain_at(
                    node, "`sequences` is a map of name to moves, a name a line, indented"
                )
        elif node is not None:
            for key, value in node.value:
                name = self.text(key)
                if not re.fullmatch(r"[A-Za-z0-9-]+", name):
                    self.complain_at(
                        key, f"`{name}`: names of sequences are letters, digits and hyphens"
                    )
                elif name in texts:
                    self.complain_at(key, f"the sequence `{name}` is given twice")
                elif len(texts) == MOST_SEQUENCES:
                    self.complain_at(
                        key, f"at most {MOST_SEQUENCES} sequences may be named", "limit"
                    )
                    break
                else:
                    before, moves = len(self.problems), self.moves(value)
                    if moves or len(self.problems) == before:
                        texts[name], sources[name] = moves, self.source(value, moves)
        if len(self.problems) > told:
            self.unread["sequences"] = self.problems[told].line
        is_lost = "sequences" in self.unread
        sequences = Sequences(texts, self.settings.sequences, lowercase, is_lost)
        self.problems += sequence_problems(sequences, sources, n)
        return sequences

    def moves(self, node: yaml.Node) -> str:
        """A sequence in the lines it was typed in.

        YAML folds lines into one, and then a comment would take up all that comes after it.
        """
        text, style = self.text(node), getattr(node, "style", None)
        if style == "|" or node.start_mark.line == node.end_mark.line:
            return text
        typed = self.typed(node)
        meant = typed.replace("''", "'") if style == "'" else typed
        # in double quotes some signs are written otherwise than they are meant
        return meant if meant.split() == text.split() else text

    def typed(self, node: yaml.Node) -> str:
        """What was typed for a text, line by line, without its quotes."""
        start, end, style = node.start_mark, node.end_mark, getattr(node, "style", None)
        rows = self.lines[start.line + 1 : end.line + 2]
        rows[-1] = rows[-1][: end.column]
        rows[0] = rows[0][start.column :]
        typed = "\n".join(rows[1:] if style in ("|", ">") else rows).rstrip()
        return typed[1:-1] if style in ("'", '"') else typed

    def source(self, node: yaml.Node, text: str) -> Source:
        """Where the lines of a plain string stand in the file, as nearly as YAML's folding lets."""
        first = node.start_mark.line + 1  # an index into self.lines
        style = getattr(node, "style", None)
        if style == "'" and (typed := self.typed(node)).replace("''", "'") == text:
            below = range(first + 2, node.end_mark.line + 3)
            at = node.start_mark.column + 2
            return Source(self.file, typed, (first + 1, *below), (at, *[1] * len(below)))
        value = node.start_mark.column + (style == '"')
        lines, columns = [], []
        for i, row in enumerate(text.split("\n")):
            # in double quotes a line may be ended by `\n`, and none ends there
            at = min(first + i + (1 if style in ("|", ">") else 0), node.end_mark.line + 1)
            start = value if at == first else 0
            lines.append(at + 1)
            columns.append(max(start, self.lines[at].find(row, start)) + 1)
        return Source(self.file, text, tuple(lines), tuple(columns))

    def words(self, node: yaml.Node | None) -> list[PlacedName]:
        """Words of a string, or the items of a list."""
        if node is None:
            return []
        if isinstance(node, yaml.SequenceNode):
            return [word for item in node.value for word in self.words(item)]
        start, style = node.start_mark, getattr(node, "style", None)
        is_below = style in ("|", ">")
        column = 1 if is_below else start.column + 1 + (style in ("'", '"'))
        words, found = self.text(node).split(), []
        for line, row in enumerate(self.typed(node).split("\n"), start.line + 2 + is_below):
            found += [
                PlacedName(one[0], line, column + one.start()) for one in re.finditer(r"\S+", row)
            ]
            column = 1
        if [one.name for one in found] == words:
            return found
        # in quotes some signs are written otherwise than they are meant
        return [PlacedName(word, start.line + 2, start.column + 1) for word in words]

    def names(self, node: yaml.Node | None) -> tuple[PlacedName, ...]:
        return tuple(
            PlacedName(one.name.strip(","), one.line, one.column) for one in self.words(node)
        )

    def date(self, node: yaml.Node | None) -> str:
        text = self.text(node).strip()
        if node is None:
            return ""
        try:
            if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
                return date.fromisoformat(text).isoformat()
        except ValueError:
            pass
        self.complain_at(node, f"`{text}` is no date; write year, month and day: `2026-11-25`")
        return ""

    def lang(self, node: yaml.Node | None) -> str:
        text = self.text(node).strip()
        if node is None or is_language_tag(text):
            return text
        self.complain_at(node, f"`{text}` is no language tag; write one such as `de` or `en-GB`")
        return ""

    def tags(self, node: yaml.Node | None) -> tuple[str, ...]:
        if isinstance(node, yaml.SequenceNode):
            texts = [self.text(item) for item in node.value]
        else:
            texts = self.text(node).split(",")
        return tuple(" ".join(text.split()) for text in texts if text.strip())

    def draft(self, node: yaml.Node | None) -> bool:
        text = self.text(node).strip().lower()
        if node is None or text in ("no", "false"):
            return False
        if text in ("yes", "true"):
            return True
        self.complain_at(node, f"`draft` is `yes` or `no`, not `{text}`")
        return False


def _place_of(error: yaml.MarkedYAMLError) -> yaml.Mark:
    """Where YAML cannot be read: what is never closed begins there, and is noticed lines later."""
    mark, begins = cast("yaml.Mark", error.problem_mark), error.context_mark
    context = error.context or ""
    is_open = context.startswith(("while scanning a quoted scalar", "while parsing a flow"))
    return begins if is_open and begins and begins.line < mark.line else mark


def _is_told_below(lines: list[str], line: int, column: int) -> bool:
    """Whether what the parser tells of a place is the fault of the line above: no pair, but nearly.

    It takes that and the key below it for one value.
    """
    above, here = lines[line - 2], lines[line - 1][:column].rstrip(":")
    is_nearly = line > 2 and not _PAIR.match(above) and _NEARLY_PAIR.match(in_plain_signs(above))
    return bool(is_nearly) and re.fullmatch(r"\s*[\w-]*", here) is not None


def _why_no_yaml(line: str, text: str, what: str) -> str:
    """Why a line of a text is no YAML, as an author would say it; else what the parser says."""
    value = line.partition(":")[2].strip()
    if re.match(r" *\t", line):
        return "a line begins with spaces, not with a tab"
    if value.startswith("'"):
        return "moves with primes, and what else begins with a `'`, stand in double quotes"
    if value[:1] in _INDICATORS:
        sign = "a backtick" if value[0] == "`" else f"`{value[0]}`"
        return f"a value that begins with {sign} stands in quotes"
    if value.startswith('"'):
        return "where a value begins with a quote, all of it stands between quotes: '\"a\" b'"
    if re.search(r":(\s|$)", value):
        return "a value in which a space follows a colon stands in double quotes"
    if "[" in text or "{" in text:  # one that is never closed is noticed lines later
        return f"{what}; a value that begins with a bracket stands in quotes"
    return what

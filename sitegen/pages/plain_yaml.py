"""YAML of plain strings, each of which knows where in its file it was typed."""

from __future__ import annotations

import re
from typing import Final, NamedTuple, cast

import yaml
from yaml.reader import ReaderError

from sitegen.in_xml import in_no_page
from sitegen.pages.listed import PlacedName
from sitegen.problem import Problem, Source
from sitegen.wording import in_plain_signs, with_odd_signs

LONGEST: Final = 65_536
"""Characters that the lines between `---` may have."""

DEEPEST: Final = 500
"""Opening brackets, and marks of nested lists, that they may hold: YAML is read by recursion."""

_PAIR: Final = re.compile(r"\s*(?:#|[\w-]+\s*:(?:\s|$))")
_NEARLY_PAIR: Final = re.compile(r"\s*[\w-]+\s*[:=]")
"""The beginning of a line that gives a key its value, and of one that is meant to."""

_NO_PAIR: Final = "these lines must be `key: value`, a key a line, and a space after its colon"

_INDICATORS: Final = frozenset("*&!%@`|>-?,")
"""The signs, beside quotes and brackets, that mean something to YAML where a value begins with them
(YAML 1.2.2, section 5.3)."""

_LOADER: Final = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


class TopLines:
    """The lines of a page that begins with YAML, and what is found wrong in them.

    Attributes:
        file: the page's file.
        lines: all its lines; the first is the mark above the YAML.
        problems: what was found so far.
    """

    def __init__(self, file: str, lines: list[str]) -> None:
        """Begin, with nothing found yet."""
        self.file = file
        self.lines = lines
        self.problems: list[Problem] = []

    def complain(
        self, message: str, line: int, column: int, length: int, rule: str = "front-matter"
    ) -> None:
        """Note what is wrong at a place; its line and column count from 1."""
        said = with_odd_signs(message, self.lines[line - 1][column - 1 : column - 1 + length])
        self.problems.append(Problem(self.file, line, column, max(1, length), rule, said))

    def pairs(self, end: int) -> list[tuple[Typed, Typed]] | None:
        """The keys and values of the lines below the first; None where none can be read.

        Args:
            end: the line below the last of them, counted from 0.
        """
        text = "\n".join(self.lines[1:end])
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
            self._no_yaml(error, text)
            return None
        if root is None:
            return []
        if again := _repeated_node(root):
            Typed(again, self).complain(
                "`&` and `*` do not stand for values here; write each where it belongs"
            )
            return None
        found = Typed(root, self)
        if found.pairs is None:
            found.complain(_NO_PAIR)
        return found.pairs

    def _no_yaml(self, error: yaml.MarkedYAMLError, text: str) -> None:
        mark = _place_of(error)
        line, column = min(mark.line, text.count("\n")) + 2, mark.column + 1
        if _is_told_below(self.lines, line, column):
            self.complain(_NO_PAIR, line - 1, 1, len(self.lines[line - 2]))
            return
        why = _why_no_yaml(self.lines[line - 1], text, str(error.problem))
        self.complain(f"these lines cannot be read: {why}", line, column, 1)


class Typed(NamedTuple):
    """A key or a value, as it was typed.

    Attributes:
        node: what YAML makes of it.
        top: the lines that it stands in.
    """

    node: yaml.Node
    top: TopLines

    @property
    def line(self) -> int:
        """The line where it begins, counted from 1."""
        return self.node.start_mark.line + 2  # a mark counts from 0, in the lines below the first

    @property
    def plain(self) -> str:
        """The string; "" for a list or a map."""
        return str(self.node.value) if isinstance(self.node, yaml.ScalarNode) else ""

    @property
    def items(self) -> list[Typed] | None:
        """The items of a list; None for anything else."""
        if not isinstance(self.node, yaml.SequenceNode):
            return None
        return [Typed(item, self.top) for item in self.node.value]

    @property
    def pairs(self) -> list[tuple[Typed, Typed]] | None:
        """The keys and values of a map; None for anything else."""
        if not isinstance(self.node, yaml.MappingNode):
            return None
        return [(Typed(key, self.top), Typed(value, self.top)) for key, value in self.node.value]

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands there."""
        return isinstance(self.node, yaml.ScalarNode) and not self.node.value

    @property
    def is_cut(self) -> bool:
        """Whether YAML takes less for a plain string than was typed to be read.

        A comment is meant where a space follows its `#`, and not in `Lesson #3`.
        """
        start, end = self.node.start_mark, self.node.end_mark
        if not isinstance(self.node, yaml.ScalarNode) or self._style or start.line != end.line:
            return False
        line = self.top.lines[start.line + 1]
        typed, rest = line[start.column : end.column], line[end.column :].lstrip()
        return typed != self.node.value or bool(re.match(r"#[^\s#]", rest))

    def complain(self, message: str, rule: str = "front-matter") -> None:
        """Note what is wrong with it."""
        start, end = self.node.start_mark, self.node.end_mark
        length = end.column - start.column if end.line == start.line else 1
        self.top.complain(message, self.line, start.column + 1, length, rule)

    def text(self) -> str:
        """The string, complained of where it is none, or cannot stand on a page."""
        if isinstance(self.node, yaml.ScalarNode):
            if odd := in_no_page(self.plain):
                self.complain(f"this holds {odd}, which can stand on no page; take it out")
            return self.plain
        start, end = self.node.start_mark, self.node.end_mark
        # `[R, U]` unquoted is a list to YAML; what was typed is what was meant
        if getattr(self.node, "flow_style", False) and start.line == end.line:
            return self.top.lines[start.line + 1][start.column : end.column]
        self.complain("this must be a plain text, not a list or a map")
        return ""

    def text_in_lines(self) -> str:
        """The string in the lines it was typed in.

        YAML folds lines into one, and then a comment among moves would take up all that comes
        after it.
        """
        text = self.text()
        if self._style == "|" or self.node.start_mark.line == self.node.end_mark.line:
            return text
        typed = self._typed()
        meant = typed.replace("''", "'") if self._style == "'" else typed
        # in double quotes some signs are written otherwise than they are meant
        return meant if meant.split() == text.split() else text

    def words(self) -> list[PlacedName]:
        """The words of a string, or of the items of a list."""
        if self.items is not None:
            return [word for item in self.items for word in item.words()]
        begin = self.node.start_mark.column + 1
        is_below = self._style in ("|", ">")
        column = 1 if is_below else begin + (self._style in ("'", '"'))
        words, found = self.text().split(), []
        for line, row in enumerate(self._typed().split("\n"), self.line + is_below):
            found += [
                PlacedName(one[0], line, column + one.start()) for one in re.finditer(r"\S+", row)
            ]
            column = 1
        if [one.name for one in found] == words:
            return found
        # in quotes some signs are written otherwise than they are meant
        return [PlacedName(word, self.line, begin) for word in words]

    def source(self, text: str) -> Source:
        """Where the lines of its text stand in the file, as nearly as YAML's folding lets."""
        start, end, style = self.node.start_mark, self.node.end_mark, self._style
        first = start.line + 1  # an index into the lines of the file
        file = self.top.file
        if style == "'" and (typed := self._typed()).replace("''", "'") == text:
            below = range(first + 2, end.line + 3)
            at = start.column + 2
            return Source(file, typed, (first + 1, *below), (at, *[1] * len(below)))
        value = start.column + (style == '"')
        lines, columns = [], []
        for i, row in enumerate(text.split("\n")):
            # in double quotes a line may be ended by `\n`, and none ends there
            at = min(first + i + (1 if style in ("|", ">") else 0), end.line + 1)
            begin = value if at == first else 0
            lines.append(at + 1)
            columns.append(max(begin, self.top.lines[at].find(row, begin)) + 1)
        return Source(file, text, tuple(lines), tuple(columns))

    @property
    def _style(self) -> str:
        """How a string is written: its quote, `|` or `>`; "" for one without."""
        return getattr(self.node, "style", None) or ""

    def _typed(self) -> str:
        """What was typed for a text, line by line, without its quotes."""
        start, end = self.node.start_mark, self.node.end_mark
        rows = self.top.lines[start.line + 1 : end.line + 2]
        rows[-1] = rows[-1][: end.column]
        rows[0] = rows[0][start.column :]
        typed = "\n".join(rows[1:] if self._style in ("|", ">") else rows).rstrip()
        return typed[1:-1] if self._style in ("'", '"') else typed


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

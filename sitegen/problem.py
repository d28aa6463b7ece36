"""What is wrong and where: `Wrong` in a text, `Source` where it came from, `Problem` for all."""

from __future__ import annotations

from bisect import bisect_right
from functools import cached_property
from itertools import accumulate
from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct

from sitegen.wording import with_odd_signs

if TYPE_CHECKING:
    from collections.abc import Iterable

Severity = Literal["error", "warning"]

RULES: Final[dict[str, tuple[Severity, str]]] = {
    "notation": ("error", "moves that cannot be read, an unknown or circling `{name}` included"),
    "lowercase": ("error", "a lowercase turn where no reading of it has been chosen"),
    "layer-range": ("error", "a layer, count, range or middle layer that this cube does not have"),
    "unknown-key": ("error", "a line of a block that begins with no known key"),
    "repeated-key": ("error", "a key given twice in one block"),
    "bad-value": ("error", "a key's value that cannot be read"),
    "duplicate-id": ("error", "a block id used twice on one page"),
    "net-shape": ("error", "a text net with wrong rows, cells or letters"),
    "before-mismatch": ("error", "`before` is not the position before the moves"),
    "after-mismatch": ("error", "`after` is not the position after the moves"),
    "to-mismatch": ("error", "the moves do not lead from `from` to `to`"),
    "check-failed": ("error", "a claim that does not hold"),
    "bad-check": ("error", "a line of `check` that is no claim, or means nothing on this cube"),
    "impossible-position": ("error", "a net that no turns can reach, or `impossible` said wrongly"),
    "reference": ("error", "a position taken from a block that is not there, or from a circle"),
    "link": ("error", "a link to a page, a file or a heading that is not there; a footnote amiss"),
    "front-matter": ("error", "a line between `---` at the top of a page that cannot be read"),
    "settings": ("error", "a line of `site.toml`, or of the site's theme, that cannot be used"),
    "file": ("error", "a file that cannot be read as a page, or no page at all"),
    "limit": ("error", "more than the stated bound"),
    "near-moves": ("warning", "a code span, a fence or a paragraph that is almost moves"),
    "spacing": ("warning", "a 2 between two turns that could belong to either"),
    "unchecked": ("warning", "a block in which a wrong turn could not be noticed"),
}


_WRITTEN: Final = frozenset(
    {
        "notation",
        "unknown-key",
        "bad-value",
        "duplicate-id",
        "net-shape",
        "bad-check",
        "reference",
        "link",
        "near-moves",
    }
)
"""The rules for what cannot be read as it is written, as against what is read and does not hold."""


class Wrong(Exception):  # noqa: N818 - it is what is wrong, in a text an author wrote
    """Something wrong in a text that a reader was given.

    Attributes:
        rule: a key of `RULES`.
        message: what was found, what was expected, what to do.
        start: offset of the wrong part in the text the reader was given, from 0.
        end: offset just past it.
    """

    def __init__(self, rule: str, message: str, start: int = 0, end: int | None = None) -> None:
        super().__init__(message)
        self.rule = rule
        self.message = message
        self.start = start
        self.end = start + 1 if end is None else end

    def moved(self, by: int) -> Wrong:
        """The same, `by` code points further on: for a reader that hands on a part of its text."""
        return Wrong(self.rule, self.message, self.start + by, self.end + by)

    def saying(self, message: str) -> Wrong:
        """The same at the same place, told in other words."""
        return Wrong(self.rule, message, self.start, self.end)


class Source(Struct, frozen=True, dict=True):
    """A text cut out of a file, line by line, and where each of its lines stood.

    Attributes:
        file: the file, relative to the content folder, with forward slashes.
        text: the lines, joined by line feeds.
        lines: for each line of `text`, its line in the file, from 1.
        columns: for each line of `text`, the column in the file of its first character, from 1;
            less where that is a space that stands for a part of a tab.
    """

    file: str
    text: str
    lines: tuple[int, ...]
    columns: tuple[int, ...]

    @classmethod
    def whole(cls, file: str, text: str) -> Source:
        """A whole file as a source."""
        count = text.count("\n") + 1
        return cls(file, text, tuple(range(1, count + 1)), (1,) * count)

    @cached_property
    def starts(self) -> tuple[int, ...]:
        """For each line of `text`, the offset of its first character; and one past the end."""
        lengths = [len(line) + 1 for line in self.text.split("\n")]
        return tuple(accumulate(lengths, initial=0))

    @property
    def filled(self) -> tuple[int, int]:
        """The offsets of what the blanks at its ends leave."""
        return len(self.text) - len(self.text.lstrip()), len(self.text.rstrip())

    def row(self, offset: int) -> int:
        """The line of `text`, from 0, that an offset lies in; the last for one past the end."""
        return min(bisect_right(self.starts, offset) - 1, len(self.lines) - 1)

    def place(self, offset: int) -> tuple[int, int]:
        """The file's line and column, both from 1, of an offset into `text`."""
        at = min(offset, len(self.text))
        row = self.row(at)
        return self.lines[row], max(1, self.columns[row] + at - self.starts[row])

    def part(self, start: int, end: int) -> Source:
        """The source of `text[start:end]`."""
        row, last = self.row(start), self.row(end)
        column = self.columns[row] + start - self.starts[row]
        return Source(
            self.file,
            self.text[start:end],
            self.lines[row : last + 1],
            (column, *self.columns[row + 1 : last + 1]),
        )


class Compared(Struct, frozen=True):
    """Two nets of one mismatch, for the person who mends it.

    Attributes:
        expected: the author's rows.
        found: the engine's rows, shaped like the author's.
        marks: for each row, the columns (from 0, in `expected`'s row) that differ.
    """

    expected: tuple[str, ...]
    found: tuple[str, ...]
    marks: tuple[tuple[int, ...], ...]


class Change(Struct, frozen=True):
    """A line of moves as it stands and put right, and where in the new one the change is."""

    line: int
    old: str
    new: str
    start: int
    end: int


class Repair(Struct, frozen=True):
    """A change to a block's moves that makes it hold.

    Attributes:
        moves: the whole value of `moves`, put right, its comments left out.
        slip: what went wrong, in a few words.
        changes: the lines that differ.
        same: whether it puts the turns of the best guess at another place, to the same effect: two
            turns of one axis can stand in either order, and no picture tells which was meant.
    """

    moves: str
    slip: str
    changes: tuple[Change, ...]
    same: bool = False


class Problem(Struct, frozen=True):
    """One thing that does not hold, with its place.

    Attributes:
        file: relative to the content folder, with forward slashes.
        line: from 1.
        column: from 1, in code points.
        length: how many code points of that line are wrong.
        rule: a key of `RULES`.
        message: what was found, what was expected, what to do.
        block: the id of the block it is in, if that has one.
        waiting: how many blocks are not judged until this one's block is mended, or this line of
            what stands above the blocks: the top of a page, `site.toml`.
        repairs: changes to the moves that would make the block hold, best guess first.
        compared: the two nets, where a net does not match.
    """

    file: str
    line: int
    column: int
    length: int
    rule: str
    message: str
    block: str | None = None
    waiting: int = 0
    repairs: tuple[Repair, ...] = ()
    compared: Compared | None = None

    @property
    def severity(self) -> Severity:
        """`error`, or `warning` where the build goes on."""
        return RULES[self.rule][0]

    @classmethod
    def of_file(cls, file: str, rule: str, message: str) -> Problem:
        """What is wrong with a file as a whole."""
        return cls(file, 1, 1, 1, rule, message)

    @classmethod
    def at(
        cls, source: Source, wrong: Wrong, block: str = "", compared: Compared | None = None
    ) -> Problem:
        """A reader's complaint, put in its place in the file, and in the block of an id."""
        line, column = source.place(wrong.start)
        end = source.text.find("\n", wrong.start)
        last = len(source.text) if end < 0 else end
        length = max(1, min(wrong.end, last) - wrong.start)
        message = wrong.message
        if wrong.rule in _WRITTEN:
            message = with_odd_signs(message, source.text[wrong.start : wrong.start + length])
        rule, name = wrong.rule, block or None
        return cls(source.file, line, column, length, rule, message, name, compared=compared)


def any_error(problems: Iterable[Problem]) -> bool:
    """Whether anything is wrong; warnings are not wrong."""
    return any(problem.severity == "error" for problem in problems)

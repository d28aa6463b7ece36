"""What a run found, as every report is given it."""

from __future__ import annotations

import posixpath
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from sitegen.problem import Problem


class BlockPlace(NamedTuple):
    """Where a block stands.

    Attributes:
        file: its page, relative to the content folder, with forward slashes.
        number: which block of its page it is, from 0.
        id: its id, or "".
        line: the line of its opening fence, from 1.
        last: the last line inside it.
        waits: whether it is not judged before something else is mended.
    """

    file: str
    number: int
    id: str
    line: int
    last: int
    waits: bool = False

    def holds(self, problem: Problem) -> bool:
        """Whether a problem is inside it."""
        return problem.file == self.file and self.line <= problem.line <= self.last


class Findings(NamedTuple):
    """What a run looked at, and what is wrong there.

    Attributes:
        pages: how many pages.
        blocks: how many blocks stand on them.
        each: gives each page, relative to the content folder, with its blocks, in order; only for
            formats that name them all.
        problems: what is wrong, in order.
        line_of: a file's line, from 1, as it stands in the file; "" where there is none.
        root: the content folder, whole, with forward slashes.
        here: the current folder, likewise.
        warnings_fail: whether warnings count as errors do.
        colour: whether the text goes to a terminal that wants colour.
    """

    pages: int
    blocks: int
    each: Callable[[], Iterable[tuple[str, Sequence[BlockPlace]]]] = lambda: ()
    problems: tuple[Problem, ...] = ()
    line_of: Callable[[str, int], str] = lambda _file, _line: ""
    root: str = "/"
    here: str = "/"
    warnings_fail: bool = False
    colour: bool = False

    def fails(self, problem: Problem) -> bool:
        """Whether a problem makes the run fail."""
        return self.warnings_fail or problem.severity == "error"

    def path(self, file: str) -> str:
        """A file of the content folder as seen from the current folder; whole if not below it."""
        return seen_from(self.here, self.root, file)


def seen_from(here: str, root: str, file: str) -> str:
    """A file of a content folder as seen from another folder; whole if not below it.

    Args:
        here: the folder it is seen from, whole.
        root: the content folder, whole.
        file: relative to the content folder.
    """
    whole = posixpath.normpath(posixpath.join(root, file))
    return whole.removeprefix(posixpath.join(here, ""))

"""A content folder judged, and what was found told: what the commands that judge one share."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from sitegen.commands.content import readable
from sitegen.commands.main import HOLDS, WRONG, wants_colour
from sitegen.lines import lines_of
from sitegen.made import block_of, line_key
from sitegen.make import make
from sitegen.pages.leaning import reached
from sitegen.report.findings import BlockPlace, Findings
from sitegen.report.table import tell

if TYPE_CHECKING:
    from collections.abc import Callable, Container, Mapping
    from collections.abc import Set as AbstractSet

    from sitegen.made import Made
    from sitegen.pages.folder import Folder
    from sitegen.pages.listed import Listed, Outline
    from sitegen.pages.references import BlockKey
    from sitegen.problem import Problem


class Judged(Protocol):
    """A folder that was judged: all that a report is made from."""

    @property
    def folder(self) -> Folder:
        """What it holds."""

    @property
    def listed(self) -> Mapping[str, Listed]:
        """Its pages."""

    @property
    def problems(self) -> list[Problem]:
        """All that is wrong, in order."""

    @property
    def waiting(self) -> Mapping[BlockKey, tuple[BlockKey, ...]]:
        """The blocks that are not judged, failed ones among them, each with what it waits for."""


def judged(root: Path) -> Made:
    """A content folder, read and judged as a whole, with a count of pages on a terminal.

    Raises:
        CannotRun: the folder cannot be listed.
    """
    with readable(root):
        return make(root, counter("read"))


def counter(verb: str) -> Callable[[int, int], None]:
    """Tells a terminal how far long work has come; says nothing to anything else."""
    if not sys.stderr.isatty():
        return lambda _done, _total: None

    def tell(done: int, total: int) -> None:
        if total >= 50 and (done % 25 == 0 or done == total):
            end = "\r\033[K" if done == total else ""
            print(f"\r{verb} {done} of {total} pages{end}", end="", file=sys.stderr, flush=True)

    return tell


def report(
    made: Judged,
    form: str,
    is_asked: Callable[[str], bool] = lambda _file: True,
    *,
    warnings_fail: bool = False,
    noticed: str | dict[str, Any] | None = None,
) -> int:
    """Tell what does not hold among the files asked for; the exit status.

    Args:
        made: the content folder, judged.
        form: a key of `REPORTS`.
        is_asked: whether a file is asked for.
        warnings_fail: whether warnings count as errors do.
        noticed: what `--slips` found: a text to put below the report, or the value of a further
            key, `slips`, of its JSON object.
    """
    found = findings(made, is_asked, warnings_fail=warnings_fail)
    told = tell(form, found)
    if isinstance(noticed, str):
        told = f"{told}\n\n{noticed}"
    elif noticed is not None:
        told = json.dumps(json.loads(told) | {"slips": noticed}, indent=2)
    print(told)
    return WRONG if any(map(found.fails, found.problems)) else HOLDS


def findings(
    made: Judged,
    is_asked: Callable[[str], bool] = lambda _file: True,
    *,
    warnings_fail: bool = False,
) -> Findings:
    """What there is to tell of a content folder, for a terminal or a program on standard output.

    A block that waits has not been seen to hold. So what it waits for is told with it, wherever
    that stands, and what that waits for in turn.

    Args:
        made: the content folder, judged.
        is_asked: whether a file is asked for.
        warnings_fail: whether warnings count as errors do.
    """
    waiting = made.waiting
    awaited: set[BlockKey] = set()
    for key in waiting:
        if is_asked(key[0]):
            reached(key, lambda one: waiting.get(one, ()), awaited)
    blocks = {
        file: made.listed[file].blocks if file in made.listed else ()
        for file in made.folder.pages
        if is_asked(file)
    }
    return Findings(
        pages=len(blocks),
        blocks=sum(map(len, blocks.values())),
        each=lambda: (
            (file, [_place(file, one, waiting) for one in outlines])
            for file, outlines in blocks.items()
        ),
        problems=tuple(
            problem
            for problem in made.problems
            if is_asked(problem.file) or _is_awaited(problem, made, awaited)
        ),
        line_of=lines_of(made.folder.root),
        root=made.folder.root.as_posix(),
        here=Path.cwd().as_posix(),
        warnings_fail=warnings_fail,
        colour=wants_colour(sys.stdout),
    )


def _place(file: str, one: Outline, waiting: Container[BlockKey]) -> BlockPlace:
    return BlockPlace(file, one.number, one.id, one.line, one.last, (file, one.number) in waiting)


def _is_awaited(problem: Problem, made: Judged, awaited: AbstractSet[BlockKey]) -> bool:
    """Whether it has to be mended before a block that is asked for can be judged."""
    place = block_of(problem, made.listed) or line_key(problem)
    return problem.severity == "error" and place in awaited

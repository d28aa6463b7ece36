"""`sitegen check`: replay and check, and write nothing."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from sitegen.commands.content import content_root, paths_argument
from sitegen.commands.main import HOLDS, WRONG, CannotRun, add_format, wants_colour
from sitegen.kept.making import Making
from sitegen.lines import lines_of
from sitegen.make import make
from sitegen.pages.files import FILE
from sitegen.pages.folder import read_folder
from sitegen.parallel import cores
from sitegen.report.findings import BlockPlace, Findings
from sitegen.report.table import tell
from sitegen.verdicts import above

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Mapping, Sequence
    from collections.abc import Set as AbstractSet

    from sitegen.make import Made
    from sitegen.pages.folder import Folder
    from sitegen.pages.listed import Listed
    from sitegen.pages.references import Key
    from sitegen.problem import Problem


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    paths_argument(parser)
    add_format(parser)
    parser.add_argument(
        "--mend",
        action="store_true",
        help="write a block's suggestion into its page where there is but one, after asking",
    )
    parser.add_argument(
        "--slips",
        action="store_true",
        help="also tell how many slips in the moves what the blocks state would notice",
    )
    parser.add_argument("--yes", action="store_true", help="with --mend: write without asking")


def run(options: argparse.Namespace) -> int:
    """Check, mend if that is asked for, and report."""
    if options.yes and not options.mend:
        raise CannotRun("`--yes` agrees to what `--mend` would write; say both")
    if options.slips and options.format not in ("text", "json"):
        raise CannotRun("`--slips` is told as text or json")
    paths = [Path(path) for path in options.paths]
    root = content_root(options.command, paths)
    is_asked = asked_for(paths, root)
    if not options.mend and not options.slips:
        return report(_checked(root), options.format, is_asked, warnings_fail=options.warnings_fail)
    made = judged(root)
    if options.mend:
        from sitegen.commands.mend import Asking, mend

        # what a program reads on standard output is the report alone
        out = sys.stdout if options.format == "text" else sys.stderr
        if mend(made, is_asked, Asking(options.yes, out)):
            made = judged(root)
    noticed = None
    if options.slips:
        from sitegen.commands.slips import slips_report, slips_value

        tell_slips = slips_value if options.format == "json" else slips_report
        noticed = tell_slips(made, is_asked)
    return report(
        made, options.format, is_asked, warnings_fail=options.warnings_fail, noticed=noticed
    )


def asked_for(paths: Sequence[Path], root: Path) -> Callable[[str], bool]:
    """Whether a file of a content folder is one of these paths, or in one of them.

    The settings, and the folder itself, where something is wrong with it, always are.

    Raises:
        CannotRun: there is nothing to be told of at one of these paths.
        OSError: the folder cannot be listed.
    """
    asked = [os.path.relpath(os.path.abspath(path), root) for path in paths]  # noqa: PTH100
    within = [Path(path).as_posix() for path in asked]
    if any(one != "." for one in within):
        folder = read_folder(root)
        there = (FILE, *folder.pages, *(problem.file for problem in folder.problems))
        for path, one in zip(paths, within, strict=True):
            if not any(_is_in(file, one) for file in there):
                raise CannotRun(
                    f"there is no page at `{path}`: a page is a file whose name ends in `.md`; "
                    "what is hidden, or stands behind a link to a folder, is left out"
                )
    return lambda file: file in {".", FILE} or any(_is_in(file, path) for path in within)


def _is_in(file: str, path: str) -> bool:
    return path in {".", file} or file.startswith(f"{path}/")


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
    def waiting(self) -> Mapping[Key, tuple[Key, ...]]:
        """The blocks that are not judged before others are mended, each with these."""


def _checked(root: Path) -> Judged:
    """A content folder, judged page by page.

    Raises:
        CannotRun: the folder cannot be listed.
    """
    making = Making(root, None, workers=cores(), progress=counter("read"))
    try:
        return making.update()
    except OSError as error:
        raise CannotRun(f"{error.filename or root}: {error.strerror}") from error


def judged(root: Path) -> Made:
    """A content folder, read and judged as a whole, with a count of pages on a terminal.

    Raises:
        CannotRun: the folder cannot be listed.
    """
    try:
        return make(root, counter("read"))
    except OSError as error:
        raise CannotRun(f"{error.filename or root}: {error.strerror}") from error


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
    is_asked: Callable[[str], bool],
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
    that stands.

    Args:
        made: the content folder, judged.
        is_asked: whether a file is asked for.
        warnings_fail: whether warnings count as errors do.
    """
    waiting = made.waiting
    awaited = {one for key, others in waiting.items() if is_asked(key[0]) for one in others}
    return Findings(
        pages=tuple(file for file in made.folder.pages if is_asked(file)),
        blocks=tuple(
            BlockPlace(file, number, one.id, one.line, one.last, (file, number) in waiting)
            for file, page in made.listed.items()
            if is_asked(file)
            for number, one in enumerate(page.blocks)
        ),
        problems=tuple(
            problem
            for problem in made.problems
            if is_asked(problem.file) or _is_awaited(problem, made, awaited)
        ),
        line_of=lines_of(made.folder.root),
        root=Path(os.path.abspath(made.folder.root)).as_posix(),  # noqa: PTH100 - as it was given
        here=Path.cwd().as_posix(),
        warnings_fail=warnings_fail,
        colour=wants_colour(sys.stdout),
    )


def _is_awaited(problem: Problem, made: Judged, awaited: AbstractSet[Key]) -> bool:
    """Whether it has to be mended before a block that is asked for can be judged."""
    page = made.listed.get(problem.file)
    number = page.block_at(problem.line) if page else None
    place = above(problem) if number is None else (problem.file, number)
    return problem.severity == "error" and place in awaited

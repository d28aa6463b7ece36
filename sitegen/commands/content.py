"""The content folder that a command works on, found from what is typed."""

from __future__ import annotations

import os
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

from sitegen.commands.main import CannotRun
from sitegen.pages.files import SETTINGS_FILE, find_root

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Iterator, Sequence

CONTENT: Final = Path("content")
"""Where a command looks for the pages if nobody says."""


def content_argument(parser: argparse.ArgumentParser) -> None:
    """The folder that a command which takes a whole site works on."""
    parser.add_argument(
        "content",
        nargs="?",
        default=str(CONTENT),
        metavar="CONTENT",
        help=f"the content folder (default: {CONTENT})",
    )


def paths_argument(parser: argparse.ArgumentParser) -> None:
    """The folder or the pages that a command which takes some of a site works on."""
    parser.add_argument(
        "paths",
        nargs="*",
        default=[str(CONTENT)],
        metavar="PATH",
        help=f"a content folder, or pages and folders within one (default: {CONTENT})",
    )


def whole_content(options: argparse.Namespace) -> Path:
    """The content folder of a command that takes a whole site.

    Raises:
        CannotRun: it is not there, or is a file.
    """
    path = Path(options.content)
    if path.exists() and not path.is_dir():
        raise CannotRun(f"`{path}` is a file; {options.command} takes a content folder")
    return content_root(options.command, [path])


def content_root(command: str, paths: Sequence[Path]) -> Path:
    """The one content folder that all paths lie in; a site's folder in its stead is pointed out.

    Raises:
        CannotRun: a path is not there, or they lie in several folders.
    """
    for path in paths:
        if not path.exists():
            meant = _meant(path)
            where = (
                f"did you mean `{meant}`?"
                if meant
                else f"say where the pages are, as `sitegen {command} our-site/content`, or make a "
                "new site with `sitegen start our-site`"
            )
            raise CannotRun(f"there is no `{path}`; {where}")
    roots = {find_root(path) for path in paths}
    if len(roots) > 1:
        listed = ", ".join(sorted(map(str, roots)))
        raise CannotRun(f"these paths lie in several content folders: {listed}; name one at a time")
    root = roots.pop()
    inner = root / CONTENT
    if not (root / SETTINGS_FILE).exists() and (inner / SETTINGS_FILE).is_file():
        folder = paths[0] if paths[0].is_dir() else paths[0].parent
        print(
            f"sitegen {command}: `{folder}` holds no {SETTINGS_FILE}, so every setting is left "
            f"out; perhaps `{folder / CONTENT}` was meant",
            file=sys.stderr,
        )
    return root


def _meant(path: Path) -> Path | None:
    """What a path that is not there was probably to be.

    Reports name pages from the content folder on, so their names are typed so.
    """
    page = path.with_name(f"{path.name}.md")
    for one in (page, CONTENT / path, CONTENT / page):
        if one.exists():
            return one
    is_here = path == CONTENT and (find_root(Path()) / SETTINGS_FILE).is_file()
    return Path() if is_here else None


def asked_for(options: argparse.Namespace) -> tuple[Path, Callable[[str], bool]]:
    """The content folder of a command that takes some of a site, and whether a file is asked for.

    The settings, and the folder itself, where something is wrong with it, always are. A path that
    leads nowhere is told before the folder is judged, which can take long.

    Raises:
        CannotRun: there is nothing to be told of at one of the paths, or the folder cannot be
            listed.
    """
    paths = [Path(path) for path in options.paths]
    root = content_root(options.command, paths)
    asked = [os.path.relpath(os.path.abspath(path), root) for path in paths]  # noqa: PTH100
    within = [Path(path).as_posix() for path in asked]
    if any(one != "." for one in within):
        from sitegen.pages.folder import read_folder

        with readable(root):
            folder = read_folder(root)
        there = (SETTINGS_FILE, *folder.pages, *(problem.file for problem in folder.problems))
        for path, one in zip(paths, within, strict=True):
            if not any(_is_in(file, one) for file in there):
                raise CannotRun(
                    f"there is no page at `{path}`: a page is a file whose name ends in `.md`; "
                    "what is hidden, or stands behind a link to a folder, is left out"
                )
    always = {".", SETTINGS_FILE}
    return root, lambda file: file in always or any(_is_in(file, path) for path in within)


def _is_in(file: str, path: str) -> bool:
    return path in {".", file} or file.startswith(f"{path}/")


@contextmanager
def readable(root: Path) -> Iterator[None]:
    """Have an error of the system, while a content folder is read, stop the command.

    Raises:
        CannotRun: the folder cannot be read.
    """
    try:
        yield
    except OSError as error:
        raise CannotRun(f"{error.filename or root}: {error.strerror}") from error

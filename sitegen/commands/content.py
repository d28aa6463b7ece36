"""The content folder that a command works on, found from what is typed."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from sitegen.commands.main import CannotRun
from sitegen.pages.files import FILE, find_root

if TYPE_CHECKING:
    import argparse
    from collections.abc import Sequence


def content_argument(parser: argparse.ArgumentParser) -> None:
    """The folder that a command which takes a whole site works on."""
    parser.add_argument(
        "content",
        nargs="?",
        default="content",
        metavar="CONTENT",
        help="the content folder (default: content)",
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
            page = path.with_name(f"{path.name}.md")
            where = (
                f"did you mean `{page}`?"
                if page.is_file()
                else f"say where the pages are, as `sitegen {command} our-site/content`, or make a "
                "new site with `sitegen start our-site`"
            )
            raise CannotRun(f"there is no `{path}`; {where}")
    roots = {find_root(path) for path in paths}
    if len(roots) > 1:
        listed = ", ".join(sorted(map(str, roots)))
        raise CannotRun(f"these paths lie in several content folders: {listed}; name one at a time")
    root = roots.pop()
    inner = root / "content"
    if not (root / FILE).exists() and (inner / FILE).is_file():
        folder = paths[0] if paths[0].is_dir() else paths[0].parent
        print(
            f"sitegen {command}: `{folder}` holds no {FILE}, so every setting is left out; "
            f"perhaps `{folder / 'content'}` was meant",
            file=sys.stderr,
        )
    return root

"""`sitegen build`: replay, check and draw everything, and write the site."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sitegen.commands.check import add_format, content_root, counter, judged, report
from sitegen.commands.main import CannotRun
from sitegen.pages.settings import SETTINGS
from sitegen.problem import Problem

if TYPE_CHECKING:
    import argparse


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    parser.add_argument(
        "content",
        nargs="?",
        default="content",
        metavar="CONTENT",
        help="the content folder (default: content)",
    )
    parser.add_argument("--out", metavar="DIR", help="where the site is written (default: out)")
    parser.add_argument(
        "--with-failures",
        action="store_true",
        help="write the site although something does not hold, with what is wrong shown in its "
        "place: a copy for review, into a DIR of its own",
    )
    parser.add_argument(
        "--url",
        metavar="URL",
        help="the address this build is published at, for a trial elsewhere than site.toml says",
    )
    add_format(parser)


def run(options: argparse.Namespace) -> int:
    """Build, publish if everything holds, and report."""
    # publishing needs no theme before something is to be published
    from sitegen.pages.publish import (
        OutputRefused,
        PathRefused,
        PublishFailed,
        check_output,
        publish,
    )

    content, out = Path(options.content), Path(options.out or "out")
    review: bool = options.with_failures
    if review and not options.out:
        raise CannotRun("--with-failures needs --out DIR: a folder of its own for the copy")
    if content.exists() and not content.is_dir():
        raise CannotRun(f"`{content}` is a file; build takes a content folder")
    root = content_root([content])
    try:
        check_output(out, root, review=review)
    except (OutputRefused, OSError) as error:
        raise CannotRun(str(error)) from error
    if options.url and not SETTINGS["url"].fits(options.url):
        raise CannotRun(f"--url must be {SETTINGS['url'].kind}, not `{options.url}`")
    made = judged(root)
    if options.url:
        made.settings = replace(made.settings, url=options.url)
    if review or (made.holds and not (options.warnings_fail and made.problems)):
        from sitegen.assemble import site_files
        from sitegen.pages.formats.theme import ThemeError

        own = root.parent / "themes"
        try:
            files = site_files(made, own, counter("set"), with_failures=review)
            publish(files, out, root, review=review)
        except (OutputRefused, PublishFailed) as error:
            raise CannotRun(str(error)) from error
        except PathRefused as error:
            made.problems.append(Problem(error.path, 1, 1, 1, "file", error.message))
        except ThemeError as error:
            where = Path(os.path.relpath(error.path, root)).as_posix()
            made.problems.append(Problem(where, error.line, 1, 1, "settings", error.message))
    return report(made, options.format, lambda _file: True, warnings_fail=options.warnings_fail)

"""`sitegen check`: replay and check, and write nothing."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from sitegen.commands.content import asked_for, paths_argument, readable
from sitegen.commands.judging import counter, judged, report
from sitegen.commands.main import CannotRun, add_format
from sitegen.kept.making import Making
from sitegen.pages.files import THEME_PATH, own_theme
from sitegen.parallel import cores

if TYPE_CHECKING:
    import argparse
    from pathlib import Path

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
    root, is_asked = asked_for(options)
    if not options.mend and not options.slips:
        with readable(root):
            progress = counter("read")
            found = Making(root, None, workers=cores(), progress=progress, is_set=False).update()
        if is_asked(THEME_PATH):
            found.problems.extend(_faults_of_theme(root, found.settings.lang))
        return report(found, options.format, is_asked, warnings_fail=options.warnings_fail)
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


def _faults_of_theme(root: Path, lang: str) -> list[Problem]:
    """What is wrong with the site's own theme, as far as it shows while no page is set."""
    own = own_theme(root)
    if own.is_dir():
        from sitegen.pages.formats.parts import theme_opener
        from sitegen.pages.formats.theme import error_of

        if error := error_of(lambda: theme_opener(own)(lang)):
            return error.problems(root)
    return []

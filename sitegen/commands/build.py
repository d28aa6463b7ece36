"""`sitegen build`: replay, check and draw everything, and write the site."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from sitegen.commands.content import content_argument, readable, whole_content
from sitegen.commands.main import HOLDS, CannotRun, add_format
from sitegen.report.table import REPORTS

if TYPE_CHECKING:
    from collections.abc import Callable

    from sitegen.commands.judging import Judged
    from sitegen.kept.making import State
    from sitegen.made import Made

J = TypeVar("J", bound="Judged")


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    content_argument(parser)
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
    parser.add_argument(
        "--workers",
        type=_workers,
        metavar="N",
        help="how many processes make pages (default: as many as there are processors; 1: none "
        "beside this one)",
    )
    add_format(parser)


def _workers(text: str) -> int:
    if text.isascii() and text.isdigit() and len(text) < 7 and int(text):
        return int(text)
    raise argparse.ArgumentTypeError(f"`{text}` is no number of processes; write 1, 2, ...")


def run(options: argparse.Namespace) -> int:
    """Build, publish if everything holds, and report."""
    out = Path(options.out or "out")
    if options.with_failures and not options.out:
        raise CannotRun("--with-failures needs --out DIR: a folder of its own for the copy")
    root = whole_content(options)
    if options.url:
        from sitegen.pages.settings import SETTINGS

        if not SETTINGS["url"].fits(options.url):
            raise CannotRun(f"--url must be {SETTINGS['url'].kind}, not `{options.url}`")
    return _review(options, root, out) if options.with_failures else _build(options, root, out)


def _build(options: argparse.Namespace, root: Path, out: Path) -> int:
    from sitegen.kept.stamp import Stamp

    with readable(root):
        stamp = Stamp(root, out, options.url or "")
    if not REPORTS[options.format].names_all and (told := stamp.told_before()):
        return _tell_again(options.format, told["pages"], told["blocks"])

    from sitegen.commands.judging import counter, report
    from sitegen.kept.building import Building
    from sitegen.parallel import cores

    if stamp.kept is None:
        _check_output(out, root, review=False)
    workers = cores() if options.workers is None else options.workers
    building = Building(stamp, options.url or "", counter, workers)

    def is_sound(found: State) -> bool:
        return found.holds and not (options.warnings_fail and found.problems)

    with readable(root):
        made = building.judge()
    made = _published_or_told(made, lambda: building.publish(made, is_sound, _say_waiting))
    return report(made, options.format, warnings_fail=options.warnings_fail)


def _review(options: argparse.Namespace, root: Path, out: Path) -> int:
    """A copy for review: made whole every time, and nothing is kept of it."""
    from functools import cache

    from msgspec.structs import replace

    from sitegen.assemble import layout, site_files
    from sitegen.commands.judging import counter, judged, report
    from sitegen.pages.around import GLOSSARY
    from sitegen.pages.files import own_theme
    from sitegen.pages.formats.html import Html
    from sitegen.pages.formats.parts import theme_opener
    from sitegen.pages.publish import publish
    from sitegen.review import review
    from sitegen.set_page import glossary_terms, set_page, titled

    _check_output(out, root, review=True)
    made = judged(root)
    if options.url:
        made = replace(made, settings=replace(made.settings, url=options.url))

    def put() -> Made:
        own = own_theme(root)
        parts = theme_opener(own)(made.settings.lang)
        terms = glossary_terms(made.listed.get(GLOSSARY), made.settings.lang)
        set_pages = cache(lambda file: set_page(made, file, parts, terms, for_review=True))
        say = parts.words("").say
        laid_out = layout(made.settings, titled(made, parts), made.folder.others, say)
        found = review(made.problems, made.waiting, laid_out.pages)
        laid_out = replace(laid_out, site=replace(laid_out.site, review=found))
        html = Html(laid_out.site, own)
        files = site_files(laid_out, html, set_pages, made.folder, progress=counter("set"))
        publish(files, out, root, review=True, waits=_say_waiting)
        return made

    made = _published_or_told(made, put)
    return report(made, options.format, warnings_fail=options.warnings_fail)


def _check_output(out: Path, root: Path, *, review: bool) -> None:
    """See, before anything is built, whether it could be published.

    Raises:
        CannotRun: it could not.
        OSError: nobody can tell.
    """
    from sitegen.pages.output import OutputRefused, check_output

    try:
        check_output(out, root, review=review)
    except OutputRefused as error:
        raise CannotRun(str(error)) from error


def _say_waiting() -> None:
    print("another build of this site is at work; this one waits for it to end", file=sys.stderr)


def _published_or_told(made: J, put: Callable[[], J]) -> J:
    """Write the site; what is wrong with its addresses or its theme is told with the rest."""
    from sitegen.pages.formats.theme import ThemeError
    from sitegen.pages.output import OutputRefused
    from sitegen.pages.publish import PublishFailed
    from sitegen.pages.stage import PathRefused
    from sitegen.problem import Problem

    try:
        return put()
    except (OutputRefused, PublishFailed) as error:
        raise CannotRun(str(error)) from error
    except PathRefused as error:
        made.problems.append(Problem.of_file(error.path, "file", error.message))
    except ThemeError as error:
        made.problems.extend(error.problems(made.folder.root))
    return made


def _tell_again(form: str, pages: int, blocks: int) -> int:
    """The report of a folder in which everything holds and nothing changed."""
    from sitegen.report.findings import Findings
    from sitegen.report.table import tell

    print(tell(form, Findings(pages, blocks)))
    return HOLDS

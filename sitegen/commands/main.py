"""COMMANDS: the command line, and the exit status of each command.

The parser is the standard library's: it loads in 8 ms, and `sitegen net` has 80 to draw in.
"""

from __future__ import annotations

import argparse
import gc
import importlib
import io
import os
import sys
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen import __version__
from sitegen.report.table import REPORTS

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import TextIO

HOLDS: Final = 0
WRONG: Final = 1
CANNOT_RUN: Final = 2


class CannotRun(Exception):  # noqa: N818 - what happened
    """A command that could not be run: said on standard error, exit status 2."""


class Command(NamedTuple):
    """A command.

    Attributes:
        module: the module in this package with its `arguments` and its `run`; loaded only when the
            command is called, for the time that loading takes.
        help: what it does, in a line.
    """

    module: str
    help: str


COMMANDS: Final = {
    "build": Command("build", "replay, check and draw everything, and write the site"),
    "check": Command("check", "replay and check, and write nothing"),
    "explain": Command("explain", "say what a sequence does"),
    "net": Command("net", "draw the position that moves lead to"),
    "preview": Command("preview", "serve the site while it is written, and refresh open pages"),
    "redraw": Command("redraw", "write the engine's nets where a block's are empty or stale"),
    "start": Command("start", "make a folder for a new site"),
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; the exit status is 0 (all holds), 1 (something does not), 2 (cannot run)."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    name = " ".join(["sitegen", *(one for one in given[:1] if one in COMMANDS)])
    _open_streams()
    try:
        return _run_and_flush(given)
    except CannotRun as reason:
        print(f"{name}: {reason}", file=sys.stderr)
    except BrokenPipeError:
        # whoever read the output has gone; nothing more can be said to them
        _discard_output()
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        print(f"{name}: {where}{error.strerror or error}", file=sys.stderr)
        _discard_output()
    except KeyboardInterrupt:
        print(f"{name}: interrupted", file=sys.stderr)
    return CANNOT_RUN


def _open_streams() -> None:
    """Put the null device in the place of streams that were closed before the program began."""
    for name, mode in {"stdin": "r", "stdout": "w", "stderr": "w"}.items():
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: PTH123, SIM115 - for good


def _run_and_flush(given: Sequence[str]) -> int:
    """Run a command, and see what it says written to the end.

    Raises:
        OSError: it cannot be written, or something cannot be read that no command expects to fail.
    """
    try:
        return _run_command(given)
    finally:
        # Python would write the last of it when it ends, and answer in its own words
        sys.stdout.flush()


def _discard_output() -> None:
    """Send what is left to the null device, so that Python does not fail on it at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _run_command(given: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="sitegen",
        description="Lessons for big cubes whose every picture is checked against its moves.",
        epilog="Exit status: 0 all holds; 1 something in the content folder or the theme does not "
        "hold; 2 the command could not be run.",
    )
    parser.add_argument("--version", action="version", version=f"sitegen {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    # a parser takes half a millisecond, so where one command is called it is made for that alone
    for name in given[:1] if given and given[0] in COMMANDS else COMMANDS:
        command = COMMANDS[name]
        sub = commands.add_parser(
            name, help=command.help, description=f"{command.help.capitalize()}."
        )
        if name in given:
            importlib.import_module(f"sitegen.commands.{command.module}").arguments(sub)
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        # a terminal that knows few letters is shown the others' numbers, and stops nothing; nor
        # does one that answers in letters which nobody here can read
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    if not given or (given[0] not in COMMANDS and not given[0].startswith("-")):
        parser.error(_no_command(given))
    # nearly all that a build makes lives to its end; looking through it for circles is wasted
    gc.set_threshold(200_000, 20, 100)
    options, unread = parser.parse_known_args(given)
    if unread:
        hint = "; moves stand in quotes" if "moves" in options else ""
        commands.choices[options.command].error(f"too much is said: {' '.join(unread)}{hint}")
    module = importlib.import_module(f"sitegen.commands.{COMMANDS[options.command].module}")
    return int(module.run(options))


def _no_command(given: Sequence[str]) -> str:
    """What to say where no command is named, or one that there is not."""
    from sitegen.wording import meant

    listed = f"they are {', '.join(COMMANDS)}"
    if not given:
        return f"a command is missing; {listed}"
    near = meant(given[0], COMMANDS)
    offer = f"did you mean `{near}`?" if near else listed
    return f"there is no command `{given[0]}`; {offer}"


def wants_colour(stream: TextIO) -> bool:
    """Whether a stream is a terminal that may be written to in colour (see no-color.org)."""
    is_wanted = not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return is_wanted and stream.isatty()


def add_format(parser: argparse.ArgumentParser) -> None:
    """`--format` and `--warnings-fail`, for the commands that report problems."""
    meanings = "; ".join(f"{name}: {report.meaning}" for name, report in REPORTS.items())
    parser.add_argument(
        "--format",
        choices=REPORTS,
        default="text",
        help=f"how problems are told (default: text); {meanings}",
    )
    parser.add_argument(
        "--warnings-fail", action="store_true", help="let warnings count as errors do"
    )

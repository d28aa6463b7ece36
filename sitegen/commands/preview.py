"""`sitegen preview`: serve the site while it is written, and say what does not hold."""

from __future__ import annotations

import argparse
import asyncio
import os
import socket
import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from sitegen.commands.content import content_argument, whole_content
from sitegen.commands.judging import findings
from sitegen.commands.main import HOLDS, CannotRun
from sitegen.report.person import Person, summary
from sitegen.report.tame import tame

if TYPE_CHECKING:
    from sitegen.preview.builder import Built
    from sitegen.problem import Problem
    from sitegen.report.findings import Findings

PORT: Final = 8000


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    content_argument(parser)
    parser.add_argument(
        "--port",
        type=_port,
        default=PORT,
        metavar="N",
        help=f"where to serve it (default: {PORT}); a port that is taken moves on to the next",
    )
    parser.add_argument(
        "--redraw",
        action="store_true",
        help="write the engine's net into a page that is saved with an empty one",
    )


def _port(text: str) -> int:
    if text.isascii() and text.isdigit() and int(text) < 65536:
        return int(text)
    raise argparse.ArgumentTypeError(f"`{text}` is no port; a port is a number from 0 to 65535")


def run(options: argparse.Namespace) -> int:
    """Serve until Ctrl-C."""
    from sitegen.preview.builder import Builder
    from sitegen.preview.server import PortsTaken, open_port
    from sitegen.preview.session import preview
    from sitegen.preview.watch import CannotWatch

    root = whole_content(options)
    try:
        opened = open_port(options.port)
    except PortsTaken as error:
        raise CannotRun(f"port {options.port} and those after it are taken") from error
    host, port = opened.getsockname()
    if options.port not in (0, port):
        _say(f"port {options.port} is taken; this is {port}")
    _say(f"{_with_link(f'http://{host}:{port}/', f'http://{host}:{port}/')} (Ctrl-C stops it)")
    builder, teller = Builder(root, redraw=options.redraw), Teller()
    try:
        asyncio.run(preview(builder, opened, teller.tell, teller.complain))
    except CannotWatch as error:
        raise CannotRun(
            f"what changes cannot be seen: {error}. On Linux, `fs.inotify.max_user_instances` and "
            "`fs.inotify.max_user_watches` say how many programs may watch, and how many folders; "
            "end another program that does, or let the system's administrator allow more"
        ) from error
    return HOLDS


class Teller:
    """Says in the terminal what has become of the site, where that is news."""

    def __init__(self) -> None:
        self._told: Counter[tuple[str, str, str, str | None]] = Counter()
        self._summary = self._complaint = ""

    def tell(self, built: Built) -> None:
        """Tell the problems that are new, and how many there are now."""
        found = findings(built.state)
        now = Counter(map(_identity, found.problems))
        news = now - self._told
        fresh = []
        for problem in found.problems:
            if news[_identity(problem)]:
                news[_identity(problem)] -= 1
                fresh.append(problem)
        for file, line in built.redrawn:
            _say(f"{tame(found.path(file))}:{line}: net written")
        person = Linking(found)
        for told in person.problems(fresh):
            _say(told, "")
        if not self._summary or self._complaint or now != self._told:
            _say(summary(found))
        self._told, self._summary, self._complaint = now, summary(found), ""

    def complain(self, why: str) -> None:
        """Tell why there is nothing new to be seen."""
        if why != self._complaint:
            _say(f"{tame(why)}; the site stays as it was")
        self._complaint = why


def _identity(problem: Problem) -> tuple[str, str, str, str | None]:
    """What makes a problem the same one after lines above it came or went."""
    return problem.file, problem.rule, problem.message, problem.block


class Linking(Person):
    """Tells problems as `check` does, their places as links to the line."""

    def __init__(self, found: Findings) -> None:
        super().__init__(found.line_of, colour=found.colour)
        self._found = found

    def place(self, problem: Problem) -> str:
        """File, line and column; the file as it is called from the current folder."""
        seen = tame(self._found.path(problem.file))
        whole = Path(self._found.root, problem.file).as_posix()
        link = f"file://{socket.gethostname()}{quote(whole)}#L{problem.line},{problem.column}"
        return _with_link(f"{seen}:{problem.line}:{problem.column}", link)


def _with_link(text: str, address: str) -> str:
    """A text that leads somewhere, on a terminal (OSC 8, as terminals agreed on it)."""
    if not sys.stdout.isatty() or os.environ.get("TERM") == "dumb":
        return text
    return f"\033]8;;{address}\033\\{text}\033]8;;\033\\"


def _say(*lines: str) -> None:
    for line in lines:
        print(line)
    sys.stdout.flush()

"""`sitegen net`: draw the position that moves lead to."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from sitegen.commands.main import CANNOT_RUN, HOLDS, CannotRun, wants_colour
from sitegen.cube.geometry import LARGEST
from sitegen.cube.position import Motion, Position
from sitegen.cube.scheme import DEFAULT
from sitegen.cube.size import read_size
from sitegen.draw.picture import Picture
from sitegen.notation.read import read_moves, unclear
from sitegen.notation.setting import MoveSetting
from sitegen.notation.spell import Step, spell
from sitegen.notation.tree import nodes_of
from sitegen.problem import Problem, Source, Wrong
from sitegen.report.person import Person

if TYPE_CHECKING:
    import argparse

    from sitegen.notation.tree import Spacing


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    add_moves(parser, "moves, done from solved; may be empty")
    parser.add_argument("--letters", action="store_true", help="print colour letters in the .svg")
    parser.add_argument(
        "--out", metavar="FILE.svg", help="write a picture instead of the terminal's net"
    )


def add_moves(parser: argparse.ArgumentParser, meaning: str) -> None:
    """Moves, their cube and their reading, for commands that take some; see `read_setting`."""
    parser.add_argument("moves", metavar="MOVES", help=meaning)
    parser.add_argument(
        "--cube", default="3", metavar="N", help="layers each way, 2 to 33 (default: 3)"
    )
    parser.add_argument(
        "--lowercase", choices=("wide", "slice"), default="", help="how `r` is read: as Rw or as 2R"
    )


def read_setting(options: argparse.Namespace) -> MoveSetting:
    """What the moves on the command line are read with.

    Raises:
        CannotRun: there is no such cube.
    """
    try:
        return MoveSetting(read_size(options.cube, LARGEST), options.lowercase, typed=True)
    except Wrong as wrong:
        raise CannotRun(f"--cube: {wrong.message}") from None


def run(options: argparse.Namespace) -> int:
    """Draw in the terminal, or to a file."""
    setting = read_setting(options)
    n = setting.n
    out = Path(options.out) if options.out else None
    if out and out.suffix != ".svg":
        raise CannotRun(f"--out: `{out}` does not end in .svg")
    steps = read_steps(options.moves, setting)
    if steps is None:
        return CANNOT_RUN
    position = Position.solved(n).after(Motion.of(n, (step.turn for step in steps)))
    if out is None:
        from sitegen.draw.terminal import net_text

        print(net_text(position, colour=wants_colour(sys.stdout)))
        return HOLDS
    from sitegen.draw.styles import STYLES
    from sitegen.pages.formats.words import english

    title = f"After {options.moves}" if options.moves.strip() else "Solved"
    picture = Picture(n, position.colours, title, letters=options.letters)
    try:
        out.write_text(
            STYLES["net"].draw(picture, DEFAULT, english(), standalone=True) + "\n", "utf-8"
        )
    except OSError as error:
        raise CannotRun(f"{out}: {error.strerror}") from error
    return HOLDS


def read_steps(text: str, setting: MoveSetting) -> list[Step] | None:
    """The turns of moves from the command line, all problems told; None if any is wrong."""
    faults: list[Wrong] = []
    spacings: list[Spacing] = []
    moves = read_moves(text, faults, spacings)
    steps = spell(nodes_of(moves.phrases), setting, faults)
    told = [*faults, *unclear(spacings, setting.n)]
    if not told:
        return steps
    source, lines = Source.whole("moves", text), text.split("\n")
    person = Person(lambda _file, line: lines[line - 1], colour=wants_colour(sys.stderr))
    for problem in person.problems(Problem.at(source, wrong) for wrong in told):
        print(problem, end="\n\n", file=sys.stderr)
    return None if faults else steps

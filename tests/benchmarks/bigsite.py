"""A big content folder of lessons that all hold, the same whenever it is made."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING, Final

from sitegen.cube.parity import parity
from sitegen.cube.position import Motion, Position
from sitegen.cube.scheme import DEFAULT
from sitegen.cube.textnet import write_cross
from sitegen.notation.count import count_turns
from sitegen.notation.read import read_moves
from sitegen.notation.setting import MoveSetting
from sitegen.notation.spell import spell
from sitegen.notation.tree import nodes_of

if TYPE_CHECKING:
    from pathlib import Path

    from sitegen.cube.turn import Turn

N: Final = 7
BLOCKS: Final = 5
WORDS: Final = 600
"""Words of prose a page, code spans counted as words; a few more, for paragraphs are whole."""

IN_A_COURSE: Final = 25

_TEXT: Final = (
    "a again along and any around as at back before below beside bring but by can carry centre "
    "corner cube each edge every face finger first follow for from front goes hand has here hold "
    "home if in inner into is it its keep layer left lesson let line look middle more move next no "
    "not now of off on once one or out outer over own pair piece place put read rest right round "
    "row same second see set side slice slot slow so stand start stay step still take that the "
    "then there third this three through to together top turn twice two under until up wait way "
    "what when where which white wing with without work yellow yet you"
)
_WORDS: Final = tuple(_TEXT.split())

_LAYERS: Final = "U D L R F B Uw Dw Lw Rw Fw Bw 3Uw 3Rw 3Fw 2R 3L 2-3U 2F M E S"
_TURNS: Final = tuple(turn + amount for turn in _LAYERS.split() for amount in ("", "'", "2"))
_SPANS: Final = ("`UF2R`", "`FR`", "`U2F3R`", "`3Rw' U2`", "`R U R' U'`", "`[R, U]`", "`text: R`")


def moves_of(chance: random.Random, fewest: int, most: int) -> list[str]:
    """Turns as an author would write them, no two that follow one another on the same face."""
    turns: list[str] = []
    for _ in range(chance.randint(fewest, most)):
        turn = chance.choice(_TURNS)
        while turns and turns[-1].strip("'2") == turn.strip("'2"):
            turn = chance.choice(_TURNS)
        turns.append(turn)
    return turns


def turns_of(text: str) -> list[Turn]:
    """The turns that moves come to on the 7x7."""
    steps = spell(nodes_of(read_moves(text, []).phrases), MoveSetting(N), [])
    return [step.turn for step in steps]


def write_site(folder: Path, pages: int) -> None:
    """Write a content folder.

    Args:
        folder: it must not be there yet.
        pages: how many.
    """
    names = [f"course-{i // IN_A_COURSE + 1}/lesson-{i % IN_A_COURSE + 1}.md" for i in range(pages)]
    folder.mkdir(parents=True)
    (folder / "site.toml").write_text(_settings(names), "utf-8")
    for number, name in enumerate(names):
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(_page(number, names), "utf-8")


def _settings(names: list[str]) -> str:
    lines = ["language = 1", 'title = "Lantern Lane Cube Club"', f"cube = {N}"]
    for first in range(0, len(names), IN_A_COURSE):
        pages = ", ".join(f'"{name}"' for name in names[first : first + IN_A_COURSE])
        title = f"Course {first // IN_A_COURSE + 1}"
        lines += ["", "[[courses]]", f'title = "{title}"', f"pages = [{pages}]"]
    return "\n".join(lines) + "\n"


def _page(number: int, names: list[str]) -> str:
    chance = random.Random(number)
    near = names[max(0, number - 3) : number + 4]
    links = [name.split("/")[1] for name in near if name.split("/")[0] == _course(number)]
    parts = ["---", f"title: Lesson {number + 1}", f"summary: {_sentence(chance)}", "---", ""]
    for block in _blocks(chance):
        parts += [f"## {_sentence(chance)[:40].rstrip()}", ""]
        words = 0
        while words < WORDS / BLOCKS:
            paragraph = _paragraph(chance, links)
            words += len(paragraph.split())
            parts += [paragraph, ""]
        parts += [block, ""]
    return "\n".join(parts)


def _course(number: int) -> str:
    return f"course-{number // IN_A_COURSE + 1}"


def _sentence(chance: random.Random) -> str:
    return " ".join(chance.choices(_WORDS, k=chance.randint(8, 16))).capitalize()


def _paragraph(chance: random.Random, links: list[str]) -> str:
    """Four sentences: a code span in one, emphasis in one, a link in one."""
    sentences = [_sentence(chance) for _ in range(4)]
    sentences[0] += f" {chance.choice(_SPANS)}"
    sentences[1] += f" *{chance.choice(_WORDS)} {chance.choice(_WORDS)}*"
    sentences[2] += f" [{chance.choice(_WORDS)}]({chance.choice(links)})"
    return ". ".join(sentences) + "."


def _blocks(chance: random.Random) -> list[str]:
    """A page's blocks, all true: from solved, from moves, from the block above; nets and claims."""
    blocks = []
    ended = Position.solved(N)
    for number in range(BLOCKS):
        start, setup = Position.solved(N), []
        if number == 1:
            written = " ".join(moves_of(chance, 15, 25))
            start = start.after(Motion.of(N, turns_of(written)))
            setup = [f"from: {written}"]
        elif number == 2:
            start, setup = ended, ["from: last"]
        written = " ".join(moves_of(chance, 15, 25))
        ended = start.after(Motion.of(N, turns_of(written)))
        head = [f"```moves block-{number + 1}", f"title: {_sentence(chance)[:30].rstrip()}"]
        told = _told(number, written, ended)
        blocks.append("\n".join([*head, *setup, *_moves(chance, written), *told, "```"]))
    return blocks


def _moves(chance: random.Random, written: str) -> list[str]:
    """The moves in two phrases, the first with a caption."""
    words = written.split()
    cut = len(words) // 2
    first, second = " ".join(words[:cut]), " ".join(words[cut:])
    return ["moves:", f"  {first}  // {_sentence(chance)}", f"  {second}"]


def _told(number: int, written: str, after: Position) -> list[str]:
    """What a block states: a whole net (0, 1), two faces (2), claims (3), claims and marks (4)."""
    if number in (0, 1):
        return ["after:", *(f"  {row}" for row in write_cross(after, DEFAULT))]
    if number == 2:
        return ["after:", *_two_faces(after)]
    claims = [f"  parity wings {layer} {_parity(after, layer)}" for layer in (2, 3)]
    length = f"  turns {count_turns(turns_of(written), N, 'OBTM')} OBTM"
    marks = ["mark: UF2R = a, FD3L = b"] if number == 4 else []
    return ["check:", length, *claims, f"  same as {written}", *marks]


def _two_faces(position: Position) -> list[str]:
    rows = [row.strip() for row in write_cross(position, DEFAULT)]
    front = [row.split(" ")[1] for row in rows[N : 2 * N]]
    return [
        f"  {face}: {row}" if not i else f"     {row}"
        for face, shown in (("F", front), ("U", rows[:N]))
        for i, row in enumerate(shown)
    ]


def _parity(position: Position, layer: int) -> str:
    return "odd" if parity(position, "wing", layer) else "even"

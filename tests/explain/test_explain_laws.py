"""Laws that hold of every answer, whatever the moves."""

from __future__ import annotations

import contextlib
import io
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from explain.explaining import holds
from sitegen.commands.main import main
from sitegen.cube.geometry import geometry
from sitegen.cube.position import Motion, Position
from tables import motion_of


@st.composite
def sequences(draw: st.DrawFn) -> tuple[str, int]:
    """Moves, mostly few: turns, wide and inner turns, rotations, groups and brackets."""
    n = draw(st.integers(2, 8))
    inner = [f"{k}{face}" for k in range(2, n) for face in "UDLRFB"]
    wide = [f"{k}{face}w" for k in range(2, n) for face in "UDLRFB"]
    middle = list("MES") if n % 2 else []
    kinds = [kind for kind in (list("UDLRFB"), inner, wide, middle, list("xyz")) if kind]
    turn = st.builds(
        str.__add__,
        st.sampled_from(kinds).flatmap(st.sampled_from),
        st.sampled_from(["", "'", "2", "2'"]),
    )
    short = st.lists(turn, min_size=1, max_size=4).map(" ".join)
    bracket = st.one_of(
        st.builds("[{}, {}]{}".format, short, short, st.sampled_from(["", "'", "2"])),
        st.builds("[{}: {}]{}".format, short, short, st.sampled_from(["", "'", "3'"])),
        st.builds("({}){}".format, short, st.sampled_from(["2", "'", "3'"])),
    )
    return draw(st.lists(short | bracket, min_size=1, max_size=3).map("\n".join)), n


def _told(moves: str, n: int) -> dict[str, Any]:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main(["explain", "--cube", str(n), "--format", "json", "--", moves]) == 0
    found: dict[str, Any] = json.loads(out.getvalue())
    return found


def _every(where: str, n: int) -> list[str]:
    inner = [f"{k}{face}" for k in range(2, n // 2 + 1) for face in "UDFBRL"]
    return [*"UDFBRL", *(inner + list("MES" * (n % 2)) if where == "layer" else ())]


def _without_rotations(moves: str, n: int) -> str:
    """The same with each rotation written as turns: all layers but one, and that one along."""
    for rotation, sides in (("x", "RL"), ("y", "UD"), ("z", "FB")):
        along = f"({n - 1 if n > 2 else ''}{sides[0]}{'w' if n > 2 else ''} {sides[1]}')"
        moves = moves.replace(rotation, along)
    return moves


@given(sequences())
def test_the_claim_that_is_printed_holds(drawn: tuple[str, int]) -> None:
    moves, n = drawn
    found = _told(moves, n)
    turned_back = f"{moves} {found['held']['back']}"
    if found["claim"]:
        assert holds(found["claim"], turned_back, n)
        assert not holds(found["claim"], "", n)
    if found["claim_held"]:
        assert holds(found["claim_held"], moves, n)
    assert holds(f"order {found['order']}", moves, n)
    for orbit, how in found["parity"].items():
        assert holds(f"parity {orbit} {how}", moves, n)
    for metric, count in found["turns"].items():
        assert holds(f"turns {count} {metric}", moves, n)
    # what `kept` undoes is the rotations as they are written
    judged = moves
    if found["written"] != found["held"]["rotation"]:
        judged = _without_rotations(turned_back, n)
    for name in found["kept"]["classes"]:
        assert holds(f"kept {name}", judged, n)
    for where in ("layer", "face"):
        kept = found["kept"][f"{where}s"]
        assert {name for name in _every(where, n) if holds(f"kept {where} {name}", judged, n)} == {
            *kept
        }
    if n > 2:
        assert holds(f"paired {found['kept']['paired']}", moves, n)


@given(sequences())
def test_the_inverse_undoes(drawn: tuple[str, int]) -> None:
    moves, n = drawn
    found = _told(moves, n)
    assert motion_of(n, f"{moves}\n{found['inverse']}").cycles() == ()
    assert found["held"]["rotation"] or not found["held"]["back"]


@pytest.mark.parametrize("key", ["mirror", "mirror_fb", "behind", "inverse"])
@given(drawn=sequences())
def test_seen_so_twice_it_is_the_same(key: str, drawn: tuple[str, int]) -> None:
    moves, n = drawn
    once = _told(moves, n)[key]
    assert motion_of(n, _told(once, n)[key]) == motion_of(n, moves)


@pytest.mark.parametrize(
    ("key", "exchanged"), [("mirror", ["LR"]), ("mirror_fb", ["FB"]), ("behind", ["LR", "FB"])]
)
@given(drawn=sequences())
def test_the_other_side_carries_its_stickers_so(
    key: str, exchanged: list[str], drawn: tuple[str, int]
) -> None:
    # by geometry alone: exchange the sides of every sticker's place before and after
    moves, n = drawn
    cube = geometry(n)
    letters = str.maketrans("".join(exchanged), "".join(pair[::-1] for pair in exchanged))
    other = [
        cube.sticker_at[
            (n - 1 - x if "LR" in exchanged else x, y, n - 1 - z if "FB" in exchanged else z),
            face.translate(letters),
        ]
        for (x, y, z), face in zip(cube.cells, cube.faces, strict=True)
    ]
    goals = motion_of(n, moves).goals
    exchanged_goals = motion_of(n, _told(moves, n)[key]).goals
    assert all(exchanged_goals[other[s]] == other[goals[s]] for s in range(cube.count))


@given(sequences())
def test_every_piece_that_moves_is_counted(drawn: tuple[str, int]) -> None:
    moves, n = drawn
    found = _told(moves, n)
    back: Motion = motion_of(n, f"{moves} {found['held']['back']}")
    moved = {geometry(n).cells[s] for cycle in back.cycles() for s in cycle}
    assert sum(sum(orbit["lengths"]) for orbit in found["orbits"]) == len(moved)
    solved = Position.solved(n).colours
    now = Position.solved(n).after(back).colours
    assert found["kept"]["changed"] == sum(a != b for a, b in zip(solved, now, strict=True))

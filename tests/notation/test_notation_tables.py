"""What each written form means, and what each mistake is told."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import pytest

from sitegen.cube.position import Motion
from sitegen.cube.turn import Turn
from sitegen.notation.read import read_moves
from sitegen.notation.setting import Lowercase, MoveSetting, Sequences
from sitegen.notation.spell import Step, spell
from sitegen.notation.tree import nodes_of
from sitegen.notation.write import write_moves, write_turn
from tables import Row, motion_of, raw, rows_of

if TYPE_CHECKING:
    from sitegen.notation.tree import Spacing
    from sitegen.problem import Wrong

NAMED: Final = Sequences({"known": "R U", "round": "{again}", "again": "{round}", "spoilt": "R3"})

PLAIN: Final = {
    "2Rw": "Rw",
    "R2'": "R2",
    "3Rw2'": "3Rw2",
    "x2'": "x2",
    **dict.fromkeys(("R’", "R′", "R´", "R`"), "R'"),
}
"""Forms that are read and never written, and what is written for them."""


def faults_of(n: int, moves: str, lowercase: Lowercase = "") -> tuple[list[Wrong], list[Step]]:
    faults: list[Wrong] = []
    nodes = nodes_of(read_moves(moves, faults).phrases)
    return faults, spell(nodes, MoveSetting(n, lowercase, NAMED), faults)


@pytest.mark.parametrize("row", rows_of("forms"), ids=lambda row: f"{row.n} {row.moves}")
def test_a_form_turns_what_the_regulations_or_the_trade_say(row: Row) -> None:
    assert motion_of(row.n, row.moves) == Motion.of(row.n, [Turn(*row.value)])


@pytest.mark.parametrize("row", rows_of("forms"), ids=lambda row: f"{row.n} {row.moves}")
def test_a_turn_is_written_in_that_form(row: Row) -> None:
    assert write_turn(Turn(*row.value), row.n) == PLAIN.get(row.moves, row.moves)


def test_every_form_of_the_regulations_is_in_the_table() -> None:
    # WCA Regulations 12a1 (faces), 12a2 (outer blocks), 12a4 (rotations); 12a5, 12a6: turns.toml
    assert {"12a1", "12a2", "12a4"} <= {row.source[-4:] for row in rows_of("forms")}
    assert {"12a5", "12a6"} <= {row.source[-4:] for row in rows_of("turns")}


@pytest.mark.parametrize(
    "row", raw("notation-errors"), ids=lambda row: f"{row['n']} {row['moves']}"
)
def test_a_mistake_is_told_once_at_its_place_with_what_was_meant(row: dict[str, Any]) -> None:
    (wrong,), _ = faults_of(row["n"], row["moves"])
    assert (wrong.rule, [wrong.start, wrong.end]) == (row["rule"], row["at"])
    for offer in row["offers"]:
        assert f"`{offer}`" in wrong.message
    for words in row["says"]:
        assert words in wrong.message


@pytest.mark.parametrize("row", rows_of("spacings"), ids=lambda row: f"{row.n} {row.moves}")
def test_a_two_that_could_be_meant_otherwise_is_shown_in_both_readings(row: Row) -> None:
    spacings: list[Spacing] = []
    faults: list[Wrong] = []
    read_moves(row.moves, faults, spacings)
    assert not faults
    assert [reading for s in spacings for reading in (s.read, s.other)] == row.value
    assert motion_of(row.n, row.moves) == motion_of(row.n, row.value[0] if row.value else row.moves)


@pytest.mark.parametrize(
    ("lowercase", "face", "layers"), [("wide", "R", (1, 2)), ("slice", "U", (2, 2))]
)
@pytest.mark.parametrize("n", [3, 4, 7])
def test_lowercase_is_read_as_the_site_chooses(
    n: int, lowercase: Lowercase, face: str, layers: tuple[int, int]
) -> None:
    # common practice, no source: both readings are in use
    faults, steps = faults_of(n, f"{face.lower()}'", lowercase)
    assert not faults
    assert [step.turn for step in steps] == [Turn(face, *layers, 3)]


@pytest.mark.parametrize(
    ("moves", "meant"),
    [
        ("(R U)3", "R U R U R U"),
        ("(R U)'", "U' R'"),
        ("(R U)3'", "U' R' U' R' U' R'"),
        ("[R, U]", "R U R' U'"),
        ("[R: U]", "R U R'"),
        ("[F: [R, U]]2'", "F U R U' R' F' F U R U' R' F'"),
        ("[R2: (U D')2]", "R2 U D' U D' R2"),
        ("(R\n U)2 // twice\n F", "R U R U F"),
        ("{known}2'", "U' R' U' R'"),
    ],
)
def test_brackets_are_what_mathematics_says(moves: str, meant: str) -> None:
    (_, found), (_, wanted) = faults_of(4, moves), faults_of(4, meant)
    assert [step.turn for step in found] == [step.turn for step in wanted]


def test_all_mistakes_are_told_in_one_reading() -> None:
    faults, _ = faults_of(4, "R3 U M (F] {nope} 5Rw")
    assert [wrong.rule for wrong in faults].count("notation") == 3
    assert [wrong.rule for wrong in faults].count("layer-range") == 2


def test_a_comment_alone_on_its_line_goes_to_the_phrase_after_it() -> None:
    moves = read_moves("// first\n\n// and\nR // then\nU\n// last\n(\n// in\nF)\n// never", [])
    captions = [phrase.caption for phrase in moves.phrases]
    assert captions == ["first and then", "", "last in"]


def test_a_phrase_is_a_line_and_its_comment_the_caption() -> None:
    moves = read_moves("R U // over\n\n(F\nB) // there\nD", [])
    assert [phrase.caption for phrase in moves.phrases] == ["over", "there", ""]
    assert [len(phrase.nodes) for phrase in moves.phrases] == [2, 1, 1]
    assert [(phrase.start, phrase.end) for phrase in moves.phrases] == [(0, 3), (13, 18), (28, 29)]


def test_words_keep_the_signs_that_turns_are_read_without() -> None:
    faults: list[Wrong] = []
    moves = read_moves("R’ U // don’t lift `UF2R`, 5′ of rest´, not 2–4R", faults)
    assert faults == []
    assert write_moves(moves) == "R' U"
    (phrase,) = moves.phrases
    assert phrase.caption == "don’t lift `UF2R`, 5′ of rest´, not 2–4R"

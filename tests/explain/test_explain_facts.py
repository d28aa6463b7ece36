"""What was published about sequences, and what `explain` says of them."""

from __future__ import annotations

import pytest

from explain.explaining import holds, told

SUPERFLIP = "F B U2 R F2 R2 B2 U' D F U2 R' L' U B2 D R2 U B2 U"

ORDERS = [
    ("R U", 3, 105),  # Singmaster, Notes on Rubik's Magic Cube; from memory
    ("R U'", 3, 63),  # the same
    ("R U R' U'", 3, 6),  # the same
    ("R U2 D' B D'", 3, 1260),  # Joyner, Adventures in Group Theory; from memory
    ("U R U' F2", 3, 10),  # OEIS A338883, its example
    (SUPERFLIP, 3, 2),  # Winter 1992, quoted by Reid in the Cube-Lovers archive
    ("R U", 2, 15),  # a separate simulator
    ("R U", 7, 105),  # by picture as on the 3x3; a separate simulator
    ("x", 4, 4),  # four quarter turns of the whole cube
]

# each cycle begun at any of its places
CYCLES = [
    ("R U R' U' R U R' U' R U R' U'", 3, ["UFR DFR", "UBL BUR"]),  # Joyner, in OEIS A135823
    ("R D R' U R D' R' U'", 3, ["UBL RDB UBR"]),  # Joyner, in OEIS A135827
    ("M2 U' M U2 M' U' M2", 3, ["UF UL UR"]),  # Joyner, in OEIS A135819, M and M' exchanged
    ("[M', U2]", 3, ["UB UF DF"]),  # textbook commutator; a separate simulator
    # common practice, no source; a separate simulator
    ("R U R' U R U2 R'", 3, ["UB UL UR", "UBL RUF BUL UFR LUB FUR", "UBR FUL BUR LUF RUB UFL"]),
    ("[2R, U R' U']", 5, ["UB2R BR2U FU2R"]),
    ("[3R, U R' U']", 7, ["UB3R BR3U FU3R"]),
    ("[2R', U 2L' U']", 6, ["U2F2R F2D2L B2U2R"]),
    ("[2R E 2R', U]", 5, ["U2B3R R2F3U U2R3F"]),
    ("2R2 U2 2R2 Uw2 2R2 2U2", 4, ["UF UB"]),  # the two edges as wholes
    ("2R2 B2 U2 2L U2 2R' U2 2R U2 F2 2R F2 2L' B2 2R2", 5, ["UF2L FU2R"]),
]

# the parity of one quarter turn: layer k alone is odd on corners for k = 1, on wings j for k = j,
# on middles for the face and for the middle layer (place by place; with the fixed centres turned
# home the middle layer is even). Of M and x: the corners' and wings' from the same rule. Edges as
# wholes, by hand: R carries four round, which is odd; 2R and 3R leave none of four paired; the
# trade's two exchanges of whole edges on a 4x4 are odd on them and even on the wings.
PARITIES = [
    ("R", 5, {"corners": "odd", "middles": "odd", "wings 2": "even", "edges": "odd"}),
    ("2R2 U2 2R2 Uw2 2R2 2U2", 4, {"corners": "even", "wings 2": "even", "edges": "odd"}),
    ("Rw", 5, {"corners": "odd", "middles": "odd", "wings 2": "odd"}),
    ("3R", 7, {"corners": "even", "middles": "even", "wings 2": "even", "wings 3": "odd"}),
    ("M", 3, {"corners": "even", "edges": "even"}),
    ("x", 3, {"corners": "even", "edges": "even"}),
]


def _pieces(cycle: str) -> list[str]:
    """Which pieces a cycle is about, whatever sticker of each is named."""
    return sorted({"".join(sorted(place)) for place in cycle.split()})


@pytest.mark.parametrize(("moves", "n", "order"), ORDERS)
def test_order(moves: str, n: int, order: int, capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys, moves, n)["order"] == order


@pytest.mark.parametrize(("moves", "n", "cycles"), CYCLES)
def test_cycles(moves: str, n: int, cycles: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, moves, n)
    printed = [" ".join(cycle["places"]) for cycle in found["cycles"]]
    moved = printed[: len(cycles)]
    assert sorted(map(_pieces, moved)) == sorted(map(_pieces, cycles))
    assert holds("cycles " + "".join(f"({cycle})" for cycle in cycles), moves, n)
    assert holds(found["claim"], moves, n)


@pytest.mark.parametrize(("moves", "n", "parity"), PARITIES)
def test_parity(
    moves: str, n: int, parity: dict[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert told(capsys, moves, n)["parity"] == parity


def test_superflip_flips_twelve_edges(capsys: pytest.CaptureFixture[str]) -> None:
    # Winter 1992, quoted by Reid: every edge flipped, nothing else; 20 turns
    found = told(capsys, SUPERFLIP, 3)
    assert found["words"][0].startswith("Twelve edges are flipped in place: ")
    assert found["words"][1:] == ["Nothing else moves."]
    assert found["turns"]["OBTM"] == 20


def test_twists_say_which_way(capsys: pytest.CaptureFixture[str]) -> None:
    # common practice, no source: two seven-turn sequences, the second from the other side, twist
    # three corners against three; by hand, a corner is twisted clockwise where U's sticker goes to
    # the side that follows clockwise, at UFR the side R
    found = told(capsys, "(R' D' R D)2 U (R' D' R D)4 U'", 3)
    (words, end) = found["words"]
    assert end == "Nothing else moves."
    ways = dict(part.split(" ") for part in words.rstrip(".").split(": ")[1].split(", "))
    assert sorted(ways.values()) == ["anticlockwise", "clockwise"]
    places = {cycle["places"][0]: cycle["places"] for cycle in found["cycles"]}
    clockwise = {"UFR": "R", "UBR": "B"}
    for corner, way in ways.items():
        after = {"clockwise": 1, "anticlockwise": 2}[way]
        assert places[corner][after][0] == clockwise[corner]


def test_what_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    # the trade's slice commutator changes two stickers only; a separate simulator
    assert told(capsys, "[2R E 2R', U]", 5)["kept"]["changed"] == 2
    # common practice: all edges but FL and FR are left paired; a separate simulator
    assert told(capsys, "Uw' R U R' F R' F' R Uw", 5)["kept"]["paired"] == 10
    # WCA Regulations 12a1: a turn of R leaves the opposite side and its own as they look
    assert told(capsys, "R", 3)["kept"]["faces"] == ["L", "R"]
    assert told(capsys, "R", 2)["kept"]["paired"] is None
    # by hand: R moves stickers of the layer R alone, and the layers across it all lose some
    assert told(capsys, "R", 5)["kept"]["layers"] == ["2R", "M", "2L", "L"]
    assert told(capsys, "R", 4)["kept"]["layers"] == ["2R", "2L", "L"]
    assert told(capsys, "E", 3)["kept"]["layers"] == ["U", "D"]


def test_centres_that_do_not_show_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    # by hand: a face turn carries centres round on their own side, on a 5x5 eight of them
    found = told(capsys, "R", 5)
    assert found["words"][-1].startswith("The centres that move do not show")
    assert found["kept"]["centres_changed"] == 0
    # only two stickers change colour where three centres go round; a separate simulator
    found = told(capsys, "[2R E 2R', U]", 5)
    assert found["words"][-1] == "Of the three centres that move, only two show."
    assert found["kept"]["centres_changed"] == 2
    # by hand: all twelve centres that a middle layer of a 5x5 carries come to the next side
    assert told(capsys, "M", 5)["words"][-1] == "Nothing else but centres moves."


def test_rotations_say_how_the_cube_is_held(capsys: pytest.CaptureFixture[str]) -> None:
    # WCA Regulations 12a4: x turns as R does, so the front comes up; y as U, the right to the front
    assert told(capsys, "x", 3)["held"] == {
        "rotation": "x", "back": "x'", "up": "F", "front": "D",
    }  # fmt: skip
    held = told(capsys, "R x y x' U", 4)["held"]
    assert held["rotation"] == "z"  # a published identity: x y x' is z
    assert told(capsys, "x R x'", 4)["held"]["rotation"] == ""
    # turns that come to a rotation are none: `kept` and `only` do not undo them
    assert told(capsys, "Rw Lw'", 4)["held"]["rotation"] == ""
    assert told(capsys, "Rw Lw'", 4)["words"][0] == "Two sets of four corners go round."


def test_a_claim_for_the_cube_as_it_is_held(capsys: pytest.CaptureFixture[str]) -> None:
    # a published identity: M is x' R L', so that turned back with x it moves R's and L's layers
    found = told(capsys, "M x", 3)
    assert found["claim"] == "cycles (UF FD DB BU)"
    assert holds(found["claim_held"], "R L'", 3)
    assert told(capsys, "M", 3)["claim_held"] is None


def test_only_centres_are_only_centres(capsys: pytest.CaptureFixture[str]) -> None:
    # common practice: a commutator of two slices moves three centres; a separate simulator
    words = told(capsys, "[2R', U 2L' U']", 6)["words"]
    assert words == ["Three centres go round.", "Nothing else moves."]
    # two such sets for each pair of the layers, told together whichever layers they lie in
    found = told(capsys, "[2-3R, 2-3U]", 6)
    assert found["words"] == ["Eight sets of three centres go round.", "Nothing else moves."]
    assert {cycle["layer"] for cycle in found["cycles"]} == {0}


@pytest.mark.parametrize(
    ("moves", "inverse", "seen"),
    [
        # by hand, from the meaning of the brackets: [A, B]' is [B, A], [A: B]' is [A: B']
        ("(R U)3'", "(R U)3", ["(L' U')3'", "(R' U')3'", "(L U)3'"]),
        ("(R U)3", "(U' R')3", ["(L' U')3", "(R' U')3", "(L U)3"]),
        ("[R, U]2", "[U, R]2", ["[L', U']2", "[R', U']2", "[L, U]2"]),
        ("[R: U]'", "[R: U]", ["[L': U']'", "[R': U']'", "[L: U]'"]),
        ("[Rw: U2' M]", "[Rw: M' U2]", ["[Lw': U2 M]", "[Rw': U2 M']", "[Lw: U2 M']"]),
        (
            "2-3R' 3Fw x y",
            "y' x' 3Fw' 2-3R",
            ["2-3L 3Fw' x y'", "2-3R 3Bw' x' y'", "2-3L' 3Bw x' y"],
        ),
        ("S z", "z' S'", ["S' z'", "S z", "S' z'"]),
    ],
)
def test_the_other_side_is_written_in_its_own_shape(
    moves: str, inverse: str, seen: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    found = told(capsys, moves, 5)
    assert found["inverse"] == inverse
    assert [found["mirror"], found["mirror_fb"], found["behind"]] == seen

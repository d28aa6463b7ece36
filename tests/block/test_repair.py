"""Slips made on purpose in true blocks: the right repair must come first, and every one must hold.

The bounds are those the project promises: where a full net is stated, the right repair is first
for 95 slips of 100 and among the three for 99; with claims alone, some repair for 90 of 100. A
repair is right when it does what the true moves do: no picture tells `R L` and `L R` apart.
"""

from __future__ import annotations

import random
import re
from typing import TYPE_CHECKING

import pytest

from sitegen.block.check import check
from sitegen.block.model import Context
from sitegen.block.read import read_block
from sitegen.block.repair import repairs
from sitegen.block.replay import Replay, replay
from sitegen.cube.address import write_sticker
from sitegen.cube.measure import changed, order_of
from sitegen.cube.pieces import pieces
from sitegen.cube.position import Motion, Position
from sitegen.cube.scheme import DEFAULT
from sitegen.cube.textnet import write_cross
from sitegen.notation.read import read_moves
from sitegen.notation.setting import Sequences
from sitegen.notation.spell import spell
from sitegen.notation.tree import nodes_of
from sitegen.problem import Source

if TYPE_CHECKING:
    from collections.abc import Callable

SLIPS = 150
SIZES = (3, 4, 5, 7)
AXES = {"R": "x", "U": "y", "F": "z", "x": "R", "y": "U", "z": "F"}
"""The rotation in the direction of a face (WCA Regulations, 12a4), and the other way about."""


def context(n: int) -> Context:
    return Context(n, 33, 100_000, DEFAULT, "", Sequences(), "STM")


def block(n: int, words: list[str], rest: str) -> Replay:
    lines = "\n  ".join(" ".join(words[i : i + 8]) for i in range(0, len(words), 8))
    body = f"moves:\n  {lines}\n{rest}"
    read, wrong = read_block(
        0, "x", Source.whole("p.md", "```moves x"), Source.whole("p.md", body), context(n)
    )
    assert not wrong, body
    done = replay(read, None, None)
    assert done
    return done


def motion(n: int, words: str) -> Motion:
    nodes = nodes_of(read_moves(words, []).phrases)
    return Motion.of(n, (step.turn for step in spell(nodes, context(n).setting(n), [])))


def head(word: str) -> str:
    return word.rstrip("'").removesuffix("2")


def some_turn(n: int, chance: random.Random) -> str:
    face, amount = chance.choice("URFLDB"), chance.choice(["", "'", "2"])
    kind = chance.random()
    if kind < 0.6 or n < 4:
        return face + amount
    if kind < 0.75:
        return f"{chance.choice(['', *map(str, range(3, n))])}{face}w{amount}"
    if kind < 0.92:
        return f"{chance.randint(2, (n + 1) // 2)}{face}{amount}"
    return chance.choice("xyz") + amount


def some_moves(n: int, chance: random.Random) -> list[str]:
    words: list[str] = []
    while len(words) < chance.randint(8, 40):
        word = some_turn(n, chance)
        if not words or head(words[-1]) != head(word):
            words.append(word)
    return words


SLIP_KINDS = ["prime", "half", "wide", "letter", "axis", "missing", "twice", "swapped"]


def a_slip(words: list[str], n: int, chance: random.Random) -> list[str]:
    """What one slip makes of moves."""
    slipped, at = [*words], chance.randrange(len(words) - 1)
    plain = head(words[at])
    amount = words[at][len(plain) :]
    kind = chance.choice(SLIP_KINDS)
    if kind == "prime" and amount != "2":
        slipped[at] = plain + ("" if amount else "'")
    elif kind == "half":
        slipped[at] = plain + ("" if amount == "2" else "2")
    elif kind == "wide" and n > 3 and plain in tuple("URFLDB"):
        slipped[at] = f"{plain}w{amount}"
    elif kind == "letter" and plain in tuple("URFLDB"):
        slipped[at] = chance.choice([f for f in "URFLDB" if f != plain]) + amount
    elif kind == "axis" and plain in AXES:
        slipped[at] = AXES[plain] + amount
    elif kind == "missing":
        del slipped[at]
    elif kind == "twice":
        slipped.insert(at, words[at])
    elif kind == "swapped":
        slipped[at : at + 2] = slipped[at + 1], slipped[at]
    return slipped


def full_net(n: int, true: Motion) -> str:
    rows = write_cross(Position.solved(n).after(true), DEFAULT)
    return "after:\n" + "\n".join(f"  {row}" for row in rows)


def claims(n: int, true: Motion) -> str:
    sticker = (7 * n) % (6 * n * n)
    while true.goals[sticker] == sticker or write_sticker(sticker, n).count("U") == 0:
        sticker = (sticker + 1) % (6 * n * n)
    carried = f"{write_sticker(sticker, n)} goes to {write_sticker(true.goals[sticker], n)}"
    return f"check:\n  {carried}\n  order {order_of(true)}"


def slipped_blocks(state: Callable[[int, Motion], str]) -> list[tuple[Replay, Motion]]:
    """Blocks that fail for one slip, each with what its true moves do."""
    chance, found = random.Random(20261125), list[tuple[Replay, Motion]]()
    while len(found) < SLIPS:
        n = chance.choice(SIZES)
        words = some_moves(n, chance)
        true = motion(n, " ".join(words))
        done = block(n, a_slip(words, n, chance), state(n, true))
        if check(done):
            found.append((done, true))
    return found


def holds(done: Replay, moves: str) -> bool:
    """Whether a repair, put into its block as text, makes it hold."""
    body = done.block.source.text
    old = re.split(r"^(?=\w+:)", body, flags=re.MULTILINE)[1]
    lines = moves.replace("\n", "\n  ")
    text = body.replace(old, f"moves:\n  {lines}\n")
    head_line = done.block.head
    read, wrong = read_block(0, "x", head_line, Source.whole("p.md", text), context(done.block.n))
    again = None if wrong else replay(read, None, None)
    return again is not None and not check(again)


@pytest.mark.parametrize(
    ("state", "first", "among", "any_at_all"),
    [(full_net, 95, 99, 99), (claims, 0, 0, 90)],
    ids=["full net", "claims alone"],
)
def test_the_slip_is_found(
    state: Callable[[int, Motion], str], first: int, among: int, any_at_all: int
) -> None:
    counts = {"first": 0, "among": 0, "any": 0}
    for done, true in slipped_blocks(state):
        found = repairs(done, context(done.block.n).setting(done.block.n)).repairs
        assert len(found) <= 3
        assert all(holds(done, repair.moves) for repair in found)
        right = [motion(done.block.n, r.moves).banks == true.banks for r in found]
        counts["any"] += bool(found)
        counts["first"] += right[:1] == [True]
        counts["among"] += any(right)
    percent = {name: 100 * count / SLIPS for name, count in counts.items()}
    assert percent["first"] >= first, percent
    assert percent["among"] >= among, percent
    assert percent["any"] >= any_at_all, percent


def test_two_slips_are_found_where_a_whole_net_is_stated() -> None:
    true = motion(5, "Uw' R U R' F R' F' R Uw")
    done = block(5, ["Uw", "R", "U", "R'", "F", "R'", "F", "R", "Uw"], full_net(5, true))
    found = repairs(done, context(5).setting(5)).repairs
    assert [" ".join(r.moves.split()) for r in found][:1] == ["Uw' R U R' F R' F' R Uw"]


def undone(words: list[str]) -> list[str]:
    """The words of moves that undo these, made by hand from the words."""
    turned = {"": "'", "'": "", "2": "2"}
    return [head(word) + turned[word[len(head(word)) :]] for word in reversed(words)]


def same_as(words: list[str], n: int) -> str:
    return f"check:\n  same as {' '.join(words)}\n  not order {n}"


def backwards(words: list[str], n: int) -> str:
    return f"cube: {n}\nto: {' '.join(undone(words))}\ncheck:\n  same as {' '.join(words)}"


def solves(words: list[str], n: int) -> str:
    return f"cube: {n}\nfrom: {' '.join(undone(words))}\ncheck:\n  solved"


def cycles(words: list[str], n: int) -> str:
    """All that the moves do to corners and edges, one cycle of stickers for each piece."""
    held, seen, rings = pieces(n), set[int](), list[str]()
    for ring in motion(n, " ".join(words)).cycles():
        numbers = {held.of[sticker] for sticker in ring}
        if held.all[held.of[ring[0]]].kind != "centre" and not numbers & seen:
            seen |= numbers
            rings.append(f"({' '.join(write_sticker(sticker, n) for sticker in ring)})")
    return f"check:\n  cycles {''.join(rings)}"


def solves_but(words: list[str], n: int) -> str:
    return f"{solves(words, n)} except UF UR UFR"


def only(words: list[str], n: int) -> str:
    solved = Position.solved(n)
    differ = changed(solved, solved.after(motion(n, " ".join(words))))
    return f"check:\n  only {' '.join(write_sticker(s, n) for s in sorted(differ))} changed"


def a_commutator(n: int, chance: random.Random) -> list[str]:
    """Moves that change little: some turns, some others, and the undoing of both in that order."""
    words = [word for word in some_moves(n, chance) if word[0] not in "xyz"]
    first, then = words[: chance.randint(2, 3)], words[3:5]
    made = [*first, *then, *undone(first), *undone(then)]
    changes_nothing = order_of(motion(n, " ".join(made))) == 1
    return a_commutator(n, chance) if changes_nothing else made


@pytest.mark.parametrize(
    ("state", "moves", "least"),
    [
        (same_as, some_moves, 90),
        (backwards, some_moves, 90),
        (solves, some_moves, 90),
        (cycles, some_moves, 90),
        (solves_but, some_moves, 70),
        (only, a_commutator, 70),
    ],
)
def test_two_forgotten_primes_are_found_where_a_claim_says_enough_of_the_end(
    state: Callable[[list[str], int], str],
    moves: Callable[[int, random.Random], list[str]],
    least: int,
) -> None:
    """How often of 100 the right pair is first: our own bounds, lower where pieces are spared.

    Moves that one slip explains as well are left out: then no two are looked for.
    """
    chance, blocks, first = random.Random(20270311), 0, 0
    while blocks < 40:
        n = chance.choice(SIZES)
        words = moves(n, chance)
        turned_back = [at for at, word in enumerate(words) if word.endswith("'")]
        if len(turned_back) < 2:
            continue
        one, other = chance.sample(turned_back, 2)
        slipped = [head(w) if at in (one, other) else w for at, w in enumerate(words)]
        done = block(n, slipped, state(words, n))
        if not check(done):
            continue
        found = repairs(done, context(n).setting(n)).repairs
        if found and not any(said in found[0].slip for said in (" and ", ", twice")):
            continue
        blocks += 1
        assert all(holds(done, repair.moves) for repair in found)
        first += [" ".join(r.moves.split()) for r in found[:1]] == [" ".join(words)]
    assert 100 * first / blocks >= least


def test_a_bracket_over_several_lines_is_searched_like_any_other() -> None:
    true = motion(3, "R U R' U'")
    body = f"moves:\n  R U (F2\n  D2)2 R' U'\n{full_net(3, true)}"
    read, wrong = read_block(
        0, "x", Source.whole("p.md", "```moves x"), Source.whole("p.md", body), context(3)
    )
    assert not wrong
    done = replay(read, None, None)
    assert done
    assert check(done)
    found = repairs(done, context(3).setting(3)).repairs
    assert found
    assert all(holds(done, repair.moves) for repair in found)


def test_a_block_that_states_both_ends_is_mended() -> None:
    body = "moves: R U R' U\nfrom: solved\nto: R U R' U'\n"
    read, wrong = read_block(
        0, "x", Source.whole("p.md", "```moves x"), Source.whole("p.md", body), context(3)
    )
    assert not wrong
    done = replay(read, None, None)
    assert done
    assert [problem.rule for problem in check(done)] == ["to-mismatch"]
    assert [r.moves for r in repairs(done, context(3).setting(3)).repairs] == ["R U R' U'"]


def test_a_turn_missing_beside_one_it_commutes_with_is_one_repair() -> None:
    true = motion(3, "R U L R' U'")
    failed = block(3, ["R", "U", "R'", "U'"], full_net(3, true))
    found = repairs(failed, context(3).setting(3)).repairs
    assert {repair.moves for repair in found} == {"R U L R' U'", "R U R' L U'"}
    assert [repair.same for repair in found] == [False, True]


@pytest.mark.parametrize(("claim", "is_named"), [("after line 3 solved", True), ("solved", False)])
def test_a_line_that_a_claim_speaks_of_is_not_taken_away(claim: str, is_named: bool) -> None:
    read, wrong = read_block(
        0,
        "x",
        Source.whole("p.md", "```moves x"),
        Source.whole("p.md", f"moves:\n  R\n  R'\n  U\ncheck: {claim}"),
        context(3),
    )
    done = None if wrong else replay(read, None, None)
    assert done
    assert check(done)
    found = repairs(done, context(3).setting(3)).repairs
    assert all(holds(done, repair.moves) for repair in found)
    assert ("R\nR'" in [repair.moves for repair in found]) != is_named
    assert found


def test_no_turn_is_put_in_to_do_what_a_prime_does() -> None:
    done = block(3, ["R", "L", "U", "F"], full_net(3, motion(3, "R' L U F")))
    assert [r.moves for r in repairs(done, context(3).setting(3)).repairs] == ["R' L U F"]


@pytest.mark.parametrize("n", [3, 5])
@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("F x U D'", "F R U D'"),
        ("F U D' B R2 L", "F U D' B x2 L"),
        ("B y' R", "B U' R"),
        ("R U L2 B D", "R y L2 B D"),
        ("R z' U2 L", "R F' U2 L"),
        ("R F D2 L U'", "R z D2 L U'"),
    ],
)
def test_a_rotation_and_the_face_in_its_direction_are_taken_for_one_another(
    n: int, typed: str, meant: str
) -> None:
    done = block(n, typed.split(), full_net(n, motion(n, meant)))
    assert [r.moves for r in repairs(done, context(n).setting(n)).repairs] == [meant]


def test_nothing_is_offered_that_no_slip_explains() -> None:
    done = block(4, ["R", "U", "F"], full_net(4, motion(4, "Rw2 B' 2L D2 Fw U' L x D Bw'")))
    assert repairs(done, context(4).setting(4)).repairs == ()


def test_a_fault_that_no_change_to_the_moves_can_mend_has_no_repair() -> None:
    wrong_before = "before:\n  F: GGG\n     GGG\n     GGR\ncheck:\n  solved"
    assert repairs(block(3, ["R", "U"], wrong_before), context(3).setting(3)).repairs == ()

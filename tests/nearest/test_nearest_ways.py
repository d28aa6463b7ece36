"""The smallest change to an impossible picture, held against the trial of every change there is."""

from __future__ import annotations

import random
from itertools import combinations

import pytest

from sitegen.cube.address import read_address
from sitegen.cube.nearest import Recolouring, advice, nearest
from sitegen.cube.position import Motion, Position
from sitegen.cube.possible import broken_law, is_possible
from sitegen.cube.scheme import DEFAULT
from sitegen.cube.turn import Turn

COLOURS = range(6)


def mixed(n: int, chance: random.Random) -> Position:
    turns = []
    for _ in range(30):
        first = chance.randint(1, n - 1)
        last = chance.randint(first, n - 1)
        turns.append(Turn(chance.choice("URFLDB"), first, last, chance.randint(1, 3)))
    return Position.solved(n).after(Motion.of(n, turns))


def recoloured(position: Position, way: Recolouring) -> Position:
    colours = bytearray(position.colours)
    for sticker, colour in way:
        colours[sticker] = colour
    return Position.showing(position.n, bytes(colours))


def possible(position: Position) -> bool:
    return is_possible(position)


def every_way(position: Position) -> set[Recolouring]:
    """All changes of one sticker that make it possible; if there is none, all of two."""
    shown = position.colours
    changes = [(s, c) for s in range(len(shown)) for c in COLOURS if c != shown[s]]
    one: set[Recolouring] = {
        (change,) for change in changes if possible(recoloured(position, (change,)))
    }
    return one or {
        pair
        for pair in combinations(changes, 2)
        if pair[0][0] != pair[1][0] and possible(recoloured(position, pair))
    }


def spoilt(position: Position, chance: random.Random) -> Position:
    """An impossible picture: two stickers exchanged, or up to three recoloured at random."""
    shown = position.colours
    while True:
        if chance.random() < 0.5:
            a, b = chance.sample(range(len(shown)), 2)
            way: Recolouring = ((a, shown[b]), (b, shown[a]))
        else:
            some = chance.sample(range(len(shown)), chance.randint(1, 3))
            way = tuple((s, chance.choice(COLOURS)) for s in some)
        found = recoloured(position, way)
        if not possible(found):
            return found


@pytest.mark.parametrize("seed", range(12))
def test_all_ways_are_found_on_a_2x2(seed: int) -> None:
    chance = random.Random(seed)
    picture = spoilt(mixed(2, chance), chance)
    assert set(nearest(picture)) == every_way(picture)


@pytest.mark.parametrize("seed", range(3))
def test_all_ways_are_found_on_a_3x3(seed: int) -> None:
    chance = random.Random(seed)
    picture = spoilt(mixed(3, chance), chance)
    assert set(nearest(picture)) == every_way(picture)


@pytest.mark.parametrize("kind", ["flip", "swap", "centres"])
def test_all_ways_are_found_where_all_pieces_are_there(kind: str) -> None:
    changes = {
        "flip": (("UF", 2), ("FU", 0)),
        "swap": (("FU", 3), ("RU", 2)),
        # U's and F's fixed centres exchanged: a mirrored cube that no turns make
        "centres": (("U2F2R", 2), ("F2U2R", 0)),
    }
    way = tuple((read_address(name, 3).sticker, colour) for name, colour in changes[kind])
    picture = recoloured(Position.solved(3), way)
    assert not possible(picture)
    ways = nearest(picture)
    assert set(ways) == every_way(picture)
    # by hand: any edge may be turned round; of 66 pairs of edges, the 36 that share a colour may
    # be exchanged: 6 colours with 4 edges each
    assert len(ways) == {"flip": 12, "swap": 36, "centres": 1}[kind]


@pytest.mark.parametrize("n", [4, 5, 6, 7, 32, 33])
def test_damage_of_one_or_two_stickers_is_always_undone(n: int) -> None:
    chance = random.Random(n)
    whole = mixed(n, chance)
    shown = whole.colours
    for _ in range(8):
        a, b = sorted(chance.sample(range(len(shown)), 2))
        for way in (((a, (shown[a] + 1) % 6),), ((a, shown[b]), (b, shown[a]))):
            picture = recoloured(whole, way)
            if possible(picture):
                continue
            ways = nearest(picture)
            undone = tuple((sticker, shown[sticker]) for sticker, _ in way)
            assert undone in ways or len(ways[0]) < len(way)
            for mended in ways[:30]:
                assert possible(recoloured(picture, mended))


def test_a_twisted_corner_is_beyond_two_stickers() -> None:
    corner = [read_address(name, 3).sticker for name in ("UFR", "RUF", "FUR")]
    picture = recoloured(Position.solved(3), tuple(zip(corner, (3, 2, 0), strict=True)))
    broken = broken_law(picture, DEFAULT)
    assert broken
    assert broken.reason == "twist"
    assert nearest(picture) == ()
    assert advice(picture, DEFAULT) == "no change of one or two stickers mends it"


def test_the_advice_reads_well() -> None:
    solved = Position.solved(3)
    up, front, right = (read_address(name, 3).sticker for name in ("UFR", "FUR", "RUF"))
    one = recoloured(solved, ((up, 1),))
    assert advice(one, DEFAULT) == "to mend it, make `UFR` white"
    two = recoloured(solved, ((up, 2), (front, 0)))
    assert advice(two, DEFAULT) == "to mend it, exchange the colours of `UFR` and `FUR`"
    edge = read_address("BL", 3).sticker
    odd = recoloured(solved, ((up, 1), (edge, 0)))
    assert advice(odd, DEFAULT) == "to mend it, make `UFR` white and `BL` blue"
    far = recoloured(solved, ((up, 1), (edge, 0), (front, 5), (right, 0)))
    assert "no change of one or two stickers mends it (the cube has no such pieces as at" in (
        advice(far, DEFAULT)
    )


def test_one_centre_of_many_is_as_good_as_another() -> None:
    centre = read_address("U2F2R", 4).sticker
    picture = recoloured(Position.solved(4), ((centre, 2),))
    # four green centre pieces and a fifth: any of the five may become white
    assert len(nearest(picture)) == 5
    assert advice(picture, DEFAULT).endswith("(5 ways in all)")


@pytest.mark.parametrize(
    ("white", "yellow", "ways"),
    [
        # one of five green pieces and one of five red ones, either of them to be white: 5 x 5 x 2
        (1, 2, 50),
        # two of six green pieces, either of them to be white: 15 x 2
        (1, 1, 30),
    ],
)
def test_two_centres_of_many(white: int, yellow: int, ways: int) -> None:
    up, down = (read_address(name, 4).sticker for name in ("U2F2R", "D2F2R"))
    picture = recoloured(Position.solved(4), tuple(sorted({(up, white), (down, yellow)})))
    found = nearest(picture)
    assert len(found) == len(set(found)) == ways
    assert all(possible(recoloured(picture, way)) for way in found)

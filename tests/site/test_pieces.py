"""What a pieces page says of every cube, held against formulas.

A cube of n layers shows 6 n^2 stickers and has n^3 - (n - 2)^3 pieces, 8 of them corners, and
12 (n - 2) in its edges: counted on a cube of n^3 small cubes, of which (n - 2)^3 cannot be seen.
The orbits of 24 are those behind OEIS A075152's counts (its formula is quoted from memory).
"""

from __future__ import annotations

import pytest

from sitegen.cube.scheme import DEFAULT
from sitegen.pages.formats.pieces import cube_pieces
from sitegen.pages.formats.words import english


@pytest.mark.parametrize("n", range(2, 34))
def test_every_piece_is_counted_once(n: int) -> None:
    found = cube_pieces(n, DEFAULT, english())
    assert found.stickers == 6 * n * n
    assert found.pieces == n**3 - (n - 2) ** 3 == sum(found.counts.values())
    assert found.stickers == sum(sort.pieces * sort.stickers for sort in found.sorts)
    assert found.counts["corners"] == 8
    assert found.counts["middles"] + found.counts["wings"] == 12 * (n - 2)
    assert found.counts["centres"] == 6 * (n - 2) ** 2


@pytest.mark.parametrize("n", range(2, 34))
def test_rounds_are_of_twenty_four(n: int) -> None:
    sorts = {sort.kind: sort for sort in cube_pieces(n, DEFAULT, english()).sorts}
    for kind in ("wings", "diagonal", "cross", "oblique"):
        if kind in sorts:
            assert sorts[kind].pieces == 24 * sorts[kind].orbits
    half = (n - 2) // 2
    expected = {
        "wings": half,
        "diagonal": half,
        "cross": half if n % 2 else 0,
        "oblique": half * (half - 1),
    }
    assert {kind: sorts[kind].orbits if kind in sorts else 0 for kind in expected} == expected

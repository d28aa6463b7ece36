"""Cubes, turns and written moves by chance, for laws that hold of them all."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st

from sitegen.cube.position import Motion, Position
from sitegen.cube.turn import Turn

sizes = st.integers(2, 9) | st.integers(2, 33)
amounts = st.sampled_from([("", 1), ("2", 2), ("'", 3), ("2'", 2)])


def turns(n: int) -> st.SearchStrategy[Turn]:
    layers = st.tuples(st.integers(1, n), st.integers(1, n)).map(sorted)
    return st.builds(
        lambda face, span, quarters: Turn(face, span[0], span[1], quarters),
        st.sampled_from("UDLRFB"),
        layers,
        st.integers(1, 3),
    )


def motions(n: int) -> st.SearchStrategy[Motion]:
    return st.lists(turns(n), max_size=12).map(lambda drawn: Motion.of(n, drawn))


def positions(n: int) -> st.SearchStrategy[Position]:
    return motions(n).map(Position.solved(n).after)


@dataclass(frozen=True)
class Written:
    """Moves as text, and the turns that section 1 of the notation page says they are."""

    text: str
    turns: tuple[Turn, ...]


def undone(written: tuple[Turn, ...]) -> tuple[Turn, ...]:
    return tuple(Turn(t.face, t.first, t.last, 4 - t.quarters) for t in reversed(written))


@st.composite
def words(draw: st.DrawFn, n: int) -> Written:
    """One turn in one of its spellings: WCA Regulations 12a1, 12a2, 12a4, and the inner layers."""
    amount, quarters = draw(amounts)
    face = draw(st.sampled_from("UDLRFB"))
    spellings = {face: (face, 1, 1), "x": ("R", 1, n), "y": ("U", 1, n), "z": ("F", 1, n)}
    if n > 2:
        last = draw(st.integers(2, n - 1))
        first = draw(st.integers(2, last))
        spellings[f"{last}{face}w"] = (face, 1, last)
        spellings[f"{face}w"] = (face, 1, 2)
        spellings[f"{last}{face}"] = (face, last, last)
        if first < last:
            spellings[f"{first}-{last}{face}"] = (face, first, last)
    if n % 2:
        middle = n // 2 + 1
        spellings |= {
            letter: (like, middle, middle) for letter, like in zip("MES", "LDF", strict=True)
        }
    word = draw(st.sampled_from(sorted(spellings)))
    return Written(word + amount, (Turn(*spellings[word], quarters),))


@st.composite
def brackets(draw: st.DrawFn, inside: st.SearchStrategy[Written]) -> Written:
    """A group, a commutator A B A' B' or a conjugate A B A', with count and prime."""
    a, b = draw(inside), draw(inside)
    count, prime = draw(st.integers(1, 3)), draw(st.booleans())
    text, once = draw(
        st.sampled_from(
            [
                (f"({a.text})", a.turns),
                (f"[{a.text}, {b.text}]", a.turns + b.turns + undone(a.turns) + undone(b.turns)),
                (f"[{a.text}: {b.text}]", a.turns + b.turns + undone(a.turns)),
            ]
        )
    )
    suffix = (str(count) if count > 1 else "") + ("'" if prime else "")
    return Written(text + suffix, (undone(once) if prime else once) * count)


def joined(parts: list[Written]) -> Written:
    return Written(" ".join(p.text for p in parts), tuple(t for p in parts for t in p.turns))


def written_moves(n: int) -> st.SearchStrategy[Written]:
    phrases = st.lists(words(n), min_size=1, max_size=4).map(joined)
    return st.recursive(
        phrases,
        lambda inner: st.lists(brackets(inner) | words(n), min_size=1, max_size=3).map(joined),
        max_leaves=6,
    )

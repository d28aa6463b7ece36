"""One written turn put on a cube: the layers it means, and why the cube has none such."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.cube.geometry import AXIS, LARGEST, OPPOSITE, SMALLEST
from sitegen.cube.size import a_cube
from sitegen.cube.turn import MIDDLES, ROTATIONS, Turn
from sitegen.notation.tree import AMOUNTS, outer
from sitegen.problem import Wrong

if TYPE_CHECKING:
    from sitegen.notation.setting import MoveSetting
    from sitegen.notation.tree import TurnWord


def to_turn(word: TurnWord, setting: MoveSetting) -> Turn:
    """The turn of layers that a word means on a cube.

    Raises:
        Wrong: with its place counted in the word: `layer-range` where the cube has no such layers;
            `lowercase` where a lowercase letter has no chosen reading.
    """
    n, letter = setting.n, word.letter
    if letter in ROTATIONS:
        return Turn(ROTATIONS[letter], 1, n, word.quarters)
    if letter in MIDDLES:
        if n % 2 == 0:
            near = f"`{n // 2}{MIDDLES[letter]}` and `{n // 2 + 1}{MIDDLES[letter]}`"
            hint = f"; the two nearest the middle are {near}" if n > 2 else ""
            raise _out(
                word,
                f"{a_cube(n)} has no middle layer for `{letter}`: only cubes with an odd number of "
                f"layers have one{hint}",
            )
        return Turn(MIDDLES[letter], (n + 1) // 2, (n + 1) // 2, word.quarters)
    if letter.islower():
        return _lowercase(word, setting)
    if word.wide:
        return _wide(word, letter, n)
    if word.first is None:
        return Turn(letter, 1, 1, word.quarters)
    return _inner(word, n)


def _out(word: TurnWord, message: str) -> Wrong:
    return Wrong("layer-range", message, 0, len(word.text))


def _tail(word: TurnWord) -> str:
    """What stands after the letter of a word: its amount."""
    after = word.text.split(word.letter, 1)[1]
    return after.removeprefix("w")


def _lowercase(word: TurnWord, setting: MoveSetting) -> Turn:
    upper, tail = word.letter.upper(), _tail(word)
    if setting.n == 2:
        raise _out(word, f"a 2x2 has one layer a side, so no `{word.text}`; write `{upper}{tail}`")
    if not setting.lowercase:
        where = "for the page or the site: `lowercase: wide` or `lowercase: slice`"
        choose = "with `--lowercase wide` or `--lowercase slice`" if setting.typed else where
        raise Wrong(
            "lowercase",
            f"`{word.text}` has two readings: `{upper}w{tail}`, two layers together, and "
            f"`2{upper}{tail}`, the second layer alone; write the one meant, or choose {choose}",
            0,
            len(word.text),
        )
    first = 1 if setting.lowercase == "wide" else 2
    return Turn(upper, first, 2, word.quarters)


def _wide(word: TurnWord, letter: str, n: int) -> Turn:
    count, tail = 2 if word.last is None else word.last, _tail(word)
    if count == 1:
        raise _out(word, f"one layer is not wide: `{word.text}` is `{letter}{tail}`")
    if not 2 <= count <= n - 1:
        if n == 2:
            hint = f"a 2x2 has no wide turns; write `{letter}{tail}`"
        else:
            most = f"`{outer(letter, n - 1)}`"
            turned = f"; {_all_layers(letter, n)}" if count == n else ""
            hint = f"{a_cube(n)} has {f'`{letter}w` to {most}' if n > 3 else most} only{turned}"
        raise _out(word, f"`{word.text}` turns {count} layers; {hint}{_from(word, count)}")
    return Turn(letter, 1, count, word.quarters)


def _all_layers(letter: str, n: int) -> str:
    name, face = next(one for one in ROTATIONS.items() if AXIS[one[1]] == AXIS[letter])
    way = "" if letter == face else ", the other way"
    return f"all {n} layers are the rotation `{name}`{way}"


def _inner(word: TurnWord, n: int) -> Turn:
    first, last = word.first or 0, word.last
    letter, tail = word.letter, _tail(word)
    has = {
        2: "a 2x2 has no inner layers",
        3: f"its one inner layer is `2{letter}`",
    }.get(n, f"the inner layers of {a_cube(n)} are `2{letter}` to `{n - 1}{letter}`")
    if last is None:
        if first == 1:
            raise _out(word, f"the face layer has no number: `{word.text}` is `{letter}{tail}`")
        if not 2 <= first <= n - 1:
            other = f"{OPPOSITE[letter]}{AMOUNTS[4 - word.quarters]}"
            face = f"; it would be `{other}`" if first == n else ""
            raise _out(word, f"{a_cube(n)} has no `{word.text}`{face}; {has}{_from(word, first)}")
        return Turn(letter, first, first, word.quarters)
    if first == last:
        plain = f"{first}{letter}{tail}" if first > 1 else f"{letter}{tail}"
        raise _out(word, f"`{word.text}` is one layer: `{plain}`")
    low, high = sorted((first, last))
    if low == 1 and high == n:
        raise _out(word, f"a range leaves out the faces; {_all_layers(letter, n)}")
    if low == 1 and high < n:
        wide = f"`{outer(letter, high)}{tail}`"
        raise _out(word, f"layers that begin with the face are a wide turn: {wide}")
    if first > last:
        raise _out(word, f"the smaller layer comes first: `{low}-{high}{letter}{tail}`")
    if first < 2 or last > n - 1:
        hint = f"ranges lie in layers 2 to {n - 1}" if n > 3 else has
        larger = _from(word, last) if first > 1 else ""
        raise _out(word, f"{a_cube(n)} has no `{word.text}`; {hint}{larger}")
    return Turn(letter, first, last, word.quarters)


def _from(word: TurnWord, layer: int) -> str:
    """Which cubes have the inner layer that a word asks for."""
    if not SMALLEST <= layer < LARGEST:
        return ""
    return f"; `{word.text}` takes {a_cube(layer + 1)} or larger"

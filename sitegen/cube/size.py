"""How many layers a cube has: `7` or `7x7` read, and a 7x7 named."""

from __future__ import annotations

import re
from typing import Final

from sitegen.cube.geometry import SMALLEST
from sitegen.problem import Wrong

_SIZE: Final = re.compile(r"([0-9]+)(?:x([0-9]+))?")


def read_size(text: str, largest: int) -> int:
    """Read how many layers a cube has: `7` or `7x7`.

    Raises:
        Wrong: `bad-value` where that is no size; `limit` where it is out of bounds.
    """
    found = _SIZE.fullmatch(text)
    if not found or found[2] not in (None, found[1]):
        numbers = set(re.findall(r"[0-9]+", text))
        n = numbers.pop() if len(numbers) == 1 else "7"  # of `5x5x5` and `5 x 5`, the 5
        message = f"`{text}` is no size of cube; write `{n}` or `{n}x{n}`"
        raise Wrong("bad-value", message, 0, len(text))
    if len(found[1]) > 4 or not SMALLEST <= int(found[1]) <= largest:
        message = f"cubes here have {SMALLEST} to {largest} layers each way, not {found[1]}"
        raise Wrong("limit", message, 0, len(text))
    return int(found[1])


def a_cube(n: int) -> str:
    """A cube named by its size in a sentence: a 7x7, but an 8x8."""
    return f"{'an' if n in (8, 11, 18) else 'a'} {n}x{n}"

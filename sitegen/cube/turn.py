"""One turn of layers, and its inverse; which face gives `M`, `E`, `S`, `x`, `y`, `z` their way."""

from __future__ import annotations

from typing import Final, NamedTuple

ROTATIONS: Final = {"x": "R", "y": "U", "z": "F"}
"""Each rotation of the whole cube, and the face whose way it turns (WCA Regulations 12a4)."""

MIDDLES: Final = {"M": "L", "E": "D", "S": "F"}
"""Each middle layer, and the face whose way it turns: common practice, no source."""


class Turn(NamedTuple):
    """Adjacent layers turned together.

    Attributes:
        face: the letter of the face it is seen from, one of `FACES`.
        first: the outermost layer turned, counted from that face, which is layer 1.
        last: the innermost layer turned; `first` again for a single layer, N for a rotation.
        quarters: 1, 2 or 3 quarter turns clockwise as seen from outside that face.
    """

    face: str
    first: int
    last: int
    quarters: int

    def inverse(self) -> Turn:
        """The turn that undoes this one."""
        return self._replace(quarters=4 - self.quarters)

    def is_rotation(self, n: int) -> bool:
        """Whether it turns all n layers: the cube in the hand, and nothing in the cube."""
        return self.first == 1 and self.last == n

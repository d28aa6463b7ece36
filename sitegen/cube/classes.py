"""Classes of pieces, by the names that authors have for them, and the orbits of wings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from sitegen.cube.pieces import pieces
from sitegen.cube.size import a_cube
from sitegen.problem import Wrong

if TYPE_CHECKING:
    from sitegen.cube.pieces import Kind

CLASSES: Final = {
    "corners": "all eight corners",
    "edges": "every piece of every edge: wings and middles",
    "middles": "the middle pieces of the edges (odd N)",
    "wings": "all wings; `wings 2` the orbit that lies in second layers, `wings 3` the next",
    "centres": "all centre pieces",
}

KINDS: Final[dict[str, tuple[Kind, ...]]] = {
    "corners": ("corner",),
    "edges": ("wing", "middle"),
    "middles": ("middle",),
    "wings": ("wing",),
    "centres": ("centre",),
}
"""The kinds of piece that each class has."""

BY_COLOUR: Final = {"edge": "edges", "middle": "middles", "corner": "corners"}
"""What names one piece by its colours, and the class it is of."""


def read_wings(number: str, n: int, rule: str, span: tuple[int, int]) -> int:
    """The layer of an orbit of wings, from its number; from "", that of the only orbit.

    Raises:
        Wrong: of that rule and span, where this cube has no such orbit, or several.
    """
    layers = pieces(n).wing_layers
    named = ", ".join(f"`wings {layer}`" for layer in layers)
    if not layers:
        raise Wrong(rule, f"{a_cube(n)} has no wings", *span)
    if not number and len(layers) == 1:
        return layers[0]
    if not number:
        raise Wrong(rule, f"say which wings: {a_cube(n)} has {named}", *span)
    # like every number, with any zeros before it
    found = next((layer for layer in layers if str(layer) == number.lstrip("0")), None)
    if found is None:
        raise Wrong(rule, f"{a_cube(n)} has no `wings {number}`, only {named}", *span)
    return found

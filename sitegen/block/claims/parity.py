"""Claims about parity: whether an orbit's pieces stand in an odd permutation."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from sitegen.block.claims.claim import (
    Claim,
    Class,
    Reader,
    Verdict,
    bad_check,
)
from sitegen.block.claims.edges import unpaired
from sitegen.cube.measure import EDGES, complete_edges
from sitegen.cube.parity import parity, read_permuted
from sitegen.said import Plain

if TYPE_CHECKING:
    import re

    from sitegen.block.claims.claim import ClaimValue
    from sitegen.block.moment import Moment
    from sitegen.cube.parity import Permuted

_MISSING: Final = "a piece is missing, so it has none"


class Parity(Claim, frozen=True):
    """`parity wings 2 odd`: that orbit's permutation, from solved to the position, is odd.

    `parity edges odd`: the same for the twelve edges as wholes, where all are paired.
    """

    kind: Permuted
    layer: int
    odd: bool

    def said(self) -> Plain[ClaimValue]:
        number = f" {self.layer}" if self.layer else ""
        name = "claims.odd" if self.odd else "claims.even"
        return Plain(name, {"places": (Class(f"{self.kind}s{number}"),)})

    def judge(self, moment: Moment) -> Verdict:
        odd = parity(moment.now, self.kind, self.layer)
        if odd is None:
            why = partial(_not_whole, moment) if self.kind == "edge" else lambda: _MISSING
            return Verdict(holds=False, found=why, sensible=False)
        return Verdict(odd == self.odd, lambda: "it is odd" if odd else "it is even")


def _not_whole(moment: Moment) -> str:
    if len(complete_edges(moment.now)) == len(EDGES):
        return _MISSING
    all_paired = "edges as wholes have a parity only when all are paired"
    return f"{all_paired}, and these are not: {unpaired(moment.now, 0)}"


def read_parity(found: re.Match[str], reader: Reader) -> Claim:
    """`parity wings 2 odd`, `parity corners even`, `parity middles odd`, `parity edges even`."""
    what, odd = " ".join(found["what"].split()), found["how"] == "odd"
    if meant := read_permuted(what, reader.n, "bad-check"):
        return Parity(*meant, odd)
    raise bad_check(
        f"`{what}` has no parity here; it is asked of `corners`, `middles`, `wings 2` and the "
        "like, and `edges`"
    )

"""What each cube of the site is made of: a page a size, every kind of piece counted and shown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.cube.address import read_address
from sitegen.cube.geometry import geometry
from sitegen.cube.pieces import pieces as pieces_of
from sitegen.cube.pieces import stickers_of
from sitegen.cube.position import Position
from sitegen.draw.picture import Picture, Ring
from sitegen.draw.styles import STYLES

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.cube.pieces import Piece
    from sitegen.cube.scheme import Scheme
    from sitegen.pages.formats.html import Html
    from sitegen.pages.site import Extract, Site
    from sitegen.said import Say

ADDRESS: Final = "pieces.html"

EXAMPLES: Final = {
    "corners": "UFR",
    "edges": "UF",
    "middles": "UF{middle}R",
    "wings": "UF2R",
    "fixed": "F{middle}U{middle}R",
    "diagonal": "F2U2R",
    "cross": "F2U{middle}R",
    "oblique": "F2U3R",
}
"""The kinds of piece, words of the theme's table, in the order in which they are told; each with
the address of one that can be seen over the corner of up, front and right."""


class PieceKind(NamedTuple):
    """A kind of piece on one size of cube.

    Attributes:
        kind: a key of `EXAMPLES`.
        pieces: how many there are of it.
        stickers: how many stickers each has.
        orbits: how many rounds of pieces that can trade places.
        example: the address of one, which the picture shows ringed.
        svg: the solved cube with these pieces in colour and all others bare.
    """

    kind: str
    pieces: int
    stickers: int
    orbits: int
    example: str
    svg: str


class CubePieces(NamedTuple):
    """What a cube is made of: layers each way, pieces and stickers in all, its kinds of piece."""

    n: int
    pieces: int
    stickers: int
    sorts: tuple[PieceKind, ...]

    @property
    def counts(self) -> dict[str, int]:
        """How many pieces there are of each class, all centres counted as one."""
        counts = dict.fromkeys(("corners", "middles", "wings", "centres"), 0)
        for sort in self.sorts:
            kind = "middles" if sort.kind == "edges" else sort.kind
            counts[kind if kind in counts else "centres"] += sort.pieces
        return counts


def pages(html: Html, site: Site, extracts: Sequence[Extract]) -> Iterator[tuple[str, bytes]]:
    """A page of all cubes of the site, and one for each of them."""
    del extracts
    say = html.words("").say
    found = [cube_pieces(n, site.scheme, say) for n in site.sizes]
    yield ADDRESS, html.page_beside("pieces.html", ADDRESS, found=found)
    for one in found:
        address = f"pieces/{one.n}.html"
        yield address, html.page_beside("pieces_of_cube.html", address, size=one)


def cube_pieces(n: int, scheme: Scheme, say: Say) -> CubePieces:
    """What an n-cube is made of."""
    made_of = pieces_of(n)
    members: dict[str, list[Piece]] = {}
    for piece in made_of.all:
        members.setdefault(kind_of(piece, n), []).append(piece)
    sorts = [_sort(n, kind, members[kind], scheme, say) for kind in EXAMPLES if kind in members]
    return CubePieces(n, len(made_of.all), geometry(n).count, tuple(sorts))


def kind_of(piece: Piece, n: int) -> str:
    """A key of `EXAMPLES`: centres are told apart by their two layers."""
    if piece.kind == "middle" and n == 3:
        return "edges"
    if piece.kind != "centre":
        return f"{piece.kind}s"
    one, other = piece.orbit.layer, piece.orbit.other
    if one == other:
        return "fixed" if 2 * one == n + 1 else "diagonal"
    return "cross" if n + 1 in (2 * one, 2 * other) else "oblique"


def _sort(n: int, kind: str, members: list[Piece], scheme: Scheme, say: Say) -> PieceKind:
    address = EXAMPLES[kind].format(middle=(n + 1) // 2)
    example = read_address(address, n)
    picture = Picture(
        n,
        Position.solved(n).colours,
        focus=stickers_of(members),
        rings=(Ring(example.stickers, "", example.sticker),),
    )
    return PieceKind(
        kind=kind,
        pieces=len(members),
        stickers=len(example.stickers),
        orbits=len({piece.orbit for piece in members}),
        example=address,
        svg=STYLES["corner"].draw(picture, scheme, say),
    )

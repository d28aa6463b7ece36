"""The text net: read, compared, written in the author's own shape."""

from __future__ import annotations

import re
import unicodedata
from functools import cache, cached_property
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct

from sitegen.cube.position import Position
from sitegen.cube.scheme import FACES, NO_COLOUR, SIDES
from sitegen.cube.size import a_cube
from sitegen.problem import Compared, Wrong
from sitegen.wording import counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.cube.scheme import Scheme

ANY: Final = "."
"""The letter of a cell that is not checked."""

_BANDS: Final = ((0,), (1, 2, 3, 4), (5,))
"""The faces that stand side by side in a cross, from the top, by their indices in `FACES`."""

_BETWEEN: Final = frozenset({"Pc", "Pd", "Pe", "Pf", "Pi", "Po", "Ps", "Sm"})
"""The general categories of signs that some put between cells, or around them."""

_FACE_ROW: Final = re.compile(r"\s*([A-Za-z])\s*:(.*)", re.DOTALL)


class Cell(NamedTuple):
    """A letter of a net: its offset in the text, its sticker, its colour number or `NO_COLOUR`."""

    offset: int
    sticker: int
    colour: int


class Line(NamedTuple):
    """A line with something on it.

    Attributes:
        start: offset of its text in the text read.
        text: the whole line, as written.
        at: where in it the letters begin, past a face's letter and colon.
        compact: the letters, without the spaces between.
    """

    start: int
    text: str
    at: int
    compact: str

    @property
    def letters(self) -> tuple[tuple[int, str], ...]:
        """The letters, each with its offset."""
        base = self.start + self.at
        part = self.text[self.at :]
        return tuple((base + i, letter) for i, letter in enumerate(part) if not letter.isspace())

    @property
    def span(self) -> tuple[int, int]:
        """The offsets of its first letter and past its last."""
        return self.letters[0][0], self.letters[-1][0] + 1


class Row(Struct, frozen=True, dict=True):
    """A row of a net: its line, and what its letters say.

    Attributes:
        line: the line, as written.
        stickers: the sticker of each letter.
        colours: the colour number of each letter, `NO_COLOUR` for a dot.
    """

    line: Line
    stickers: Sequence[int]
    colours: bytes

    @cached_property
    def cells(self) -> tuple[Cell, ...]:
        """Its letters one by one: made when something is wrong, for most nets are right."""
        return tuple(
            Cell(place, sticker, colour)
            for (place, _), sticker, colour in zip(
                self.line.letters, self.stickers, self.colours, strict=True
            )
        )


class Net(Struct, frozen=True):
    """A net as an author wrote it: `rows` from the top, blank lines left out."""

    rows: tuple[Row, ...]

    @property
    def stated(self) -> list[Cell]:
        """The cells that are checked: all but the dots."""
        return [cell for row in self.rows for cell in row.cells if cell.colour != NO_COLOUR]

    @property
    def dots(self) -> list[Cell]:
        """The cells that are not checked."""
        return [cell for row in self.rows for cell in row.cells if cell.colour == NO_COLOUR]

    @property
    def states_something(self) -> bool:
        """Whether any cell is more than a dot."""
        return any(row.colours.strip(bytes([NO_COLOUR])) for row in self.rows)

    def position(self, n: int) -> Position:
        """The position that a full net without dots shows."""
        shown = bytearray(6 * n * n)
        for row in self.rows:
            for sticker, colour in zip(row.stickers, row.colours, strict=True):
                shown[sticker] = colour
        return Position.showing(n, bytes(shown))


def _lines(text: str) -> Iterator[Line]:
    place = 0
    for line in text.split("\n"):
        if line.strip():
            yield _line(line, place, 0)
        place += len(line) + 1


def _line(text: str, start: int, at: int) -> Line:
    return Line(start, text, at, "".join(text[at:].split()))


def read_net(text: str, n: int, scheme: Scheme, faults: list[Wrong]) -> Net | None:
    """Read a cross, or single faces each after its letter.

    Args:
        text: the rows; spaces and blank lines are free.
        n: layers each way.
        scheme: whose letters it is written in.
        faults: `net-shape` for each row that does not fit is put here, and then None is given back.
    """
    before = len(faults)
    lines = list(_lines(text))
    if not lines:
        faults.append(Wrong("net-shape", "the net is empty", 0, len(text)))
        return None
    if any(_FACE_ROW.fullmatch(line.text) for line in lines):
        placed = list(_faces(lines, n, faults))
    else:
        placed = list(_cross(lines, n, faults))
    codes = {letter: colour for colour, letter in enumerate(scheme.letters)} | {ANY: NO_COLOUR}
    rows = tuple(_row(line, stickers, codes, scheme, faults) for line, stickers in placed)
    return Net(rows) if len(faults) == before else None


def empty_faces(text: str) -> dict[int, str]:
    """The faces that a net names and does not draw: the letter of each, by its offset.

    They are to be drawn; `{}` where a face is named twice, or a letter is no face's.
    """
    lines = list(_lines(text))
    named = [_FACE_ROW.fullmatch(line.text) for line in lines]
    letters = [row[1] for row in named if row]
    if len({*letters}) < len(letters) or not {*letters} <= {*FACES}:
        return {}
    return {
        line.start + row.start(1): row[1]
        for number, (line, row) in enumerate(zip(lines, named, strict=True))
        if row and not row[2].strip() and all(named[number + 1 : number + 2])
    }


def _row(
    line: Line, stickers: Sequence[int], codes: dict[str, int], scheme: Scheme, faults: list[Wrong]
) -> Row:
    try:
        colours = bytes(map(codes.__getitem__, line.compact))
    except KeyError:
        where, letter = next((at, c) for at, c in line.letters if c not in codes)
        listed = ", ".join(
            f"{c} {name}" for c, name in zip(scheme.letters, scheme.names, strict=True)
        )
        near = _meant(letter, scheme)
        message = (
            f"`{letter}` is no colour here; the letters are {listed}, and `.` for not checked"
            f"{f'; write `{near}`' if near else ''}"
        )
        faults.append(Wrong("net-shape", message, where, where + 1))
        return Row(line, (), b"")
    return Row(line, stickers, colours)


def _meant(sign: str, scheme: Scheme) -> str:
    """The letter of the colour that a small letter, a face, or a coloured square, say, means."""
    if sign.upper() in scheme.letters:
        return sign.upper()
    if sign in FACES:
        return scheme.letters[FACES.index(sign)]
    words = unicodedata.name(sign, "").lower().split()
    named = zip(scheme.letters, scheme.names, strict=True)
    return next((letter for letter, name in named if name in words), "")


def _not_cells(line: Line) -> str:
    """What in a row of the wrong length is put between its cells, for the message about it."""
    others = (sign for sign in line.compact if sign != ANY and not sign.isalnum())
    signs = [sign for sign in dict.fromkeys(others) if unicodedata.category(sign) in _BETWEEN]
    listed = ", ".join(f"`{sign}`" for sign in signs)
    return f"; nothing but spaces stands between cells, no {listed}" if signs else ""


def _cross(lines: list[Line], n: int, faults: list[Wrong]) -> Iterator[tuple[Line, Sequence[int]]]:
    lengths = [n * len(band) for band in _BANDS for _ in range(n)]
    fits = len(lines) == len(lengths)
    for number, line in enumerate(lines):
        wanted = lengths[number] if number < len(lengths) else 0
        if len(line.compact) != wanted:
            faults.append(_misfit(number, line, wanted, len(lines), n))
            if not fits:
                return
        else:
            yield line, _cross_row(number, n)
    if not fits:
        message = (
            f"the net ends after row {len(lines)}; {_cross_shape(n)}; single faces stand after "
            "their letter, as `F: ...`"
        )
        faults.append(Wrong("net-shape", message, *lines[-1].span))


def _cross_shape(n: int) -> str:
    return f"a cross for {a_cube(n)} has {3 * n} rows: {n} of {n} cells, {n} of {4 * n}, {n} of {n}"


def _misfit(number: int, line: Line, wanted: int, rows: int, n: int) -> Wrong:
    shape, count = _cross_shape(n), f"; this net has {rows}" if rows != 3 * n else ""
    if not wanted:
        return Wrong("net-shape", f"a row too many; {shape}", *line.span)
    found = counted(len(line.compact), "cell")
    between = _not_cells(line)
    head, *rest = line.text.split()
    letter = SIDES.get(head.rstrip(":").lower(), head)
    if letter in FACES and len("".join(rest)) == n:
        between = ""
        shape = f"a face stands after its letter and a colon, `{letter}: {' '.join(rest)}`; {shape}"
    message = f"row {number + 1} has {found}, not {wanted}{between}; {shape}{count}"
    return Wrong("net-shape", message, *line.span)


@cache
def _cross_row(number: int, n: int) -> tuple[int, ...]:
    band, row = divmod(number, n)
    return tuple((face * n + row) * n + column for face in _BANDS[band] for column in range(n))


def _faces(lines: list[Line], n: int, faults: list[Wrong]) -> Iterator[tuple[Line, Sequence[int]]]:
    given: dict[str, list[Line]] = {}
    current: list[Line] | None = None
    for line in lines:
        named = _FACE_ROW.fullmatch(line.text)
        if named:
            letter = named[1]
            start = line.start + named.start(1)
            if letter not in FACES:
                faults.append(
                    Wrong("net-shape", f"`{letter}` is no face; faces are U L F R B D", start)
                )
            elif letter in given:
                faults.append(Wrong("net-shape", f"the face {letter} is given twice", start))
            current = [] if letter in given else given.setdefault(letter, [])
            current.append(_line(line.text, line.start, named.start(2)))
        elif current is None:
            message = (
                "this row stands before the first face; each face follows its letter: `F: ...`"
            )
            faults.append(Wrong("net-shape", message, *line.span))
        else:
            current.append(line)
    for letter, rows in given.items():
        if letter in FACES:
            yield from _face(letter, rows, n, faults)


def _rows(number: int) -> str:
    return "1 row" if number == 1 else f"{number or 'no'} rows"


def _face(
    letter: str, rows: list[Line], n: int, faults: list[Wrong]
) -> Iterator[tuple[Line, Sequence[int]]]:
    filled = [row for row in rows if row.compact]
    if len(filled) != n:
        named = rows[0].start + rows[0].text.index(letter)
        span = filled[-1].span if filled else (named, named + 1)
        letters = sum(map(str.isalpha, "".join(row.compact for row in filled)))
        is_joined = len(filled) < n and letters == n * n
        hint = ", each on a line of its own" if is_joined else ""
        message = f"the face {letter} has {_rows(len(filled))}; on {a_cube(n)} it has {n}{hint}"
        faults.append(Wrong("net-shape", message, *span))
        return
    base = FACES.index(letter) * n * n
    for number, row in enumerate(filled):
        if len(row.compact) != n:
            where = f"row {number + 1} of the face {letter}"
            cells = counted(len(row.compact), "cell")
            message = f"{where} has {cells}, not {n}{_not_cells(row)}"
            faults.append(Wrong("net-shape", message, *row.span))
        else:
            yield row, range(base + number * n, base + (number + 1) * n)


def full_net(text: str, n: int, scheme: Scheme) -> Net | None:
    """The whole net that a text is; None for one that is anything more or less."""
    if not set("".join(text.split())) <= {*scheme.letters, *FACES, ".", ":"}:
        return None  # nearly all moves end here, with nothing read twice
    net = read_net(text, n, scheme, [])
    return net if net and sum(len(row.colours) for row in net.rows) == 6 * n * n else None


def fits(net: Net, position: Position) -> bool:
    """Whether a net shows nothing else than a position, wherever it is no dot."""
    shown = position.colours
    for row in net.rows:
        there = bytes(map(shown.__getitem__, row.stickers))
        if row.colours != there:
            pairs = zip(row.colours, there, strict=True)
            if any(own not in (NO_COLOUR, other) for own, other in pairs):
                return False
    return True


class Mismatch(NamedTuple):
    """How a net differs from a position.

    Attributes:
        start: offset of the first cell of the first row that differs.
        end: offset past the last cell of that row.
        compared: both nets, in the author's shape.
    """

    start: int
    end: int
    compared: Compared


def compare(net: Net, position: Position, scheme: Scheme) -> Mismatch | None:
    """Hold a net against a position; None if nothing differs."""
    if fits(net, position):
        return None
    shown = position.colours
    expected, found, marks = [], [], []
    for row in net.rows:
        letters = list(row.line.text)
        differing = []
        for cell in row.cells:
            at = cell.offset - row.line.start
            if cell.colour not in (NO_COLOUR, shown[cell.sticker]):
                letters[at] = scheme.letters[shown[cell.sticker]]
                differing.append(at)
        expected.append(row.line.text)
        found.append("".join(letters))
        marks.append(tuple(differing))
    first = next(row for row, marked in zip(net.rows, marks, strict=True) if marked)
    return Mismatch(*first.line.span, Compared(tuple(expected), tuple(found), tuple(marks)))


def write_cross(position: Position, scheme: Scheme) -> list[str]:
    """A position as a cross, ready to be pasted into a block: U above F, a space between faces."""
    indents = (" " * (position.n + 1), "", " " * (position.n + 1))
    return [
        indent + " ".join(_letters(position, scheme, face, row) for face in band)
        for indent, band in zip(indents, _BANDS, strict=True)
        for row in range(position.n)
    ]


def write_face(position: Position, scheme: Scheme, face: str) -> list[str]:
    """One face of a position, ready to be put below its letter: its rows from the top."""
    return [_letters(position, scheme, FACES.index(face), row) for row in range(position.n)]


def _letters(position: Position, scheme: Scheme, face: int, row: int) -> str:
    start = face * position.n**2 + row * position.n
    return "".join(scheme.letters[c] for c in position.colours[start : start + position.n])

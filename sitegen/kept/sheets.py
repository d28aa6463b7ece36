"""Set pages packed as they are kept, and read again: each part apart, for few are asked for all."""

from __future__ import annotations

import hashlib
import json
import zlib
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from sitegen.kept.plain import plain, read
from sitegen.pages.site import Extract, Lesson

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from sitegen.kept.rows import Row
    from sitegen.setting import Sheet

LONGEST: Final = 1 << 28
"""Bytes of a part once it is unpacked: far more than any comes to."""


class Packed(NamedTuple):
    """A set page, packed.

    Attributes:
        name: what it is kept under: the SHA-256 of its data.
        data: its parts, compressed, after a line that tells how long each of them is.
        taken: a value that differs where what the whole site takes from the page does.
    """

    name: str
    data: bytes
    taken: str


def pack(sheet: Sheet) -> Packed:
    """Pack a page."""
    parts = [json.dumps(plain(part), separators=(",", ":")).encode() for part in sheet]
    packed = [zlib.compress(part, 1) for part in parts]
    head = " ".join(str(len(part)) for part in packed)
    data = b"".join((head.encode(), b"\n", *packed))
    taken = hashlib.sha256(b"\n".join(parts[1:])).hexdigest()
    return Packed(hashlib.sha256(data).hexdigest(), data, taken)


class Unpacking:
    """The set pages of a site, read where somebody asks for them."""

    def __init__(self, rows: Mapping[str, Row], find: Callable[[str], bytes]) -> None:
        """Read nothing yet.

        Args:
            rows: the pages.
            find: the data that is kept under a name.
        """
        self._rows = rows
        self._find = find

    def lesson(self, file: str) -> Lesson:
        """A page."""
        return read(Lesson, self._part(file, 0))

    def extract(self, file: str) -> Extract:
        """What the pages about the whole site take from it."""
        return read(Extract, self._part(file, 1))

    def pictures(self, file: str) -> tuple[str, ...]:
        """The picture that each of its figures shows first, as SVG."""
        return read(tuple[str, ...], self._part(file, 2))

    def _part(self, file: str, number: int) -> Any:  # noqa: ANN401 - whatever JSON can hold
        data = self._find(self._rows[file].sheet)
        start = data.index(b"\n") + 1
        lengths = [int(length) for length in data[:start].split()]
        start += sum(lengths[:number])
        packed = data[start : start + lengths[number]]
        return json.loads(zlib.decompressobj().decompress(packed, LONGEST))

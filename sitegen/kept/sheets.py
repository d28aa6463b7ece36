"""Set pages packed as they are kept, and read again: each part apart, for few are asked for all."""

from __future__ import annotations

import hashlib
import zlib
from itertools import accumulate
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import json
from msgspec.structs import replace

from sitegen.pages.site import Details, Extract, Lesson

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from sitegen.kept.rows import Row
    from sitegen.setting import Sheet

LONGEST: Final = 1 << 28
"""Bytes of a part once it is unpacked: far more than any comes to."""

_LESSON, _BODY, _EXTRACT, _DETAILS = range(4)
"""The parts of a page: the lesson's body by itself, and not as JSON, for it is most of it."""


_LESSONS: Final = json.Decoder(Lesson)
_EXTRACTS: Final = json.Decoder(Extract)
_OF_DETAILS: Final = json.Decoder(Details)


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
    lesson, extract, details = sheet
    parts = [
        json.encode(replace(lesson, body="")),
        lesson.body.encode(),
        json.encode(extract),
        json.encode(details),
    ]
    packed = [zlib.compress(part, 1) for part in parts]
    head = " ".join(str(len(part)) for part in packed)
    data = b"".join((head.encode(), b"\n", *packed))
    taken = hashlib.sha256(b"\n".join(parts[_EXTRACT:])).hexdigest()
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
        lesson, body = self._parts(file, _LESSON, _BODY)
        return replace(_LESSONS.decode(lesson), body=body.decode())

    def extract(self, file: str) -> Extract:
        """What the pages about the whole site take from it."""
        return _EXTRACTS.decode(*self._parts(file, _EXTRACT))

    def details(self, file: str) -> Details:
        """And what they take besides."""
        return _OF_DETAILS.decode(*self._parts(file, _DETAILS))

    def _parts(self, file: str, *numbers: int) -> Iterator[bytes]:
        data = self._find(self._rows[file].sheet)
        start = data.index(b"\n") + 1
        ends = list(accumulate(map(int, data[:start].split()), initial=start))
        for number in numbers:
            packed = data[ends[number] : ends[number + 1]]
            yield zlib.decompressobj().decompress(packed, LONGEST)

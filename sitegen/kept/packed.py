"""Set pages packed as they are kept, and read again part by part: few are asked for whole."""

from __future__ import annotations

import hashlib
import zlib
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import json
from msgspec.structs import replace

from sitegen.pages.site import Details, Extract, Lesson

if TYPE_CHECKING:
    from sitegen.set_page import SetPage

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


def pack(page: SetPage) -> Packed:
    """Pack a page."""
    lesson, extract, details = page
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


class Unpacked:
    """A page as it was set; each part of it is read where somebody asks for that."""

    def __init__(self, data: bytes) -> None:
        """Take what `pack` made of it."""
        self._data = data

    @property
    def lesson(self) -> Lesson:
        """The page."""
        return replace(_LESSONS.decode(self._part(_LESSON)), body=self._part(_BODY).decode())

    @property
    def extract(self) -> Extract:
        """What the pages about the whole site take from it."""
        return _EXTRACTS.decode(self._part(_EXTRACT))

    @property
    def details(self) -> Details:
        """What they take besides."""
        return _OF_DETAILS.decode(self._part(_DETAILS))

    def _part(self, number: int) -> bytes:
        start = self._data.index(b"\n") + 1
        lengths = list(map(int, self._data[:start].split()))
        begin = start + sum(lengths[:number])
        packed = self._data[begin : begin + lengths[number]]
        return zlib.decompressobj().decompress(packed, LONGEST)

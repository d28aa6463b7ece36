"""What words are made of, in any script: letters, digits, and the marks that stand on them."""

from __future__ import annotations

import unicodedata
from functools import cache
from typing import Final

_BLOCKS: Final = (range(0x300, 0x2000), range(0x3099, 0x309B), range(0xA000, 0xAC00))
"""Where Unicode has the marks of the scripts that are in daily use."""


def letters(text: str) -> str:
    """A pattern of an unbroken run of letters and digits, for use on a text.

    Marks are no letters to Python's patterns, and without them a word of Hindi or Thai comes apart,
    as does any with an accent that is written as a character of its own.
    """
    return r"[^\W_]+" if text.isascii() else _any_script()


@cache
def _any_script() -> str:
    marks = (chr(code) for block in _BLOCKS for code in block)
    found = "".join(mark for mark in marks if unicodedata.category(mark).startswith("M"))
    return rf"[^\W_](?:[^\W_]|[{found}])*"

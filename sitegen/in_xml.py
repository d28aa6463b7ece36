"""An author's text as an XML document can hold it."""

from __future__ import annotations

import re
from typing import Final

_UNWRITABLE: Final = "[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"
"""What no XML document can hold (XML 1.0, production 2), escaped or not."""


def in_xml(text: str) -> str:
    """The text, not escaped yet, with a sign for unknown characters in place of those."""
    return text if text.isprintable() else re.sub(_UNWRITABLE, "\ufffd", text)

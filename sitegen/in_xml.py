"""What can stand in HTML and XML, and what of an author's text cannot."""

from __future__ import annotations

import re
from typing import Final

_UNWRITABLE: Final = "[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"
"""What no XML document can hold (XML 1.0, production 2), escaped or not."""

_IN_NO_PAGE: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufdd0-\ufdef\ufffe\uffff]")
"""Controls and noncharacters, which pages and feeds cannot have in them (HTML Standard, 13.2.3.5,
and XML 1.0, production 2; from memory). TOML and YAML can: escaped."""


def in_no_page(text: str) -> str:
    """The first character of a text that can stand on no page, as in `U+0007`; "" without one."""
    found = None if text.isprintable() else _IN_NO_PAGE.search(text)
    return f"U+{ord(found[0]):04X}" if found else ""


def in_xml(text: str) -> str:
    """A text with U+FFFD in place of what XML cannot hold; it is not escaped yet."""
    return text if text.isprintable() else re.sub(_UNWRITABLE, "\ufffd", text)

"""Authors' text made safe to show: nothing in it can steer a terminal or a viewer."""

from __future__ import annotations

import unicodedata

from sitegen.wording import UNSEEN


def tame(text: str) -> str:
    """One line: tabs as one space, characters that control or reorder text as `?`."""
    return "".join(
        " " if c == "\t" else "?" if unicodedata.category(c) in UNSEEN else c for c in text
    )


def tame_lines(text: str) -> str:
    """A text of several lines, each made safe as by `tame`."""
    return "\n".join(tame(line) for line in text.split("\n"))

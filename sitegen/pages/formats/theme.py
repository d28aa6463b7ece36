"""A theme's folder: the default one, and what is wrong with a site's own."""

from __future__ import annotations

from pathlib import Path
from typing import Final

DEFAULT_THEME: Final = Path(__file__).parents[2] / "theme"
"""The templates, stylesheets and words that come with the program."""


class ThemeError(Exception):
    """A file of the site's own theme does not work.

    Attributes:
        path: the file.
        line: from 1; 1 where the fault has no line.
        message: what is wrong, in words for the theme's author.
    """

    def __init__(self, path: Path, line: int, message: str) -> None:
        super().__init__(f"{path}:{line}: {message}")
        self.path = path
        self.line = line
        self.message = message

    def __reduce__(self) -> tuple[type[ThemeError], tuple[Path, int, str]]:
        """As it is handed from one process to another."""
        return ThemeError, (self.path, self.line, self.message)

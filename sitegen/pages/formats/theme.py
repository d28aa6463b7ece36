"""A theme's folder: the default one, and what is wrong with a site's own."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.pages.files import is_hidden, stays_inside
from sitegen.pages.page_text import page_text
from sitegen.pages.unmerged import unmerged
from sitegen.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Callable, Container, Iterable, Iterator

DEFAULT_THEME: Final = Path(__file__).parents[2] / "theme"
"""The templates, stylesheets and words that come with the program."""

_MERGED: Final = frozenset({".html", ".css", ".js"})
"""What ends the names of files that are merged line by line, and that nothing else reads so."""


class Fault(NamedTuple):
    """What is wrong with a file of the site's own theme.

    Attributes:
        path: the file.
        line: from 1; 1 where the fault has no line.
        message: what is wrong, in words for the theme's author.
    """

    path: Path
    line: int
    message: str


class ThemeError(Exception):
    """The site's own theme does not work.

    Attributes:
        faults: why, one at least.
    """

    def __init__(self, *faults: Fault) -> None:
        super().__init__(*faults)
        self.faults = faults

    def problems(self, root: Path) -> list[Problem]:
        """The faults as problems of the content folder."""
        return [
            Problem(Path(os.path.relpath(path, root)).as_posix(), line, 1, 1, "settings", message)
            for path, line, message in sorted(self.faults)
        ]


def raise_all(faults: Iterable[Fault]) -> None:
    """Raise all that is wrong with a theme, if anything is.

    Raises:
        ThemeError: something is.
    """
    if found := [*faults]:
        raise ThemeError(*found)


def files_of(folder: Path) -> Iterator[tuple[str, Path]]:
    """All that stands in a theme, by its name there, in order; what is hidden is left out."""
    for path in sorted(folder.rglob("*")):
        parts = path.relative_to(folder).parts
        if not is_hidden(parts):
            yield "/".join(parts), path


def texts_of(folder: Path, endings: Container[str]) -> Iterator[tuple[Path, str]]:
    """The texts of a theme's files whose names end in one of these; links out of it are left out.

    Args:
        folder: the theme's folder.
        endings: what a name may end in, with its dot.
    """
    real = folder.resolve()
    for _, path in files_of(folder):
        if path.suffix in endings and path.is_file() and stays_inside(path, real):
            yield path, page_text(path.read_bytes(), "replace")


def see_merged(own: Path) -> None:
    """See that a merge left two versions of nothing in a site's own templates and stylesheets.

    Both would pass: a template prints what is none of its language, and a browser reads on.

    Args:
        own: the theme's folder.

    Raises:
        ThemeError: it did.
    """
    raise_all(
        Fault(path, one.first, one.message)
        for path, text in texts_of(own, _MERGED)
        for one in unmerged(text)
    )


def error_of(work: Callable[[], object]) -> ThemeError | None:
    """What work finds wrong with a theme, if anything; a file that may not be read is wrong too."""
    try:
        work()
    except ThemeError as error:
        return error
    except PermissionError as error:
        why = "this file cannot be read: the system does not allow it"
        return ThemeError(Fault(Path(error.filename), 1, why))
    return None


def joined(errors: Iterable[ThemeError | None]) -> list[Fault]:
    """All that is wrong with a theme; a line that one error tells of is left out of later ones."""
    faults: list[Fault] = []
    for error in filter(None, errors):
        known = {(fault.path, fault.line) for fault in faults}
        faults += [one for one in error.faults if (one.path, one.line) not in known]
    return faults

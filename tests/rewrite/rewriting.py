"""The program run in this process on one page, with a person at a terminal or nobody there."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sitegen.commands.main import main

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import pytest


class Terminal:
    """A standard input that is a terminal; what is typed may first do something else."""

    def __init__(self, typed: str, first: Callable[[], object] = lambda: None) -> None:
        self.typed = io.StringIO(typed)
        self.first = first

    def isatty(self) -> bool:
        return True

    def readline(self) -> str:
        self.first()
        return self.typed.readline()


@dataclass
class Site:
    """A content folder with one page."""

    folder: Path
    patch: pytest.MonkeyPatch
    output: pytest.CaptureFixture[str]

    @property
    def page(self) -> Path:
        return self.folder / "page.md"

    def write(self, page: bytes | str) -> None:
        self.page.write_bytes(page.encode() if isinstance(page, str) else page)

    def run(self, *arguments: str, stdin: io.StringIO | Terminal | None = None) -> tuple[int, str]:
        """Exit status and standard output."""
        self.patch.setattr("sys.stdin", stdin or io.StringIO())
        command, *rest = arguments
        status = main([command, str(self.folder), *rest])
        return status, self.output.readouterr().out

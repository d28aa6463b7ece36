"""The files of a theme that are no templates, each under a name that changes with its bytes."""

from __future__ import annotations

import hashlib
import posixpath
import re
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Final

from sitegen.draw.palette import stylesheet
from sitegen.pages.files import stays_inside
from sitegen.pages.formats.theme import DEFAULT_THEME, Fault, files_of, raise_all
from sitegen.wording import in_turn, meant

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence
    from pathlib import Path

    from sitegen.cube.scheme import Scheme

FOLDER: Final = "theme"
"""Where they are published, below the site's root."""

PICTURES: Final = "pictures.css"
"""The stylesheet that is made of the colours of the pictures."""

DIGITS: Final = 10
"""Of the SHA-256 of a file's bytes, in hexadecimal: enough to tell one site's files apart."""

_URL: Final = re.compile(
    r"""(?s:/\*.*?\*/)"""
    r"""|(?P<head>@import\s+(?=["'])|url\(\s*)(?P<quote>["']?)(?P<name>[^"'()\s]+)(?P=quote)"""
)
"""A comment, or what a stylesheet names."""

_ELSEWHERE: Final = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:|/")
"""What an address begins with that is no path below a folder: a scheme, or the root."""


class Assets:
    """A theme's stylesheets, scripts, icons and whatever else it holds beside templates."""

    def __init__(self, own: Path | None, scheme: Scheme, left_out: Collection[str]) -> None:
        """Read them, and name them.

        Args:
            own: the folder of the site's own theme; a file of it takes the place of a default one.
            scheme: the colours of the pictures.
            left_out: the names of default files that this site has no use for.

        Raises:
            ThemeError: own files are links out of the theme's folder, stylesheets name files that
                are not there, or load one another in a circle, or themselves.
        """
        self._own = own
        self._faults: list[Fault] = []
        self._raw = {
            name: data for name, data in self._plain(DEFAULT_THEME) if name not in left_out
        }
        self._raw[PICTURES] = stylesheet(scheme).encode()
        if own is not None:
            self._raw |= self._plain(own)
        self._done: dict[str, tuple[str, bytes]] = {}  # name to address and bytes
        self._open: list[str] = []
        for name in self._raw:
            self._name_by_bytes(name)
        raise_all(self._faults)

    def address(self, name: str) -> str:
        """Where a file is published, by its name in the theme's folder.

        Raises:
            LookupError: there is no such file.
        """
        if name not in self._done:
            raise LookupError(f"there is no file `{name}`, here or in the default theme")
        return self._done[name][0]

    def files(self) -> Iterator[tuple[str, bytes]]:
        """All of them, each with its address."""
        yield from self._done.values()

    def _name_by_bytes(self, name: str) -> str:
        """Name a file after its bytes, those it names named first; its address."""
        if name in self._done:
            return self._done[name][0]
        self._open.append(name)
        data = self._raw[name]
        if name.endswith(".css"):
            data = self._with_names(name, data)
        self._open.pop()
        pure = PurePosixPath(name)
        digest = hashlib.sha256(data).hexdigest()[:DIGITS]
        address = f"{FOLDER}/{pure.with_name(f'{pure.stem}.{digest}{pure.suffix}')}"
        self._done[name] = address, data
        return address

    def _with_names(self, name: str, data: bytes) -> bytes:
        """A stylesheet with the files of the theme that it names under the names they have now."""
        folder = posixpath.dirname(name)
        text = data.decode("utf-8", "surrogateescape")

        def renamed(found: re.Match[str]) -> str:
            path, mark, rest = _split(found["name"] or "")
            target = _target(folder, path)
            if not target:
                return found[0]
            line = text.count("\n", 0, found.start("name")) + 1
            if target in self._open:
                self._tell(name, line, _circle(self._open[self._open.index(target) :]))
                return found[0]
            if target not in self._raw:
                why = f"the theme has no file `{target}`"
                near = meant(target, self._raw, 0.7)
                hint = f"; did you mean `{near}`?" if near else ""
                self._tell(name, line, why + hint)
                return found[0]
            address = self._name_by_bytes(target).removeprefix(f"{FOLDER}/")
            new = posixpath.relpath(address, folder or ".")
            return f"{found['head']}{found['quote']}{new}{mark}{rest}{found['quote']}"

        return _URL.sub(renamed, text).encode("utf-8", "surrogateescape")

    def _tell(self, name: str, line: int, message: str) -> None:
        self._faults.append(Fault((self._own or DEFAULT_THEME) / name, line, message))

    def _plain(self, folder: Path) -> Iterator[tuple[str, bytes]]:
        """The files of a theme that are no templates and no words, in order."""
        real = folder.resolve()
        for name, path in files_of(folder):
            if not stays_inside(path, real):
                self._tell(name, 1, "this is a link out of the theme's folder")
            elif path.is_file() and path.suffix.lower() not in {".html", ".toml"}:
                yield name, path.read_bytes()


def named_by_sheets(own: Path) -> set[str]:
    """The names of the files that the stylesheets of a site's own theme name."""
    real = own.resolve()
    sheets = [(name, path) for name, path in files_of(own) if name.endswith(".css")]
    return {
        _target(posixpath.dirname(name), _split(found["name"] or "")[0])
        for name, path in sheets
        if path.is_file() and stays_inside(path, real)
        for found in _URL.finditer(path.read_text("utf-8", "surrogateescape"))
    }


def _circle(names: Sequence[str]) -> str:
    """The complaint that stylesheets load one another, each the next, or that one loads itself."""
    if len(names) == 1:
        return "this stylesheet loads itself; take that out"
    loads = in_turn((f"`{name}`" for name in (*names, names[0])), "loads")
    return f"stylesheets load one another in a circle: {loads}; take one of these out"


def _target(folder: str, path: str) -> str:
    """The theme's file that a stylesheet in a folder of it names; "" for what is none of it."""
    if not path or _ELSEWHERE.match(path):
        return ""
    target = posixpath.normpath(posixpath.join(folder, path))
    return "" if target.startswith("../") else target  # of the content folder


def _split(address: str) -> tuple[str, str, str]:
    """An address cut before its query or its anchor."""
    at = min((place for mark in "?#" if (place := address.find(mark)) >= 0), default=len(address))
    return address[:at], address[at : at + 1], address[at + 1 :]

"""The content folder, read: pages, other files, settings, and what cannot be read."""

from __future__ import annotations

import os
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from sitegen.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Iterator

RESERVED: Final = frozenset(
    {"CON", "PRN", "AUX", "NUL", *(f"{port}{n}" for port in ("COM", "LPT") for n in range(1, 10))}
)
"""What no file may be called on Windows, whatever follows a dot ("Naming Files, Paths, and
Namespaces", Microsoft Learn; from memory)."""

FILE: Final = "site.toml"
"""The settings of a site; it stands in the content folder."""


@dataclass(frozen=True, slots=True)
class Folder:
    """What a content folder holds.

    Attributes:
        root: the folder.
        settings: the bytes of its `site.toml`, or None without one.
        pages: the paths of its Markdown files, relative to it, in order.
        others: the paths of all other files but `site.toml` and hidden ones.
        problems: links out of the folder, names that are no text or no name for a file everywhere,
            and files that would be published as one.
    """

    root: Path
    settings: bytes | None
    pages: tuple[str, ...]
    others: tuple[str, ...]
    problems: tuple[Problem, ...]


def find_root(path: Path) -> Path:
    """The content folder that a path lies in: the nearest upwards that holds `site.toml`.

    Without one it is the path itself, or, for a file, the folder the file is in.
    """
    start = path if path.is_dir() else path.parent
    absolute = Path(os.path.abspath(start))  # noqa: PTH100 - links on the way are left as they are
    for folder in (absolute, *absolute.parents):
        if (folder / FILE).is_file():
            return folder
    return absolute


def read_folder(root: Path) -> Folder:
    """List a content folder.

    Raises:
        OSError: it cannot be listed.
    """
    pages: list[str] = []
    others: list[str] = []
    problems: list[Problem] = []
    real = root.resolve()
    for path in _walk(root, "", real, problems):
        if path.endswith(".md"):
            pages.append(path)
        elif path != FILE:
            others.append(path)
    settings = root / FILE
    data = settings.read_bytes() if settings.is_file() else None
    if not pages:
        message = "no page at all: a page is a file whose name ends in `.md`"
        problems.append(Problem(".", 1, 1, 1, "file", message))
    problems += _address_problems(sorted([*pages, *others]))
    return Folder(root, data, tuple(pages), tuple(others), tuple(problems))


def published_as(path: str) -> str:
    """The address of a file of the content folder, relative to the site."""
    return f"{path.removesuffix('.md')}.html" if path.endswith(".md") else path


def folded(path: str) -> str:
    """A path as file systems see it that tell no small letters from capitals (macOS, Windows)."""
    return (
        path if path.isascii() and path.islower() else unicodedata.normalize("NFC", path.casefold())
    )


def _address_problems(paths: list[str]) -> Iterator[Problem]:
    """Names that cannot be written everywhere, and files that would take each other's place."""
    files: dict[str, str] = {}
    folders: dict[str, str] = {}
    for path in paths:
        for part in path.split("/"):
            if part.partition(".")[0].rstrip(" ").upper() in RESERVED or part[-1] in " .":
                message = f"`{part}` cannot be the name of a file or folder on Windows; rename it"
                yield _refused(path, message)
                break
        address = folded(published_as(path))
        if address in files:
            message = f"this and `{files[address]}` would both be published as "
            yield _refused(path, f"{message}`{published_as(path)}`; rename one")
            continue
        files[address] = path
        while "/" in address:
            address = address.rpartition("/")[0]
            folders.setdefault(address, path)
    for address in sorted(files.keys() & folders.keys()):
        message = f"this would be published as the file, and `{folders[address]}` in the folder, "
        path = files[address]
        yield _refused(path, f"{message}`{published_as(path)}`; rename one")


def _walk(folder: Path, prefix: str, real: Path, problems: list[Problem]) -> Iterator[str]:
    """Every file below a folder that is not hidden, in the order of names."""
    with os.scandir(folder) as listed:
        entries = sorted(listed, key=lambda entry: entry.name)
    for entry in entries:
        if entry.name.startswith("."):
            continue
        name = entry.name.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace")
        path = prefix + name
        if name != entry.name or not name.isprintable():
            problems.append(_refused(path, "this name holds what is no printable text"))
        elif entry.is_symlink() and not stays_inside(Path(entry.path), real):
            problems.append(_refused(path, "this is a link that leads out of the content folder"))
        elif entry.is_symlink() and entry.is_dir():
            problems.append(
                _refused(path, "this is a link to a folder; links to folders are not followed")
            )
        elif entry.is_dir():
            yield from _walk(Path(entry.path), f"{path}/", real, problems)
        elif entry.is_file():
            yield path
        elif entry.is_symlink():
            problems.append(_refused(path, "this is a link to nothing"))


def stays_inside(path: Path, real: Path) -> bool:
    """Whether what a path leads to, links followed, lies in a folder whose links are followed."""
    try:
        return path.resolve().is_relative_to(real)
    except (OSError, RuntimeError):  # a circle of links
        return False


def _refused(path: str, message: str) -> Problem:
    return Problem(path, 1, 1, 1, "file", message)


def read_text(root: Path, file: str, longest: int) -> tuple[str, list[Problem]]:
    """A page's text, line ends made line feeds, a byte order mark left out; "" if it is no text."""
    try:
        data = (root / file).read_bytes()
    except OSError as error:
        return "", [_refused(file, f"this file cannot be read: {error.strerror}")]
    try:
        text = page_text(data)
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line = before.count(b"\n") + 1
        row = before.rpartition(b"\n")[2].decode("utf-8-sig", "replace")
        message = f"this file is not written in UTF-8: byte 0x{data[error.start]:02X} here"
        return "", [Problem(file, line, len(row) + 1, 1, "file", message)]
    if len(text) > longest:
        message = f"a page has at most {longest} characters; this one has {len(text)}"
        return "", [Problem(file, 1, 1, 1, "limit", message)]
    return text, []


def page_text(data: bytes, errors: str = "strict") -> str:
    """A file's text as pages are read: a byte order mark left out, line ends made line feeds.

    Args:
        data: the file.
        errors: what becomes of bytes that are no UTF-8, as `bytes.decode` has it.

    Raises:
        UnicodeDecodeError: there are some, and `errors` is "strict".
    """
    return data.decode("utf-8-sig", errors).replace("\r\n", "\n").replace("\r", "\n")

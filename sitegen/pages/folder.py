"""The content folder, listed: pages, other files, settings, and what cannot be published."""

from __future__ import annotations

import errno
import os
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from sitegen.pages.around import FOLDERS, is_taken
from sitegen.pages.files import SETTINGS_FILE, is_hidden, read_inside, stays_inside
from sitegen.pages.names import folded, folders_of, published_as, unfit
from sitegen.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

DEEPEST_FOLDERS: Final = 50
"""How deep folders may stand in one another."""

MOST_FILES: Final = 20_000
"""How many files a content folder may hold, pages among them."""

LONGEST_SETTINGS: Final = 1_000_000
"""Bytes of `site.toml`."""

LONGEST_FILE: Final = 500_000_000
"""Bytes of a file that is copied."""


class Folder(Struct, frozen=True, dict=True):
    """What a content folder holds.

    Attributes:
        root: the folder.
        settings: the bytes of its `site.toml`, or None without one.
        pages: the paths of its Markdown files, relative to it, in order.
        others: the paths of all other files but `site.toml` and hidden ones.
        problems: links out of the folder, names that are no text or no name for a file everywhere,
            what is no file, what is too much, and files that would be published as one.
    """

    root: Path
    settings: bytes | None
    pages: tuple[str, ...]
    others: tuple[str, ...]
    problems: tuple[Problem, ...]

    @cached_property
    def page_set(self) -> frozenset[str]:
        """The pages as a set: each page that is judged looks others up."""
        return frozenset(self.pages)


def read_folder(root: Path) -> Folder:
    """List a content folder.

    Raises:
        OSError: it cannot be listed.
    """
    pages: list[str] = []
    others: list[str] = []
    problems: list[Problem] = []
    listing = _Listing(root.resolve(), problems)
    with os.scandir(root) as listed:
        entries = list(listed)
    for path in listing.files(entries, ""):
        if path.endswith(".md"):
            pages.append(path)
        elif path != SETTINGS_FILE:
            others.append(path)
    data, wrong = _settings_bytes(root)
    problems += wrong
    if not pages:
        message = "no page at all: a page is a file whose name ends in `.md`"
        problems.append(Problem.of_file(".", "file", message))
    problems += _address_problems(sorted([*pages, *others]))
    return Folder(root, data, tuple(pages), tuple(others), tuple(problems))


def _address_problems(paths: list[str]) -> Iterator[Problem]:
    """Names that cannot be written everywhere, and files that would take each other's place."""
    files: dict[str, str] = {}
    folders: dict[str, str] = {}
    for path in paths:
        *above, name = path.split("/")
        why = next(filter(None, map(unfit, [*above, name, published_as(name)])), "")
        if why:
            yield _file_problem(path, why)
        address = folded(published_as(path))
        if address in files:
            message = f"this and `{files[address]}` would both be published as "
            yield _file_problem(path, f"{message}`{published_as(path)}`; rename one")
            continue
        files[address] = path
        for folder in folders_of(address):
            folders.setdefault(folder, path)
    for address in sorted(files.keys() & folders.keys()):
        message = f"this would be published as the file, and `{folders[address]}` in the folder, "
        path = files[address]
        yield _file_problem(path, f"{message}`{published_as(path)}`; rename one")
    yield from _folder_problems(paths)
    for address in sorted(files.keys() & {*FOLDERS}):
        message = f"the program writes a folder `{address}` of its own; rename this file"
        yield _file_problem(files[address], message)


def _folder_problems(paths: list[str]) -> Iterator[Problem]:
    """Folders whose names differ in capitals alone, which is nothing to some systems; once each."""
    spelled = {folder: folder for folder in FOLDERS}
    seen: set[str] = set()
    for path in paths:
        for folder in reversed([*folders_of(path)]):
            if folder in seen:
                continue
            seen.add(folder)
            known = spelled.setdefault(folded(folder), folder)
            if known != folder:
                message = f"the folders `{folder}` and `{known}` are one on Windows and macOS; "
                ours = f" (the program writes `{known}`)" if known in FOLDERS else ""
                yield _file_problem(path, f"{message}give them one name{ours}")
                break
            if "/" not in folder and is_taken(folded(folder)):
                message = f"the program writes a file `{folded(folder)}` of its own; "
                yield _file_problem(path, f"{message}rename the folder `{folder}`")


class _Listing(Struct):
    """A content folder being listed.

    Attributes:
        real: the folder, links followed.
        problems: what is wrong with what stands there.
        found: how many files there are so far.
    """

    real: Path
    problems: list[Problem]
    found: int = 0

    def files(self, entries: Iterable[os.DirEntry[str]], prefix: str) -> Iterator[str]:
        """Every file among a folder's entries and below them that is not hidden, by name."""
        for entry in sorted(entries, key=lambda entry: entry.name):
            if is_hidden((entry.name,)) or self.found > MOST_FILES:
                continue
            name = entry.name.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace")
            path = prefix + name
            why = self.why_not(entry, name)
            if why:
                self.problems.append(_file_problem(path, why))
            elif entry.is_dir():
                yield from self.folder(entry, path)
            else:
                yield from self.file(entry, path)

    def why_not(self, entry: os.DirEntry[str], name: str) -> str:
        """Why an entry is no part of a site; "" if it is."""
        if name != entry.name or not name.isprintable():
            return "this name holds what is no printable text"
        if entry.is_symlink():
            if not stays_inside(Path(entry.path), self.real):
                return "this is a link that leads out of the content folder"
            if entry.is_dir():
                return "this is a link to a folder; links to folders are not followed"
        if not entry.is_dir() and not entry.is_file():
            if entry.is_symlink():
                return "this is a link to nothing"
            return "this is neither a file nor a folder, but a pipe, a socket or a device"
        return ""

    def folder(self, entry: os.DirEntry[str], path: str) -> Iterator[str]:
        if path.count("/") >= DEEPEST_FOLDERS:
            message = f"folders stand more than {DEEPEST_FOLDERS} deep here"
            self.problems.append(Problem.of_file(path, "limit", message))
            return
        try:
            with os.scandir(entry.path) as listed:
                entries = list(listed)
        except OSError as error:
            self.problems.append(_file_problem(path, f"this cannot be listed: {error.strerror}"))
            return
        yield from self.files(entries, f"{path}/")

    def file(self, entry: os.DirEntry[str], path: str) -> Iterator[str]:
        self.found += 1
        if self.found > MOST_FILES:
            message = (
                f"a content folder holds at most {MOST_FILES:,} files; what follows is left out"
            )
            self.problems.append(Problem.of_file(path, "limit", message))
            return
        if not path.endswith(".md") and (size := entry.stat().st_size) > LONGEST_FILE:
            message = (
                f"a file that is copied has at most {LONGEST_FILE:,} bytes; this one has {size:,}"
            )
            self.problems.append(Problem.of_file(path, "limit", message))
        yield path


def _file_problem(path: str, message: str) -> Problem:
    return Problem.of_file(path, "file", message)


def _settings_bytes(root: Path) -> tuple[bytes | None, list[Problem]]:
    """The bytes of `site.toml`; None without one, and where it is none to be read."""
    try:
        return read_inside(root, SETTINGS_FILE, LONGEST_SETTINGS), []
    except FileNotFoundError:
        return None, []
    except OSError as error:
        if error.errno == errno.EFBIG:
            message = f"settings have at most {LONGEST_SETTINGS:,} bytes"
            return None, [Problem.of_file(SETTINGS_FILE, "limit", message)]
        return None, [_file_problem(SETTINGS_FILE, f"this file cannot be read: {error.strerror}")]

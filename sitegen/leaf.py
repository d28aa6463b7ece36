"""A page read whole: taken apart, its blocks and its code spans read; nothing is replayed yet."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from sitegen.block.model import Show
from sitegen.block.read import read_block
from sitegen.block.show import stickers_drawn
from sitegen.pages.files import SETTINGS_FILE
from sitegen.pages.listed import Listed, Outline, listed
from sitegen.pages.page_text import read_text
from sitegen.pages.prose import ReadSpan, read_span
from sitegen.pages.reading import read_page
from sitegen.problem import Problem, Wrong

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from sitegen.block.model import Block, Context
    from sitegen.pages.page import BlockText, Page
    from sitegen.pages.references import BlockKey
    from sitegen.pages.settings import Settings


MOST_PAGE_TURNS: Final = 200_000
"""How many turns the blocks of a page may come to together, those of `same as` counted."""

MOST_DRAWN: Final = 10_000_000
"""How many stickers the pictures of a page may come to together, as `stickers_drawn`
measures them: five hundred blocks on the largest cube, some ten seconds of drawing."""

UNDRAWN: Final = Show(before=False, after=False)
"""What is shown of a block whose pictures its page has no room for."""


class BrokenPage(NamedTuple):
    """A page that cannot be read, and why."""

    file: str
    problems: list[Problem]


class Leaf(Struct, frozen=True):
    """A page and its blocks, read; nothing is replayed yet.

    Attributes:
        file: the page.
        digest: the SHA-256 of its text.
        page: the page taken apart.
        listed: the page as others know it.
        context: what it gives its blocks.
        blocks: its blocks, in order.
        in_blocks: what is wrong in each block.
        said: what each code span is, in order.
        problems: what is wrong outside the blocks.
    """

    file: str
    digest: str
    page: Page
    listed: Listed
    context: Context
    blocks: tuple[Block, ...]
    in_blocks: tuple[tuple[Problem, ...], ...]
    said: tuple[ReadSpan, ...]
    problems: tuple[Problem, ...]


class PageReader:
    """Reads pages, each with its blocks and its prose; the last ones read are not read again."""

    def __init__(self, root: Path, most: int = 0, *, is_set: bool = True) -> None:
        """Read nothing yet.

        Args:
            root: the content folder.
            most: how many pages are remembered.
            is_set: whether they will be set, as `read_page` asks.
        """
        self._root = root
        self._most = most
        self._is_set = is_set
        self._last: dict[str, tuple[Settings, Leaf]] = {}

    def __call__(self, settings: Settings, file: str) -> Leaf | BrokenPage:
        """Read a page, unless nothing changed since it was read last.

        Args:
            settings: the site's.
            file: the page, relative to the content folder.
        """
        text, unreadable = read_text(self._root, file)
        if unreadable:
            return BrokenPage(file, unreadable)
        digest = hashlib.sha256(text.encode()).hexdigest()
        read_with, leaf = self._last.pop(file, (None, None))
        if leaf is None or leaf.digest != digest or read_with != settings:
            leaf = _read_leaf(settings, file, text, digest, is_set=self._is_set)
        if self._most:
            self._last[file] = settings, leaf
            if len(self._last) > self._most:
                del self._last[next(iter(self._last))]
        return leaf


def _read_leaf(settings: Settings, file: str, text: str, digest: str, *, is_set: bool) -> Leaf:
    page, problems = read_page(file, text, settings, is_set=is_set)
    front = page.front
    context = replace(
        settings.context(),
        n=front.cube or settings.cube,
        lowercase=front.lowercase,
        sequences=front.sequences,
        unread=_unread(page, settings),
    )
    read = _read_blocks(page.blocks, context)
    said = []
    for span in page.spans:
        faults: list[Wrong] = []
        said.append(read_span(span.text, context, faults))
        problems += [span.problem(fault) for fault in faults]
    return Leaf(
        file=file,
        digest=digest,
        page=page,
        listed=listed(
            page, (Outline(b.number, b.id, b.n, bool(b.title), *b.lines) for b, _ in read)
        ),
        context=context,
        blocks=tuple(block for block, _ in read),
        in_blocks=tuple(tuple(wrong) for _, wrong in read),
        said=tuple(said),
        problems=tuple(problems),
    )


def _unread(page: Page, settings: Settings) -> dict[str, BlockKey]:
    """The keys that could not be read and that something on the page may hang on."""
    front = page.front
    known = {key for key, value in (("cube", front.cube), ("lowercase", front.lowercase)) if value}
    unread = {
        key: (file, -line)
        for file, lines in ((SETTINGS_FILE, settings.unread), (page.file, front.unread))
        for key, line in lines.items()
    }
    return {key: place for key, place in unread.items() if key not in known}


def _read_blocks(given: Iterable[BlockText], context: Context) -> list[tuple[Block, list[Problem]]]:
    """Read the blocks of a page, with what is wrong in each."""
    read = []
    left, room = MOST_PAGE_TURNS, MOST_DRAWN
    for one in given:
        block, wrong = _within_turns(one, context, left)
        asked = stickers_drawn(block)
        if asked > room:
            wrong.append(_too_many_stickers(block, asked, room))
            block, asked = replace(block, show=UNDRAWN, marks=()), 0
        left -= block.length
        room -= asked
        read.append((block, [*wrong, *one.cut]))
    return read


def _within_turns(given: BlockText, context: Context, left: int) -> tuple[Block, list[Problem]]:
    """Read a block; one of more turns than are left to its page is not replayed."""
    within = replace(context, most_turns=min(context.most_turns, left))
    block, wrong = read_block(given.number, given.id, given.head, given.body, within)
    refused = left < context.most_turns and any(problem.rule == "limit" for problem in wrong)
    if refused or block.length > left:
        message = (
            f"the blocks of a page come to at most {MOST_PAGE_TURNS:,} turns, and those above "
            f"leave {left:,} for this one; move it to a page of its own"
        )
        limit = Wrong("limit", message, 0, len(given.head.text))
        wrong.append(Problem.at(given.head, limit, block.id))
        unread = block.unread | {"moves"}
        block = replace(block, start=None, goal=None, moves=None, claims=(), unread=unread)
    return block, wrong


def _too_many_stickers(block: Block, asked: int, room: int) -> Problem:
    """What is told of a block whose pictures come to more stickers than its page has room for."""
    message = (
        f"the pictures of a page come to at most {MOST_DRAWN:,} stickers, and those above leave "
        f"{room:,} for this block, whose pictures come to {asked:,}; show fewer of them with "
        "`show`, ring fewer places, or move it to a page of its own"
    )
    limit = Wrong("limit", message, 0, len(block.head.text))
    return Problem.at(block.head, limit, block.id)

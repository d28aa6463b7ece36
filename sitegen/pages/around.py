"""The pages beside the lessons: which of them a site has, and where they stand."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from sitegen.pages.course import courses
from sitegen.pages.names import folded
from sitegen.pages.sheets import sheets
from sitegen.pages.site import Beside
from sitegen.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Container, Iterable, Iterator, Mapping

    from sitegen.pages.listed import Listed
    from sitegen.pages.settings import Settings

GLOSSARY: Final = "glossary.md"
"""The page whose definition list is the site's glossary."""

FRONT_PAGE: Final = "index.html"
CONTENTS: Final = "contents.html"
"""Where the list of all lessons stands beside a front page that the author wrote."""

NOT_FOUND: Final = "404.html"

FOLDERS: Final = ("figures", "cards", "pieces", "sequences", "theme")
"""What the program writes below the site's root, beside the pages named here."""

FILES_BESIDE: Final = ("feed.xml", "sitemap.xml", "search-index.js", "failures.html")

_BESIDE: Final[dict[str, Callable[[Settings, Collection[Listed]], bool]]] = {
    "figures": lambda _, pages: any(block.has_title for page in pages for block in page.blocks),
    "cards": lambda _, pages: any(page.blocks for page in pages),
    "pieces": lambda _settings, _pages: True,
    "sequences": lambda settings, pages: (
        bool(settings.sequences.texts) or any(page.sequences for page in pages)
    ),
    "glossary": lambda _, pages: any(page.file == GLOSSARY for page in pages),
    "search": lambda _settings, _pages: True,
}
"""The pages beside the lessons, each with whether a site has it; the arguments are those of
`beside`."""

_TAKEN: Final = frozenset(
    {FRONT_PAGE, CONTENTS, NOT_FOUND, *FILES_BESIDE, *(f"{name}.html" for name in _BESIDE)}
)


_FURTHER: Final = re.compile(r"(?:sequences-[0-9]+\.html|sitemap-[0-9]+\.xml)")
"""The second sheet of a list at the root and those after it, and the parts of a large site map."""


def beside(settings: Settings, pages: Collection[Listed]) -> tuple[Beside, ...]:
    """The pages beside the lessons that a site has.

    Args:
        settings: the site's.
        pages: the pages that are published.
    """
    return tuple(
        Beside(name, f"{name}.html") for name, has in _BESIDE.items() if has(settings, pages)
    )


def sizes(settings: Settings, pages: Collection[Listed]) -> tuple[int, ...]:
    """The cubes that a site speaks of, rising; the arguments are those of `beside`."""
    of_blocks = {block.n for page in pages for block in page.blocks}
    of_pages = {page.cube for page in pages if page.cube}
    return tuple(sorted({settings.cube} | of_blocks | of_pages))


def taken_over(pages: Iterable[Listed], others: Iterable[str]) -> tuple[str, ...]:
    """The program's addresses at which something of the author's stands instead, in order.

    Args:
        pages: the pages that are published.
        others: the paths of all other files of the content folder.
    """
    return tuple(sorted(filter(is_taken, {*others, *(page.address for page in pages)})))


def contents_at(own: Container[str]) -> str:
    """Where the list of all lessons stands: on the front page, unless the author wrote one.

    Args:
        own: what `taken_over` tells.
    """
    return CONTENTS if FRONT_PAGE in own else FRONT_PAGE


def has_feed(settings: Settings, pages: Iterable[Listed]) -> bool:
    """Whether a site has a feed: it knows its address, and a page has a date.

    The arguments are those of `beside`.
    """
    return bool(settings.url) and any(page.date for page in pages)


def anchors(
    settings: Settings, pages: Collection[Listed], others: Collection[str]
) -> dict[str, frozenset[str] | None]:
    """What a page may link to although nobody wrote it: addresses, each with its anchors.

    None where any anchor will do: the search page searches for it. The arguments are those of
    `beside` and `taken_over`. Anchors that only a theme knows are left out.
    """
    own = taken_over(pages, others)
    found: dict[str, frozenset[str] | None] = dict(_of_courses(settings, pages, contents_at(own)))
    found |= {one.address: frozenset() for one in beside(settings, pages)}
    found |= {f"pieces/{n}.html": frozenset(kinds(n)) for n in sizes(settings, pages)}
    named = [
        *settings.sequences.texts,
        *(sequence_anchor(page.address, name) for page in pages for name in page.sequences),
    ]
    found |= {one.address: frozenset(one.items) for one in sheets(named, "sequences.html")}
    found["search.html"] = None
    if settings.url:
        found["sitemap.xml"] = frozenset()
    if has_feed(settings, pages):
        found["feed.xml"] = frozenset()
    return {address: there for address, there in found.items() if address not in own}


def _of_courses(
    settings: Settings, pages: Collection[Listed], contents: str
) -> Iterator[tuple[str, frozenset[str]]]:
    """The list of lessons, and the lists of each course's figures and cards, by cube."""
    listed, _ = courses(settings, {page.file: page for page in pages})
    yield contents, frozenset(f"course-{i}" for i, course in enumerate(listed, 1) if course.pages)
    blocks = {page.address: page.blocks for page in pages}
    for number, course in enumerate(listed, 1):
        here = [block for entry in course.pages for block in blocks[entry.address]]
        titled = sorted(block.n for block in here if block.has_title)
        for one in sheets(titled, f"figures/course-{number}.html"):
            yield one.address, frozenset(f"cube-{n}" for n in one.items)
        for one in sheets(sorted(block.n for block in here), f"cards/course-{number}.html"):
            yield one.address, frozenset()


def kinds(n: int) -> Iterator[str]:
    """The kinds of piece that a cube of n layers has, as the page about it names them."""
    is_odd, pairs = n % 2 == 1, (n - 2) // 2  # pairs of inner layers alike, the middle left out
    yield "corners"
    if is_odd:
        yield from ("edges" if n == 3 else "middles", "fixed")
    if pairs:
        yield from ("wings", "diagonal")
    if pairs and is_odd:
        yield "cross"
    if pairs > 1:
        yield "oblique"


def clash_problems(
    ours: Collection[str], pages: Mapping[str, Listed], others: Collection[str]
) -> Iterator[Problem]:
    """Files that differ in capitals alone from one that the program writes: these would clash.

    Args:
        ours: the addresses that `anchors` tells.
        pages: all pages by their files.
        others: the paths of all other files of the content folder.
    """
    known = {NOT_FOUND, *FILES_BESIDE, *ours}
    written = {path: path for path in others}
    written |= {page.address: file for file, page in pages.items()}
    for address, file in written.items():
        ours_too = folded(address)
        if ours_too in known and address != ours_too:
            message = (
                f"on Windows and macOS this would be the same as `{ours_too}`, which the program "
                "writes; rename it, or write its name in small letters to have it in that place"
            )
            yield Problem.of_file(file, "file", message)


def sequence_anchor(address: str, name: str) -> str:
    """The anchor of a page's own sequence among all: a page may name one as the site does."""
    return f"{address.removesuffix('.html')}:{name}"


def is_taken(address: str) -> bool:
    """Whether the program may write a page or a file of its own at an address."""
    folder, slash, _ = address.partition("/")
    is_in_folder = bool(slash) and folder in FOLDERS
    return address in _TAKEN or is_in_folder or bool(_FURTHER.fullmatch(address))

"""The pages beside the lessons: which of them a site has, and where they stand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from sitegen.pages.course import courses
from sitegen.pages.site import Beside

if TYPE_CHECKING:
    from collections.abc import Collection

    from sitegen.pages.listed import Listed
    from sitegen.pages.settings import Settings

GLOSSARY: Final = "glossary.md"
"""The page whose definition list is the site's glossary."""

FRONT: Final = "index.html"
CONTENTS: Final = "contents.html"
"""Where the list of all lessons stands beside a front page that the author wrote."""

LOST: Final = "404.html"

FOLDERS: Final = ("figures/", "cards/", "pieces/", "sequences/", "theme/")
"""What the program writes below the site's root, beside the pages named here."""

FILES: Final = ("feed.xml", "sitemap.xml", "search-index.js", "failures.html")


def beside(settings: Settings, pages: Collection[Listed]) -> tuple[Beside, ...]:
    """The pages beside the lessons that a site has.

    Args:
        settings: the site's.
        pages: the pages that are published.
    """
    named = settings.sequences.texts or any(page.sequences for page in pages)
    has = {
        "figures": any(block.has_title for page in pages for block in page.blocks),
        "cards": any(page.blocks for page in pages),
        "pieces": True,
        "sequences": bool(named),
        "glossary": any(page.file == GLOSSARY for page in pages),
        "search": True,
    }
    return tuple(Beside(name, f"{name}.html") for name, there in has.items() if there)


def sizes(settings: Settings, pages: Collection[Listed]) -> tuple[int, ...]:
    """The cubes that a site speaks of, rising; the arguments are those of `beside`."""
    of_blocks = {block.n for page in pages for block in page.blocks}
    of_pages = {page.cube for page in pages if page.cube}
    return tuple(sorted({settings.cube} | of_blocks | of_pages))


def anchors(settings: Settings, pages: Collection[Listed]) -> dict[str, frozenset[str]]:
    """What a page may link to although nobody wrote it: addresses, each with its anchors.

    The arguments are those of `beside`. Anchors that only a theme knows are left out.
    """
    named = {
        *settings.sequences.texts,
        *(sequence_anchor(page.address, name) for page in pages for name in page.sequences),
    }
    listed, _ = courses(settings, {page.file: page for page in pages})
    of_courses = frozenset(f"course-{i}" for i, course in enumerate(listed, 1) if course.pages)
    has_front = any(page.address == FRONT for page in pages)
    found = {CONTENTS if has_front else FRONT: of_courses}
    found |= {one.address: frozenset() for one in beside(settings, pages)}
    found |= {f"pieces/{n}.html": frozenset() for n in sizes(settings, pages)}
    return found | ({"sequences.html": frozenset(named)} if named else {})


def sequence_anchor(address: str, name: str) -> str:
    """The anchor of a page's own sequence among all: a page may name one as the site does."""
    return f"{address.removesuffix('.html')}:{name}"


def is_taken(address: str) -> bool:
    """Whether the program may write a page or a file of its own at an address."""
    ours = ("figures", "cards", "pieces", "sequences", "glossary", "search")
    return address in {
        FRONT,
        CONTENTS,
        LOST,
        *FILES,
        *(f"{name}.html" for name in ours),
    } or address.startswith(FOLDERS)

"""The pages beside the lessons: which of them a site has, and where they stand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.pages.site import Beside

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sitegen.pages.page import Page
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


class Outline(NamedTuple):
    """A block as lists and reports know it.

    Attributes:
        id: its id, or "".
        n: layers each way.
        has_title: whether the author gave it one.
        line: the line of its opening fence, from 1.
        last: the last line inside it.
    """

    id: str
    n: int
    has_title: bool
    line: int
    last: int


def beside(
    settings: Settings, pages: Mapping[str, Page], outlines: Mapping[str, Sequence[Outline]]
) -> tuple[Beside, ...]:
    """The pages beside the lessons that a site has.

    Args:
        settings: the site's.
        pages: the pages that are published.
        outlines: the blocks of all pages.
    """
    shown = [outlines[file] for file in pages]
    named = settings.sequences.texts or any(p.front.sequences.texts for p in pages.values())
    has = {
        "figures": any(block.has_title for blocks in shown for block in blocks),
        "cards": any(shown),
        "pieces": True,
        "sequences": bool(named),
        "glossary": GLOSSARY in pages,
        "search": True,
    }
    return tuple(Beside(name, f"{name}.html") for name, there in has.items() if there)


def sizes(
    settings: Settings, pages: Mapping[str, Page], outlines: Mapping[str, Sequence[Outline]]
) -> tuple[int, ...]:
    """The cubes that a site speaks of, rising; the arguments are those of `beside`."""
    of_blocks = {block.n for file in pages for block in outlines[file]}
    of_pages = {page.front.cube for page in pages.values() if page.front.cube}
    return tuple(sorted({settings.cube} | of_blocks | of_pages))


def anchors(
    settings: Settings, pages: Mapping[str, Page], outlines: Mapping[str, Sequence[Outline]]
) -> dict[str, frozenset[str]]:
    """What a page may link to although nobody wrote it: addresses, each with its anchors.

    The arguments are those of `beside`. Anchors that only a theme knows are left out.
    """
    named = {
        *settings.sequences.texts,
        *(
            sequence_anchor(page.address, name)
            for page in pages.values()
            for name in page.front.sequences.texts
        ),
    }
    courses = frozenset(f"course-{number}" for number in range(1, len(settings.courses) + 2))
    has_front = any(page.address == FRONT for page in pages.values())
    found = {CONTENTS if has_front else FRONT: courses}
    found |= {one.address: frozenset() for one in beside(settings, pages, outlines)}
    found |= {f"pieces/{n}.html": frozenset() for n in sizes(settings, pages, outlines)}
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

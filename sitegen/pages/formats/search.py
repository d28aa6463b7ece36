"""The search page, and the index that it loads when somebody searches.

The index is a script that sets one value: a script can be loaded from a plain folder too, where a
page may not read files.
"""

from __future__ import annotations

import json
from functools import partial
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

from sitegen.pages.formats.cut import sheets
from sitegen.pages.formats.sequences import ADDRESS as SEQUENCES
from sitegen.pages.formats.sequences import shelved

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from sitegen.pages.formats.html import Html
    from sitegen.pages.site import Extracts, Plate, Site, Word

ADDRESS: Final = "search.html"

INDEX: Final = "search-index.js"
"""Its name is always the same: a new one would change every page that loads it."""


def files(html: Html, site: Site, extracts: Extracts) -> Iterator[tuple[str, Callable[[], bytes]]]:
    """The page and its index."""
    yield ADDRESS, partial(html.beside, "search.html", ADDRESS, index=INDEX)
    yield INDEX, partial(_script, html, site, extracts)


def _script(html: Html, site: Site, extracts: Extracts) -> bytes:
    # page by page: the whole would take several times the memory of its text
    told = [
        json.dumps(one, ensure_ascii=False, separators=(",", ":")).encode()
        for one in index(html, site, extracts)
    ]
    return b"".join((b"searchIndex=[", b",".join(told), b"]\n"))


def index(html: Html, site: Site, extracts: Extracts) -> Iterator[list[Any]]:
    """What can be found: for each page its address, its title, other words, and its places.

    A place is an anchor, its words, and of moves what is written and what it comes to, spaces
    between the signs of both.
    """
    words = html.words("").search
    for one in extracts:
        places = [
            *([heading.anchor, heading.text] for heading in one.headings),
            *([term.anchor, term.text] for term in one.terms),
            *(_plate(plate, words.figure) for plate in extracts.plates(one.entry.address)),
            *(["", "", moves] for moves in one.moves),
        ]
        more = " ".join([one.entry.summary, *one.tags]).strip()
        yield [quote(one.entry.address), one.entry.title, more, places]
    for sheet in sheets(shelved(site, extracts), SEQUENCES):
        places = [
            [one.anchor, f"{{{one.named.name}}}", *_moves(one.named.words, one.named.carried_out)]
            for one in sheet.items
        ]
        yield [sheet.address, html.words("").around.sequences, "", places]


def _plate(plate: Plate, name: str) -> list[str]:
    title = plate.title or name.format(number=plate.number)
    return [plate.anchor, title, *_moves(plate.words, plate.carried_out)]


def _moves(words: Sequence[Word], carried_out: str) -> list[str]:
    written = " ".join(word.text for word in words)
    return [written, carried_out] if carried_out else [written] if written else []

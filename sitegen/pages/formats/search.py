"""The search page, and the index that it loads when somebody searches.

The index is a script that sets one value: a script can be loaded from a plain folder too, where a
page may not read files.
"""

from __future__ import annotations

import json
from functools import partial
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

from sitegen.pages.formats.sequences import ADDRESS as SEQUENCES
from sitegen.pages.formats.sequences import all_sequences
from sitegen.pages.sheets import sheets

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from sitegen.pages.formats.html import Html
    from sitegen.pages.formats.sequences import SequenceEntry
    from sitegen.pages.formats.table import Content
    from sitegen.pages.sheets import Sheet
    from sitegen.pages.site import Extract, Extracts, Plate, Site, Word

ADDRESS: Final = "search.html"

INDEX: Final = "search-index.js"
"""Its name is always the same: a new one would change every page that loads it."""


def files(html: Html, site: Site, extracts: Extracts) -> Iterator[tuple[str, Content]]:
    """The page and its index.

    For each page the index has its address, its title, other words, the cubes of its figures among
    them, and its places. A place is an anchor, its words, and of moves what is written and what it
    comes to, spaces between the signs of both.
    """
    yield ADDRESS, html.page_beside("search.html", ADDRESS, index=INDEX)
    text = html.words("").say.text
    entries = [
        *(partial(_page, one, extracts, text("search.figure")) for one in extracts),
        *(
            partial(_sequences, sheet, text("around.sequences"))
            for sheet in sheets(all_sequences(site, extracts), SEQUENCES)
            if sheet.address not in site.own
        ),
    ]
    lines = [partial(_line, entry, b"," if number else b"") for number, entry in enumerate(entries)]
    yield INDEX, [partial(bytes, b"searchIndex=["), *lines, partial(bytes, b"]\n")]


def _line(entry: Callable[[], list[Any]], before: bytes) -> bytes:
    return before + json.dumps(entry(), ensure_ascii=False, separators=(",", ":")).encode()


def _page(one: Extract, extracts: Extracts, figure: str) -> list[Any]:
    details = extracts.details(one.entry.address)
    places = [
        *([heading.anchor, heading.text] for heading in details.headings),
        *([term.anchor, term.text] for term in details.terms),
        *(_plate(plate, figure) for plate in details.plates),
        *(["", "", moves] for moves in details.moves),
    ]
    # whoever looks for a cube, as `4x4` or `5x5x5`, finds the pages that show one
    cubes = [f"{n}×{n}×{n}" for n in sorted({figure.n for figure in one.figures})]
    more = f"{one.entry.summary} {' · '.join([*one.tags, *cubes])}".strip()
    return [quote(one.entry.address), one.entry.title, more, places]


def _sequences(sheet: Sheet[SequenceEntry], title: str) -> list[Any]:
    places = [
        [one.anchor, f"{{{one.named.name}}}", *_moves(one.named.words, one.named.carried_out)]
        for one in sheet.items
    ]
    return [sheet.address, title, "", places]


def _plate(plate: Plate, name: str) -> list[str]:
    title = plate.title or name.format(number=plate.number)
    return [plate.anchor, title, *_moves(plate.words, plate.carried_out)]


def _moves(words: Sequence[Word], carried_out: str) -> list[str]:
    written = " ".join(word.text for word in words)
    return [written, carried_out] if carried_out else [written] if written else []

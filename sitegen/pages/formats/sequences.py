"""All named sequences: their moves, the cube after them, how long they are, what they do."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.pages.around import sequence_anchor
from sitegen.pages.sheets import sheets

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.pages.formats.html import Html
    from sitegen.pages.site import Entry, Extract, NamedMoves, Site

ADDRESS: Final = "sequences.html"


class SequenceEntry(NamedTuple):
    """A sequence, the page that names it (None: the site does), and its anchor."""

    named: NamedMoves
    entry: Entry | None
    anchor: str


def pages(html: Html, site: Site, extracts: Sequence[Extract]) -> Iterator[tuple[str, bytes]]:
    """The site's own first, then those of pages, in the order of pages."""
    for sheet in sheets(all_sequences(site, extracts), ADDRESS):
        yield sheet.address, html.page_beside("sequences.html", sheet.address, sheet=sheet)


def all_sequences(site: Site, extracts: Sequence[Extract]) -> list[SequenceEntry]:
    """All sequences in their order. A page may name one as the site does, so it has its page's."""
    found = [SequenceEntry(named, None, named.name) for named in site.sequences]
    for one in extracts:
        address = one.entry.address
        found += [
            SequenceEntry(named, one.entry, sequence_anchor(address, named.name))
            for named in one.sequences
        ]
    return found

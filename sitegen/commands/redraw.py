"""`sitegen redraw`: nets that are empty or stale, written from the engine in the author's form."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from sitegen.commands.content import asked_for, paths_argument
from sitegen.commands.judging import judged, report
from sitegen.commands.mend import Asking, offer_changes
from sitegen.offers import nets

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable

    from sitegen.made import Made
    from sitegen.pages.references import BlockKey


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    paths_argument(parser)
    parser.add_argument("--yes", action="store_true", help="write without asking")


def run(options: argparse.Namespace) -> int:
    """Redraw, check again, and report what still does not hold."""
    root, is_asked = asked_for(options)
    made = _redrawn(judged(root), is_asked, Asking(options.yes, sys.stdout))
    return report(made, "text", is_asked)


def _redrawn(made: Made, is_asked: Callable[[str], bool], asking: Asking) -> Made:
    """Write nets until none is left to ask about; the folder as it is then, judged."""
    asked: set[tuple[BlockKey, str]] = set()
    while True:
        # a block that waited may be redrawn once the one it leans on holds, and a net of which a
        # side was empty once that is drawn
        offers = [
            offer
            for offer in nets(made)
            if is_asked(offer.key[0]) and (offer.key, offer.why) not in asked
        ]
        if not offers:
            if not asked:
                asking.say(
                    "no net to redraw: none is empty or stale in a block that else holds", ""
                )
            return made
        asked.update((offer.key, offer.why) for offer in offers)
        if not offer_changes(made, offers, asking):
            return made
        made = judged(made.folder.root)

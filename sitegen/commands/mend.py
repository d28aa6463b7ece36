"""`sitegen check --mend`: a suggestion, where there is but one, asked about and written down."""

from __future__ import annotations

import sys
from itertools import groupby
from typing import TYPE_CHECKING

from msgspec import Struct

from sitegen.commands.main import CannotRun
from sitegen.offers import as_judged, suggestions
from sitegen.pages.files import stays_inside
from sitegen.pages.rewrite import NotAsRead, rewritten, write_over
from sitegen.report.person import marked
from sitegen.report.tame import tame

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from typing import TextIO

    from sitegen.made import Made
    from sitegen.offers import Offer
    from sitegen.pages.rewrite import Edit


class Asking(Struct):
    """How an author is asked.

    Attributes:
        agreed: whether `--yes` was said.
        out: what differences and questions are printed to.
        ended: whether the input came to its end: nobody answers any more.
    """

    agreed: bool
    out: TextIO
    ended: bool = False

    def say(self, *lines: str) -> None:
        """Print lines."""
        self.out.write("".join(f"{line}\n" for line in lines))
        self.out.flush()

    @property
    def can_write(self) -> bool:
        """Whether anyone has said yes, or can be asked."""
        return self.agreed or (sys.stdin.isatty() and not self.ended)

    def agrees(self, file: str) -> bool:
        """Whether the author wants it; the end of the input is a no."""
        if self.agreed:
            return True
        while True:
            self.out.write(f"write this into {tame(file)}? (y/n) ")
            self.out.flush()
            answer = sys.stdin.readline()
            if answer.strip().lower() in ("y", "yes"):
                return True
            if not answer or answer.strip().lower() in ("n", "no"):
                if not answer:
                    self.ended = True
                    self.say("")
                self.say("left as it is")
                return False


def mend(made: Made, is_asked: Callable[[str], bool], asking: Asking) -> bool:
    """Write the suggestion of each failed block that has but one; whether any was written.

    Suggestions that come to the same count as one.

    Args:
        made: the content folder, judged.
        is_asked: whether a file is asked for.
        asking: how the author is asked.

    Raises:
        CannotRun: a page cannot be written.
    """
    offers = [offer for offer in suggestions(made) if is_asked(offer.key[0])]
    if not offers:
        none = "no block has one suggestion alone, or several to the same effect"
        asking.say(f"nothing to mend: {none}", "")
        return False
    return offer_changes(made, offers, asking)


def offer_changes(made: Made, offers: Iterable[Offer], asking: Asking) -> bool:
    """Show changes, ask about each, and write those agreed to; whether any was written.

    Raises:
        CannotRun: a page cannot be written.
    """
    wrote = False
    for file, of_page in groupby(offers, key=lambda offer: offer.key[0]):
        path = made.folder.root / file
        try:
            before = as_judged(made, file)
            edits = _edits_agreed_to(file, of_page, asking)
            if edits and not stays_inside(path, made.folder.root.resolve()):
                asking.say(f"{tame(file)}: not written: it leads out of the content folder", "")
            elif edits:
                write_over(path, before, rewritten(before, edits))
                asking.say(f"{tame(file)}: written", "")
                wrote = True
        except NotAsRead:
            asking.say(f"{tame(file)}: not written: it was changed since it was read", "")
        except OSError as error:
            raise CannotRun(f"{tame(file)}: {error.strerror}; not written") from error
    if not asking.can_write and not asking.ended:
        asking.say("nothing is written: nobody can be asked here; say `--yes` to agree", "")
    return wrote


def _edits_agreed_to(file: str, offers: Iterable[Offer], asking: Asking) -> list[Edit]:
    edits: list[Edit] = []
    for offer in offers:
        asking.say(f"{tame(file)}:{offer.edits[0].line}: {tame(offer.why)}")
        for edit in offer.edits:
            asking.say(*lines_changed(edit))
        if asking.can_write and asking.agrees(file):
            edits += offer.edits
        asking.say("")
    return edits


def lines_changed(edit: Edit) -> list[str]:
    """A changed line, old and new, with marks under what changed; and the lines put below it."""
    if edit.below:
        first = f"{edit.line:>5}   {tame(edit.new)}"
        return [first, *(f"      + {tame(row)}" for row in edit.below)]
    gone, come = _differing(edit.old, edit.new)
    lines = [f"{edit.line:>5} - {tame(edit.old)}", f"      + {tame(edit.new)}"]
    if come:
        lines.append("        " + marked(come))
    else:
        lines.insert(1, "        " + marked(gone))
    return lines


def _differing(old: str, new: str) -> tuple[list[int], list[int]]:
    """The places in an old line that are gone, and in a new line that were not there."""
    if len(old) == len(new):
        places = [i for i, (a, b) in enumerate(zip(old, new, strict=True)) if a != b]
        return places, places
    shorter = min(len(old), len(new))
    start = next((i for i in range(shorter) if old[i] != new[i]), shorter)
    same = 0
    while same < shorter - start and old[-1 - same] == new[-1 - same]:
        same += 1
    return list(range(start, len(old) - same)), list(range(start, len(new) - same))

"""What could be written into pages to make blocks hold: suggestions, nets empty or stale."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import Struct

from sitegen.block.blank import NETS, blanks
from sitegen.block.check import drawing_is_likelier
from sitegen.cube.textnet import compare, write_cross, write_face
from sitegen.pages.leaning import reached
from sitegen.pages.page_text import page_bytes, page_text
from sitegen.pages.reading import read_page
from sitegen.pages.rewrite import Edit, NotAsRead

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sitegen.block.blank import Blank
    from sitegen.block.replay import Replay
    from sitegen.made import Made
    from sitegen.pages.references import BlockKey, References
    from sitegen.problem import Problem

STALE: Final = frozenset({"before-mismatch", "after-mismatch"})
"""The rules whose problems a net written anew mends."""

DEEPER: Final = "  "
"""How much further than its key a net begins."""


class Offer(Struct, frozen=True):
    """A change to one block that its author may want.

    Attributes:
        key: the block.
        why: what is changed, in a few words.
        edits: the lines changed, in order.
    """

    key: BlockKey
    why: str
    edits: tuple[Edit, ...]


def suggestions(made: Made) -> Iterator[Offer]:
    """A change for each block whose moves are likely wrong, if its suggestions come to the same."""
    for key, errors in made.verdicts.errors.items():
        repairs = next((problem.repairs for problem in errors if problem.repairs), ())
        is_one = bool(repairs) and all(other.same for other in repairs[1:])
        if is_one and not drawing_is_likelier(made.blocks[key], errors):
            edits = tuple(Edit(c.line, c.old, c.new) for c in repairs[0].changes)
            yield Offer(key, repairs[0].slip, edits)


def nets(made: Made) -> Iterator[Offer]:
    """A change for each block that fails in nothing but empty or stale nets: these drawn anew."""
    failing = made.verdicts.errors
    for key, errors in failing.items():
        block, done = made.blocks[key], made.replays.get(key)
        if done is None or _leans_on_failing(key, failing, made.references):
            continue
        empty = blanks(block)
        blank = {at.line for places in empty.values() for at in places}
        if block.unread <= empty.keys() and all(p.rule in STALE or p.line in blank for p in errors):
            edits = sorted([*_fill_blanks(done, empty), *_redraw_stale(done)], key=lambda e: e.line)
            yield Offer(key, _what_is_redrawn(empty, errors), tuple(edits))


def empty_nets(made: Made) -> dict[BlockKey, tuple[Edit, ...]]:
    """The nets, and faces of nets, that are not drawn, filled in where a block's end is known.

    Other things may be wrong with the block; a net is what its moves give as they stand.
    """
    failing = made.verdicts.errors
    found = {}
    for key in failing:
        done = made.replays.get(key)
        if done is not None and not _leans_on_failing(key, failing, made.references):
            edits = sorted(_fill_blanks(done, blanks(made.blocks[key])), key=lambda e: e.line)
            if edits:
                found[key] = tuple(edits)
    return found


def as_judged(made: Made, file: str) -> bytes:
    """A page's bytes, if they are still those that were judged.

    Raises:
        NotAsRead: they are not those that were judged.
        OSError: they cannot be read.
    """
    data = page_bytes(made.folder.root, file)
    try:
        text = page_text(data)
    except UnicodeDecodeError as error:
        raise NotAsRead from error
    if read_page(file, text, made.settings)[0] != made.pages[file]:
        raise NotAsRead
    return data


def _leans_on_failing(
    key: BlockKey, failing: dict[BlockKey, list[Problem]], references: References
) -> bool:
    """Whether a block leans on one that fails, directly or through others."""

    def onward(one: BlockKey) -> list[BlockKey]:
        return references.leans_on(one) if one == key or one not in failing else []

    return any(one in failing for one in reached(key, onward, set()) if one != key)


def _fill_blanks(done: Replay, empty: dict[str, list[Blank]]) -> Iterator[Edit]:
    """The nets that are empty, as the moves give them."""
    scheme = done.block.scheme
    for key, position in (("before", done.before), ("after", done.after)):
        for blank in empty.get(key, ()):
            face = blank.face
            rows = write_face(position, scheme, face) if face else write_cross(position, scheme)
            yield Edit(blank.line, blank.own, blank.own, tuple(DEEPER + row for row in rows))


def _redraw_stale(done: Replay) -> Iterator[Edit]:
    """The rows of nets that show something else than the moves give, put right."""
    block = done.block
    for drawn, position in ((block.before, done.before), (block.after, done.after)):
        differing = compare(drawn.net, position, block.scheme) if drawn else None
        if drawn is None or differing is None:
            continue
        for row, new in zip(drawn.net.rows, differing.compared.found, strict=True):
            if row.line.text != new:
                line, _ = drawn.source.place(row.line.start)
                yield Edit(line, row.line.text.strip(), new.strip())


def _what_is_redrawn(empty: dict[str, list[Blank]], errors: Sequence[Problem]) -> str:
    """What is written anew, and a warning where it may be the moves that are wrong."""
    stale = {problem.rule.removesuffix("-mismatch") for problem in errors if problem.rule in STALE}
    words = [
        f"`{key}` is {'empty' if key in empty else 'stale'}"
        for key in NETS
        if key in {*empty, *stale}
    ]
    doubt = any(problem.repairs for problem in errors)
    hint = "; or a slip in the moves: `sitegen check` shows which" if doubt else ""
    return ", ".join(words) + hint

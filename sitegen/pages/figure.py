"""A replayed block as a figure: its pictures drawn, its moves and claims in words."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec.structs import replace

from sitegen.block.model import Spelt
from sitegen.block.progress import progress
from sitegen.block.show import Still, between, followed, views
from sitegen.cube.hold import FIRST
from sitegen.cube.scheme import in_words
from sitegen.draw.styles import STYLES
from sitegen.notation.count import count_turns
from sitegen.pages.meanings import Meanings
from sitegen.pages.prose import as_words
from sitegen.pages.remarks import remark
from sitegen.pages.site import Figure, Held, Marked, Moves, Phrase, Score, Shown
from sitegen.pages.way import LONGEST, run_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from sitegen.block.model import Block, Context
    from sitegen.block.replay import Replay
    from sitegen.block.show import View
    from sitegen.cube.hold import Hold
    from sitegen.cube.scheme import Scheme
    from sitegen.cube.turn import Turn
    from sitegen.pages.way import Run, Way
    from sitegen.said import Say


_FENCE: Final = re.compile(r"(`{3,}|~{3,}).*")


class Standpoint(NamedTuple):
    """Where a figure stands on its page, and what its reader knows by then.

    Attributes:
        anchor: its anchor on the page.
        number: 1 for the page's first figure.
        way: how the reader comes to where it begins.
        held: how the cube is held before its moves and after them; None where nobody can know.
        last: how the reader last held the cube; None where nobody has said.
        contexts: what each page gives its blocks, its named sequences among them.
        letters: print the colours' letters on the stickers.
        say: says the theme's texts in the page's language.
    """

    anchor: str
    number: int
    way: Way
    held: tuple[Hold, Hold] | None
    last: Hold | None
    contexts: Mapping[str, Context]
    letters: bool
    say: Say


def figure(done: Replay, at: Standpoint) -> Figure:
    """A replayed block, ready to be set."""
    block, own = done.block, done.block.moves
    draw, scheme = STYLES[block.show.style].draw, in_words(block.scheme, at.say)
    still = Still(done, letters=at.letters)

    def shown(view: View, moment: str) -> Shown:
        line = len(block.phrases) if view.line is None else view.line
        return Shown(moment, draw(view.picture, scheme, at.say), line)

    moments = {0: "before" if block.steps else "only", None: "after"}
    pictures = [shown(view, moments.get(view.line, "line")) for view in views(still)]
    setup, whole = _setup_moves(done, at), _whole_way(done, at)
    # who has been told nothing yet goes the whole way, which may begin at a net
    is_set_up = not at.way.from_net if whole and at.last is None else setup is not None
    setup_held, held, turned = _how_held(done, at, scheme.names, is_set_up=is_set_up)
    return Figure(
        id=at.anchor,
        number=at.number,
        title=block.title,
        n=block.n,
        fold=block.fold,
        setup_held=setup_held,
        setup=setup,
        whole=whole,
        whole_from_net=at.way.from_net,
        held=held,
        moves=_moves_to_set([run_of(own, block.file)], done, at) if own and own.steps else None,
        turned=turned,
        marked=tuple(Marked(mark.label, *followed(done, mark)) for mark in block.marks),
        before=tuple(picture for picture in pictures if picture.line == 0),
        after=tuple(picture for picture in pictures if picture.line),
        steps=tuple(shown(view, "line") for view in between(still)),
        score=_score_of(done, scheme),
        checked=tuple(remark(claim.said(), scheme) for claim in block.claims),
        impossible=block.impossible,
        source=as_written(block) if block.show.source else "",
    )


def as_written(block: Block) -> str:
    """A block's own text between its fence's marks, without the list or quote it stands in."""
    opened = _FENCE.search(block.head.text)
    first, mark = (opened[0], opened[1]) if opened else ("", "")
    written = f"{first}\n{block.source.text}\n{mark}"
    return written.replace("\0", "\ufffd")  # as CommonMark does elsewhere on the page (2.3)


def _setup_moves(done: Replay, at: Standpoint) -> Moves | None:
    """The moves of the block's own `from`."""
    start = done.block.start
    if not done.block.show.setup or not start or not isinstance(start.origin, Spelt):
        return None
    return _moves_to_set(at.way.runs, done, at) if at.way.runs else None


def _whole_way(done: Replay, at: Standpoint) -> Moves | None:
    """All moves through other blocks, where the block's own `from` does not say them."""
    way = at.way
    if not done.block.show.setup or not way.is_chain or not 0 < len(way.turns) <= LONGEST:
        return None
    whole = _moves_to_set(way.runs, done, at)
    # captions belong where the moves are taught
    return replace(whole, phrases=tuple(replace(one, caption="") for one in whole.phrases))


def _moves_to_set(runs: Iterable[Run], done: Replay, at: Standpoint) -> Moves:
    """Moves ready to be set, with what the named sequences and small letters in them stand for."""
    block = done.block
    phrases: list[Phrase] = []
    turns: list[Turn] = []
    meanings = Meanings()
    for run in runs:
        context = at.contexts[run.file]
        phrases += [Phrase(as_words(one.nodes), one.caption) for one in run.moves.phrases]
        turns += run.turns
        meanings.add(run.moves, context.sequences, context.lowercase)
    length = f"{count_turns(turns, block.n, block.metric)} {block.metric}"
    return Moves(tuple(phrases), length, meanings.all)


def _how_held(
    done: Replay, at: Standpoint, names: tuple[str, ...], *, is_set_up: bool
) -> tuple[Held | None, Held | None, Held | None]:
    """What to say of how the cube is held: for the set-up, before the moves, and after them."""
    if at.held is None:
        return None, None, None
    before, after = at.held

    def said(hold: Hold, last: Hold | None) -> Held | None:
        return Held(names[hold.up], names[hold.front]) if hold != last else None

    rotates = any(step.turn.is_rotation(done.block.n) for step in done.block.steps)
    return (
        said(FIRST, at.last) if is_set_up else None,
        said(before, FIRST if is_set_up else at.last),
        said(after, before) if rotates else None,
    )


def _score_of(done: Replay, scheme: Scheme) -> Score | None:
    found, names = progress(done), scheme.names
    if found is None:
        return None
    new = tuple((names[one], names[other]) for one, other in found.new)
    return Score(found.edges, new, found.orbits, found.centres)

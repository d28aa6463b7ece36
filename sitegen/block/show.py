"""Which pictures a block asks for, with their rings, focus and what changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.cube.address import write_sticker
from sitegen.cube.geometry import geometry
from sitegen.cube.measure import differing
from sitegen.cube.places import stickers_at
from sitegen.cube.position import Position
from sitegen.draw.picture import Picture, Ring
from sitegen.said import Plain

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from sitegen.block.model import Block, Mark
    from sitegen.block.moment import Moment
    from sitegen.block.replay import Replay
    from sitegen.cube.places import Place
    from sitegen.said import Value


MOST_STEPS: Final = 8
"""Phrases of moves that are drawn one by one where the author has not asked for it."""


class View(NamedTuple):
    """A picture of a block, and the moment it shows.

    Attributes:
        line: 0 before the moves; after so many phrases; None for the end.
        picture: what is to be drawn.
    """

    line: int | None
    picture: Picture


def views(still: Still) -> Iterator[View]:
    """The pictures that a block's `show` asks for, in order of time."""
    replay = still.replay
    block, show = replay.block, replay.block.show
    if not block.steps:  # one picture, whichever was asked for
        if show.before or show.after or show.steps:
            yield View(0, still.first(Plain("picture.only")))
        return
    if show.before:
        yield View(0, still.first(Plain("picture.before")))
    yield from _one_by_one(
        still, _lines_asked(block), lambda line: Plain("picture.line", {"line": line})
    )
    if show.after:
        yield View(None, still.later(Plain("picture.after"), replay.end, replay.before))


def between(still: Still) -> Iterator[View]:
    """The pictures after each phrase but the last, for who goes through them one by one.

    There are none where the block's `show` asks for them itself, or does not show both ends. They
    have no words: the phrases that they belong to say what happens.
    """
    return _one_by_one(still, _lines_between(still.replay.block), lambda _line: "")


def _one_by_one(
    still: Still, lines: Iterable[int], title: Callable[[int], Value]
) -> Iterator[View]:
    """The pictures after some phrases, each with what changed since the one before."""
    shown = still.replay.before
    for line in lines:
        moment = still.replay.moment(line)
        yield View(line, still.later(title(line), moment, shown))
        shown = moment.now


def _lines_asked(block: Block) -> range:
    """The phrases whose pictures `show` asks for one by one."""
    last = len(block.phrases) + (not block.show.after)
    return range(1, last) if block.show.steps else range(0)


def _lines_between(block: Block) -> range:
    """The phrases that are drawn for who goes through them one by one."""
    show, phrases = block.show, len(block.phrases)
    goes_through = show.before and show.after and not show.steps and 1 < phrases <= MOST_STEPS
    return range(1, phrases) if goes_through else range(0)


def stickers_drawn(block: Block) -> int:
    """How many stickers all pictures of a block draw.

    To ring a sticker counts as six, and to keep a word clear of it as one: so long do they take.
    """
    show = block.show
    if block.steps:
        pictures = show.before + show.after + len(_lines_asked(block)) + len(_lines_between(block))
    else:
        pictures = int(show.before or show.after or show.steps)
    solved = Position.solved(block.n)
    ringed = sum(len(mark.place.at(solved)) for mark in block.marks)
    words = sum(bool(mark.label) for mark in block.marks)
    return pictures * (geometry(block.n).count + ringed * (6 + words))


class Still:
    """Makes the pictures of one block: what is ringed and in focus is found once."""

    def __init__(self, replay: Replay, *, letters: bool) -> None:
        """Find what is ringed and in focus.

        Args:
            replay: the block, carried out.
            letters: print the colours' letters on the stickers.
        """
        block, before = replay.block, replay.before
        self.replay = replay
        self.letters = letters
        self.rings = [
            Ring(tuple(stickers), mark.label, _labelled(mark.place, stickers, before))
            for mark in block.marks
            if (stickers := sorted(mark.place.at(before)))
        ]
        self.focus: frozenset[int] | None = None
        if block.focus is not None:
            self.focus = stickers_at(block.focus, before)

    def first(self, title: Value) -> Picture:
        """The picture of the position before the moves."""
        return self._picture(title, self.replay.before, b"", lambda sticker: sticker)

    def later(self, title: Value, moment: Moment, earlier: Position) -> Picture:
        """The picture of a moment, with what changed since an earlier position."""
        return self._picture(title, moment.now, differing(earlier, moment.now), moment.motion.goal)

    def _picture(
        self, title: Value, now: Position, differ: bytes, goal: Callable[[int], int]
    ) -> Picture:
        """A picture of a position, into which each sticker comes from before by `goal`."""
        rings = tuple(
            Ring(tuple(sorted(map(goal, ring.stickers))), ring.label, goal(ring.at))
            for ring in self.rings
        )
        focus = None if self.focus is None else frozenset(map(goal, self.focus))
        if focus is not None:
            differ = bytes([one and place in focus for place, one in enumerate(differ)])
        return Picture(now.n, now.colours, title, differ, rings, focus, self.letters)


def _labelled(place: Place, stickers: list[int], before: Position) -> int:
    """The sticker that a mark's word is printed at: on the side, or of the colour, named first."""
    sticker, faces = place.sticker_at(before), geometry(before.n).faces
    if sticker >= 0:
        return sticker
    first = (
        s for s in stickers if faces[s] in place.faces[:1] or before.colours[s] in place.colours[:1]
    )
    return next(first, stickers[0])


def followed(replay: Replay, mark: Mark) -> tuple[str, str]:
    """Where a mark is before the moves, and where they carry it; "" where no one place can be."""
    sticker = mark.place.sticker_at(replay.before)
    n = replay.block.n
    if sticker < 0:
        return mark.place.text, _edge_after(replay, mark.place)
    if not replay.block.steps:
        return write_sticker(sticker, n), ""
    return write_sticker(sticker, n), write_sticker(replay.motion.goal(sticker), n)


def _edge_after(replay: Replay, place: Place) -> str:
    """The edge that a whole edge is carried to, its named side first; "" where it is taken apart.

    A piece with one sticker on each of two sides is of the edge between them.
    """
    if place.kind != "edge" or place.colours or not replay.block.steps:
        return ""
    faces, goal = geometry(replay.block.n).faces, replay.motion.goal
    sides = [{faces[goal(s)] for s in place.stickers if faces[s] == side} for side in place.faces]
    return "".join(map("".join, sides)) if all(len(side) == 1 for side in sides) else ""

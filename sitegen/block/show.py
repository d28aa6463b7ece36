"""Which pictures a block asks for, with their rings, focus and what changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.cube.address import write_sticker
from sitegen.cube.measure import differing
from sitegen.draw.picture import Picture, Ring

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from sitegen.block.model import Mark
    from sitegen.block.replay import Replay
    from sitegen.cube.position import Motion, Position


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


def views(replay: Replay, letters: bool) -> Iterator[View]:
    """The pictures that a block's `show` asks for, in order of time.

    Args:
        replay: the block carried out.
        letters: print the colours' letters on the stickers.
    """
    block = replay.block
    show, moves = block.show, block.moves
    still = Still(replay, letters)
    if not block.steps:  # one picture, whichever was asked for
        if show.before or show.after or show.steps:
            yield View(0, still.picture("The position", replay.before, None, None))
        return
    if show.before:
        yield View(0, still.picture("Before the moves", replay.before, None, None))
    phrases = len(moves.phrases) if moves else 0
    if show.steps:
        shown = replay.before
        for line in range(1, phrases if show.after else phrases + 1):
            moment = replay.moment(line)
            title = f"After line {line}"
            yield View(line, still.picture(title, moment.now, shown, moment.motion))
            shown = moment.now
    if show.after:
        yield View(
            None, still.picture("After the moves", replay.after, replay.before, replay.motion)
        )


def between(replay: Replay, letters: bool) -> Iterator[View]:
    """The pictures after each phrase but the last, for who goes through them one by one.

    There are none where the block's `show` asks for them itself, or does not show both ends. They
    have no words: the phrases that they belong to say what happens.
    """
    block, moves = replay.block, replay.block.moves
    show = block.show
    if not (moves and show.before and show.after) or show.steps:
        return
    if not 1 < len(moves.phrases) <= MOST_STEPS:
        return
    still, shown = Still(replay, letters), replay.before
    for line in range(1, len(moves.phrases)):
        moment = replay.moment(line)
        yield View(line, still.picture("", moment.now, shown, moment.motion))
        shown = moment.now


class Still:
    """Makes the pictures of one block: what is ringed and in focus is found once."""

    def __init__(self, replay: Replay, letters: bool) -> None:
        block, before = replay.block, replay.before
        self.letters = letters
        self.marks = [(mark, sorted(mark.place.at(before))) for mark in block.marks]
        self.at = [mark.place.sticker_at(before) for mark in block.marks]
        self.focus: frozenset[int] | None = None
        if block.focus is not None:
            self.focus = frozenset(s for place in block.focus for s in place.at(before))

    def picture(
        self, title: str, now: Position, earlier: Position | None, motion: Motion | None
    ) -> Picture:
        """A picture; stickers are followed from before through the motion, where there is one."""
        goal: Callable[[int], int] = motion.goal if motion else int
        rings = tuple(
            Ring(
                tuple(sorted(map(goal, stickers))),
                mark.label,
                goal(at if at >= 0 else stickers[0]),
            )
            for (mark, stickers), at in zip(self.marks, self.at, strict=True)
            if stickers
        )
        focus = None if self.focus is None else frozenset(map(goal, self.focus))
        differ = differing(earlier, now) if earlier else b""
        if focus is not None:
            differ = bytes([one and place in focus for place, one in enumerate(differ)])
        return Picture(now.n, now.colours, title, differ, rings, focus, self.letters)


def followed(replay: Replay, mark: Mark) -> tuple[str, str]:
    """Where a mark is before the moves, and where they carry it; "" where no one place can be."""
    sticker = mark.place.sticker_at(replay.before)
    n = replay.block.n
    if sticker < 0:
        return mark.place.text, ""
    if not replay.block.steps:
        return write_sticker(sticker, n), ""
    return write_sticker(sticker, n), write_sticker(replay.motion.goal(sticker), n)

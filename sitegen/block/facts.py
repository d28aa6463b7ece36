"""FACTS: what a code span `#id turns` may ask of a block, so that prose cannot fall out of step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.cube.classes import read_wings
from sitegen.cube.measure import changed, complete_edges, order_of
from sitegen.cube.parity import parity, read_permuted
from sitegen.notation.count import METRICS, count_turns
from sitegen.notation.write import write_nodes
from sitegen.problem import Wrong
from sitegen.said import Plain

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from sitegen.block.replay import Replay
    from sitegen.cube.position import Position
    from sitegen.said import Value


_AT_FIRST: Final = "at first"


class Unanswered(Wrong):
    """A fact that the position does not have: of a block that fails, it may have it once mended."""


class Fact(NamedTuple):
    """A fact that prose may ask for.

    Attributes:
        shape: what is written after the block's id.
        meaning: what stands there in its place.
        answer: what is to be said; raises `Wrong`, `bad-value`, for words it does not know.
        is_moves: what stands there is moves, and is set as such.
    """

    shape: str
    meaning: str
    answer: Callable[[Replay, Sequence[str]], Value]
    is_moves: bool = False


def words_of(asked: str) -> tuple[str, ...]:
    """The words of a question to a block: the fact's name comes first, the moment last."""
    moment, *words = asked.split()
    if moment == "at" and words[:1] == ["first"] and len(words) > 1:
        return (*words[1:], _AT_FIRST)
    return (moment, *words)


def _position_asked(replay: Replay, words: Sequence[str]) -> tuple[Position, Sequence[str]]:
    """The position that words ask of, and the words without its moment."""
    if words and words[-1] == _AT_FIRST:
        return replay.before, words[:-1]
    return replay.after, words


def _turns(replay: Replay, words: Sequence[str]) -> str:
    metric = words[0] if words else replay.block.metric
    if metric not in METRICS or len(words) > 1:
        raise Wrong(
            "bad-value", f"turns are counted in {', '.join(METRICS)}, not `{' '.join(words)}`"
        )
    turns = [step.turn for step in replay.block.steps]
    return str(count_turns(turns, replay.block.n, metric))


def _paired(replay: Replay, words: Sequence[str]) -> str:
    if replay.block.n == 2:
        raise Wrong("bad-value", "a 2x2 has no edges to pair")
    position, words = _position_asked(replay, words)
    layer = 0
    if list(words[:2]) == ["in", "wings"]:
        layer = read_wings(" ".join(words[2:]), replay.block.n, "bad-value", (0, 0))
    elif words:
        raise Wrong("bad-value", f"`paired` may go on with `in wings 2`, not `{' '.join(words)}`")
    return str(len(complete_edges(position, layer)))


def _order(replay: Replay, words: Sequence[str]) -> str:
    _no_more("order", words)
    return str(order_of(replay.motion))


def _changed(replay: Replay, words: Sequence[str]) -> str:
    _no_more("changed", words)
    return str(len(changed(replay.before, replay.after)))


def _cube(replay: Replay, words: Sequence[str]) -> str:
    _no_more("cube", words)
    return f"{replay.block.n}x{replay.block.n}"


def _moves(replay: Replay, words: Sequence[str]) -> str:
    _no_more("moves", words)
    return " ".join(write_nodes(phrase.nodes) for phrase in replay.block.phrases)


def _parity(replay: Replay, words: Sequence[str]) -> Value:
    position, words = _position_asked(replay, words)
    what = " ".join(words)
    permuted = read_permuted(what, replay.block.n, "bad-value")
    if permuted is None:
        message = "`parity` goes on with `corners`, `middles`, `edges` or `wings 2`"
        raise Wrong("bad-value", message + (f", not `{what}`" if what else ""))
    odd = parity(position, *permuted)
    if odd is None:
        raise Unanswered("bad-value", f"`{what}` have no parity in this position")
    return Plain("facts.odd" if odd else "facts.even")


def _no_more(name: str, words: Sequence[str]) -> None:
    if words:
        raise Wrong("bad-value", f"nothing stands after `{name}`, not `{' '.join(words)}`")


FACTS: Final = {
    fact.shape.split()[0]: fact
    for fact in (
        Fact(
            "turns METRIC",
            "how long the moves are; in the site's metric, if none is named",
            _turns,
        ),
        Fact(
            "paired in wings NUMBER",
            "how many edges are complete after the moves, or before them: `at first paired`; "
            "`in wings` may be left out",
            _paired,
        ),
        Fact("order", "how often the moves must be repeated to do nothing", _order),
        Fact("changed", "how many stickers show another colour after the moves", _changed),
        Fact(
            "parity wings NUMBER",
            "`odd` or `even`, after the moves, or before them: `at first parity`; also of "
            "`corners`, `middles`, `edges`",
            _parity,
        ),
        Fact("cube", "the block's cube: `5x5`", _cube),
        Fact("moves", "the moves, on one line", _moves, is_moves=True),
    )
}
"""Every fact, by its first word, in the order of the reference page."""

"""What the prose asks of blocks, answered; and what is wrong with the asking."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.block.facts import FACTS, Unanswered
from sitegen.pages.page_names import Near, candidates, page_asked
from sitegen.pages.references import look_for_page, no_block
from sitegen.problem import Wrong
from sitegen.wording import meant_or_known

if TYPE_CHECKING:
    from collections.abc import Container, Iterator

    from sitegen.made import Made
    from sitegen.pages.prose import FactAsked
    from sitegen.pages.references import BlockKey
    from sitegen.problem import Problem
    from sitegen.said import Value


def fact_problems(made: Made, unjudged: Container[BlockKey]) -> Iterator[Problem]:
    """Problems of facts: asked of a block that is not there, or unknown to every block.

    Args:
        made: pages with their blocks, replayed.
        unjudged: the blocks that fail or wait: a fact may have an answer once these are mended.
    """
    some = candidates(made.folder.page_set)
    for file, page_said in made.said.items():
        near = Near(file, some, made.by_former_address)
        for span, said in zip(made.pages[file].spans, page_said, strict=True):
            if said.asked is None:
                continue
            try:
                _see_answerable(made, file, said.asked, unjudged, near)
            except Wrong as wrong:
                yield span.problem(Wrong(wrong.rule, wrong.message, 0, len(span.text)))


def answer(made: Made, file: str, asked: FactAsked) -> Value | None:
    """What a fact comes to; None where it has no answer.

    Args:
        made: pages with their blocks, replayed.
        file: the page that asks.
        asked: the fact.
    """
    key = _block_asked(made, file, asked)
    if key is None or key not in made.replays:
        return None
    try:
        return _fact(made, key, asked)
    except Wrong:  # told among the page's problems
        return None


def _see_answerable(
    made: Made, file: str, asked: FactAsked, unjudged: Container[BlockKey], near: Near
) -> None:
    """See that a fact has an answer, or may have one once the block that it is asked of is mended.

    Raises:
        Wrong: `reference` where there is no such block; `bad-value` where there is no such fact.
    """
    key = _block_asked(made, file, asked)
    if key in made.replays:
        try:
            _fact(made, key, asked)
        except Unanswered:
            if key not in unjudged:
                raise
    elif key is None and asked.words[0] in FACTS:
        target = look_for_page(file, asked.page, made.folder.page_set, near)
        if target not in made.pages or asked.id in made.pages[target].swallowed:
            return
        ids = made.pages[target].numbers
        raise Wrong("reference", no_block(asked.id, "" if target == file else target, ids))


def _block_asked(made: Made, file: str, asked: FactAsked) -> BlockKey | None:
    """The block that a fact is asked of; None where there is none, as for `#fff is grey`."""
    target = page_asked(file, asked.page)
    page = made.pages.get(target)
    number = page.numbers.get(asked.id) if page else None
    return None if number is None else (target, number)


def _fact(made: Made, key: BlockKey, asked: FactAsked) -> Value:
    """What a block that was replayed answers; worked out once, however often it is asked.

    Raises:
        Wrong: `bad-value` for a fact, or words after it, that nobody knows.
    """
    if asked.words[0] not in FACTS:
        hint = meant_or_known(asked.words[0], FACTS, "facts are")
        raise Wrong("bad-value", f"`{asked.words[0]}` is no fact of a block; {hint}")
    question = key, asked.words
    if question not in made.answers:
        made.answers[question] = FACTS[asked.words[0]].answer(made.replays[key], asked.words[1:])
    return made.answers[question]

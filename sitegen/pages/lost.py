"""What readers would not see as it was meant: blocks printed as text, cells and notes left out.

Markdown takes every text for something, so a mark too many or a space too few is no error to it.
"""

from __future__ import annotations

import re
from collections import Counter
from itertools import islice
from typing import TYPE_CHECKING, Final, NamedTuple

from sitegen.block.keys import ANY_KEY, KEYS
from sitegen.block.misplaced import FILLED
from sitegen.pages.comments import CLOSES, IN_ANOTHER, OPENS, closes, opened, within
from sitegen.pages.markdown import BOXES, NO_NOTE
from sitegen.pages.page import BLOCK_ID
from sitegen.pages.region import inside, rows_of
from sitegen.problem import Problem, Source, Wrong
from sitegen.wording import meant

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Iterator, Sequence

    from markdown_it.token import Token

    from sitegen.pages.region import Region

_HEAD: Final = re.compile(r"^ {0,3}(`{3,}|~{3,})[ \t]*moves\b.*", re.MULTILINE)
"""The first line of a block."""

_GOES_ON: Final = re.compile(r" {0,3}</?(?!pre\b)[a-z]", re.IGNORECASE)
"""HTML that ends at a blank line. In a comment or in `pre` a block is meant to be none."""

_OTHER_MARKS: Final = re.compile(
    r"^(?:[ \t>]|[^\w\s](?=\s)|\d{1,9}[.)](?=\s))*+([^\S\n]*[^\w\s]{2,}[^\S\n]*moves\b)"
    rf"[^\n]*\n[^\w\n]*(?:{ANY_KEY})[ \t]*:",
    re.MULTILINE,
)
"""The beginning of what is a block but for the marks before its first word."""

_GOES_BEFORE: Final = re.compile(r"[ \t>]*+(?!(?:`{3,}|~{3,})[ \t]*$)\S", re.MULTILINE)
"""A line with something in it that ends no fence."""

_MOST_ABOVE: Final = 100
"""How many lines above a fence are looked at: there may be fences in all of a page's lines."""

_TITLE: Final = r"""(?:"[^"]*"|'[^']*'|\([^()]*\))\s*+"""
_LINK_TEXT: Final = re.compile(
    rf"\[[^\[\]]*\](?=\((?:<|\s*+[^\s()]*+(?:[()]|\s++(?:{_TITLE})?\))))"
)
"""What would be the text of a link if no footnote, which is a link as well, were called in it."""

_HEADING: Final = re.compile(r"^#{1,6}[ \t]+(.*)", re.MULTILINE)
_IN_NO_VALUE: Final = re.compile(r"^(?=\S)(?![A-Za-z-]+:).*\[\^.*", re.MULTILINE)
_NOTE: Final = re.compile(r"\[\^[^\[\]\s]+\]")

_SPACED: Final = re.compile(
    r"""\]\((?<!\\\]\()(([^\s()<>"'\\#]++(?: [^\s()<>"'\\#]++)++)(?:#[^\s()<>"'\\]*+)?)\)"""
)
"""The end of what would be a link or a picture if there were no spaces in its address: that whole,
and without its anchor. A pattern that begins with plain signs is looked for much faster."""

_NAMES_FILE: Final = re.compile(r"\.(?=[0-9]*[A-Za-z])[A-Za-z0-9]{2,5}\Z")
"""How the name of a file ends; `1.25` is a number."""

_KEY: Final = re.compile(rf"^[ \t>]*((?:{ANY_KEY})[ \t]*:.*)", re.MULTILINE)


_SHOWN: Final = frozenset({"text", "txt", "plaintext", "yaml", "yml", "markdown", "md"})
"""What a fence begins with that shows a block's text, or what looks like it."""


class _Call(NamedTuple):
    """A footnote that is called.

    Attributes:
        text: the call as written.
        is_defined: whether it is there.
        in_picture: whether it is called in the text of a picture.
    """

    text: str
    is_defined: bool
    in_picture: bool


def block_in_text(source: Source, begin: int, end: int) -> Iterator[Problem]:
    """A block whose marks were made into others, or have an unseen sign before them."""
    found = _OTHER_MARKS.search(source.text, begin, end)
    if found:
        message = (
            "this is printed as text: a block begins with three backticks or tildes, bare at the "
            "beginning of its line"
        )
        yield _near(source, message, *found.span(1))


def lost_in_html(token: Token, source: Source) -> Iterator[Problem]:
    """A block that raw HTML above it takes in, or all that is below a comment."""
    first, _ = rows_of(token)
    is_comment = token.content.lstrip().startswith(OPENS)
    if is_comment and CLOSES not in token.content:
        message = "nothing ends this comment, so that all below it would be lost; end it with `-->`"
        place = source.text.find(OPENS, source.starts[first])
        yield Problem.at(source, Wrong("bad-value", message, place, place + len(OPENS)))
    elif is_comment:
        yield from comment_in_another(token, source)
    if _GOES_ON.match(token.content) and (lost := _HEAD.search(token.content)):
        row = first + token.content.count("\n", 0, lost.start())
        message = (
            "this is printed as it stands, for HTML goes on to the next blank line; leave a line "
            "blank above the block, and below it"
        )
        yield _near(source, message, source.starts[row], source.starts[row + 1] - 1)


def block_set_in(token: Token, source: Source) -> Iterator[Problem]:
    """A block that stands too far to the right to be one.

    Where nothing stands around it, it is meant to be seen, if its first line is not alone.
    """
    found = _HEAD.match(token.content.lstrip(" "))
    if found and (token.level or "\n" not in token.content.strip()):
        message = (
            "this is printed as it stands, for it is indented by four spaces more than what it "
            "stands in asks for; take these out"
        )
        place = source.text.find(found[1], source.starts[rows_of(token)[0]])
        yield _near(source, message, place, place + len(found[0]))


def block_in_code(token: Token, source: Source, head: Source) -> Iterator[Problem]:
    """A block in a fence of another kind: that is nearly one, or goes on further than it should.

    Or one above it, without a first line: the fence then begins where that block was to end.
    """
    kind = next(iter(token.info.split()), "")
    if not kind and (keys := _keys_above(token, source)):
        message = (
            "this is printed as text: no block begins above these keys, so that line "
            f"{head.lines[0]} begins a fence and ends none; write a line of three backticks or "
            "tildes and the word `moves` above them"
        )
        yield _near(source, message, *keys[0].span(1))
    elif begins := _nearly_begun(kind, token.content):
        message = (
            f"this fence is printed as it stands{begins}, not with `{kind}`; mend it, or begin it "
            "with `text`"
        )
        start = max(0, head.text.find(kind))  # not there where it is written in entities
        yield _near(head, message, start, start + len(kind))
    elif kind not in _SHOWN and _is_all_keys(token.content):
        first = f"moves {kind}" if BLOCK_ID.fullmatch(kind) else "moves"
        message = (
            "this fence is printed as it stands, and holds the keys of a block: that begins with "
            f"`{first}`; write it so, or begin it with `text`"
        )
        yield _near(head, message, *head.filled)
    elif (lost := _HEAD.search(token.content)) and (
        lost[1].startswith(token.markup) or not _is_closed(token, source)
    ):
        message = (
            f"this is printed as it stands: the fence in line {head.lines[0]} is not closed above "
            "it; close that one, take it out, or begin it with more marks than this"
        )
        yield _near(inside(token, source), message, *lost.span())


def rest_of_fence(token: Token, source: Source, rule: str) -> Iterator[Problem]:
    """What a fence would hold if it did not end with the list or the quote that it stands in."""
    line = FILLED.search(source.text, source.starts[rows_of(token)[1]])
    if line and not _is_closed(token, source):
        message = (
            "the fence above is not closed, and ends here with the list or quote that it stands "
            "in; begin all of its lines, the closing marks too, as its first: indented as far, or "
            "behind `>`"
        )
        yield Problem.at(source, Wrong(rule, message, *line.span()))


def rest_of_box(
    token: Token, inner: Sequence[Token], held: Source, head: Source
) -> Iterator[Problem]:
    """What a box would hold if its marks were not those of the fence in it.

    Args:
        token: the box.
        inner: what it holds.
        held: the same, as it is written.
        head: the box's first line.
    """
    if inner and inner[-1].type == "fence" and not _is_closed(inner[-1], held):
        box = f"this `{token.info.split()[0]}`"
        message = (
            f"the last fence in {box} is not closed; close it above the marks that end the box"
            if token.markup.startswith(inner[-1].markup) and token.markup != inner[-1].markup
            else f"{box} ends with the marks of the fence that it holds; close it above that one, "
            "or begin and end it with more marks: four, where that has three"
        )
        yield Problem.at(head, Wrong("bad-value", message, *head.filled))


def behind_box(token: Token, head: Source) -> Iterator[Problem]:
    """Words behind the one that makes a fence a box."""
    kind, *more = token.info.split()
    if more:
        rest = head.part(head.text.find(kind) + len(kind), len(head.text))
        message = (
            f"what stands behind `{kind}` would not be printed; write it on a line of its own in "
            "the box"
        )
        yield Problem.at(rest, Wrong("bad-value", message, *rest.filled))


def cells_past_the_head(
    held: Sequence[tuple[int, int]], columns: int, source: Source
) -> Iterator[Problem]:
    """Cells of a table's row past those that are printed.

    Args:
        held: where each of the row's cells begins and ends.
        columns: how many are printed.
        source: what they stand in.
    """
    past = held[columns + (not source.text[slice(*held[0])].strip()) :]
    lost = [place for place in past if source.text[slice(*place)].strip()]
    if lost:
        part = source.part(lost[0][0], lost[-1][1])
        message = (
            "this row has more cells than the head of its table, and what is past them would not "
            "be printed; give the head as many, or write `\\|` for a bar inside a cell"
        )
        yield Problem.at(part, Wrong("limit", message, *part.filled))


def headings_lost_in(block: str) -> list[str]:
    """The headings below a block that it took in, for it is not closed above them.

    At its left edge stand keys alone, so that these lines are told, as are those with footnotes.
    """
    return _HEADING.findall(block) if "#" in block else []


def footnotes_lost_in(block: str) -> list[str]:
    """The footnotes called or defined below a block that it took in."""
    return _NOTE.findall("\n".join(_IN_NO_VALUE.findall(block))) if "[^" in block else []


def lost_in_prose(token: Token, region: Region, in_unclosed: Container[str]) -> Iterator[Problem]:
    """Comments, links and footnotes of a paragraph that readers would see as they are typed.

    Args:
        token: the paragraph's text.
        region: where it stands.
        in_unclosed: footnotes that may be defined in blocks that are not closed above them.
    """
    children = token.children or ()
    if OPENS in token.content:
        if any(OPENS in text for text in _texts(children)):  # not in an address or a title alone
            yield from _open_comments(region)
        if any(child.type == IN_ANOTHER for child in children):
            yield from _comments_in_others(region)
    if "[^" in token.content:
        yield from _calls_amiss(children, region, in_unclosed)
    if "](" in token.content:
        yield from _spaced_addresses(token.content, children, region)


def _open_comments(region: Region) -> Iterator[Problem]:
    """Comments that would be printed, for nothing ends them."""
    for place in region.open_comments():
        message = (
            "no `-->` ends this comment in its paragraph, so that it would be printed; end it "
            "there, or, if it holds blank lines, leave one above it and let nothing stand before "
            "its `<!--` or behind its `-->`; `\\<!--` is printed as it is"
        )
        yield Problem.at(region.source, Wrong("bad-value", message, place, place + len(OPENS)))


def _texts(children: Iterable[Token]) -> Iterator[str]:
    """What is printed of a paragraph as it stands, and said of its pictures."""
    for child in children:
        if child.type == "text":
            yield child.content
        elif child.type == "image":
            yield from _texts(child.children or ())


def comment_in_another(token: Token, source: Source) -> Iterator[Problem]:
    """A comment of whole lines in which another seems to begin."""
    first, after = rows_of(token)
    begin = source.text.find(OPENS, source.starts[first])
    over = closes(source.text, begin, source.starts[after])
    for place in islice(opened(source.text, *within(begin, over)), 1):
        yield _begun_in_another(source, place)


def _comments_in_others(region: Region) -> Iterator[Problem]:
    """Comments of a paragraph in which others seem to begin."""
    for place in region.comments_in_comments():
        yield _begun_in_another(region.source, place)


def _begun_in_another(source: Source, place: int) -> Problem:
    message = (
        "the comment before this one is not ended, so that what stands between them would be "
        "lost; end it with `-->`, or take this `<!--` out, or write a backslash before it"
    )
    return Problem.at(source, Wrong("bad-value", message, place, place + len(OPENS)))


def _spaced_addresses(content: str, children: Sequence[Token], region: Region) -> Iterator[Problem]:
    """Links and pictures that are none, for there are spaces in the names of their files.

    Args:
        content: the text of a paragraph.
        children: what stands in it.
        region: where it stands.
    """
    if not any(_spaced(content)):
        return  # as in nearly every paragraph
    texts = (child.content for child in children if child.type == "text")
    printed = {found[0] for text in texts for found in _spaced(text)}
    for found in _spaced(region.source.text, region.start, region.end):
        if found[0] in printed and region.is_read(found.start()):
            message = (
                "this is printed as it stands, for a space ends the address of a link or a "
                f"picture; write `%20` for each: `{found[1].replace(' ', '%20')}`"
            )
            yield Problem.at(region.source, Wrong("link", message, *found.span(1)))


def _spaced(text: str, *within: int) -> Iterator[re.Match[str]]:
    """The ends of what would be links to files but for spaces."""
    return (found for found in _SPACED.finditer(text, *within) if _NAMES_FILE.search(found[2]))


def _calls_amiss(
    children: Sequence[Token], region: Region, in_unclosed: Container[str]
) -> Iterator[Problem]:
    """Footnotes called where that is no way to them and back, or defined nowhere.

    Args:
        children: what stands in a paragraph.
        region: where it stands.
        in_unclosed: those that may be defined in blocks that are not closed above them.
    """
    calls = [*_calls(children)]
    marks = "".join(map(_in_marks, children))
    linked = {place for one in _LINK_TEXT.finditer(marks) for place in range(*one.span())}
    came: Counter[str] = Counter()
    for called, mark in zip(calls, re.finditer("\0", marks), strict=True):
        call, message = called.text, ""
        if called.in_picture:
            message = (
                f"the text of a picture calls no footnote, for nothing leads back to it; call "
                f"`{call}` behind the picture"
            )
        elif mark.start() in linked:
            message = (
                f"this would be printed as it stands, for the text of a link calls no footnote; "
                f"call `{call}` behind the link"
            )
        elif not called.is_defined and not came[call] and call not in in_unclosed:
            start = region.call(call, 0)
            begins = region.source.text[max(0, start - 1) : start] in ("", "\n")
            defines = "it is defined with a colon" if begins else "define it on a line of its own"
            message = (
                f"no footnote `{call}` is defined; {defines}, `{call}: ...`, "
                f"or write `\\{call}` to have it printed as it is"
            )
        if message:
            place = region.call(call, came[call])
            yield Problem.at(region.source, Wrong("link", message, place, place + len(call)))
        came[call] += 1


def _calls(children: Iterable[Token], *, in_picture: bool = False) -> Iterator[_Call]:
    """The footnotes called in a paragraph, in order."""
    for child in children:
        if child.type == "image":
            yield from _calls(child.children or (), in_picture=True)
        elif child.type == NO_NOTE:
            yield _Call(child.content, is_defined=False, in_picture=in_picture)
        elif child.type == "footnote_ref":
            yield _Call(f"[^{child.meta['label']}]", is_defined=True, in_picture=in_picture)


def _in_marks(child: Token) -> str:
    """Text as it is, with a mark for each footnote called in it, and `(<` where a link begins."""
    if child.type == "link_open":
        return "(<"
    return child.content if child.type == "text" else "\0" * len([*_calls([child])])


def unprinted_note(token: Token, source: Source) -> Iterator[Problem]:
    """A footnote that nothing calls, or that is defined again, with all that it holds."""
    first, _ = rows_of(token)
    line, end = source.starts[first : first + 2]
    place = max(line, source.text.find(token.content, line, end))
    message = (
        f"the footnote `{token.content}` is defined again further down, so that what stands here "
        "would not be printed; give it a name of its own"
        if token.meta["called"]
        else f"nothing calls the footnote `{token.content}`, so that it would not be printed; "
        f"write `{token.content}` where it belongs, or take it out"
    )
    yield Problem.at(source, Wrong("link", message, place, place + len(token.content)))


def _near(source: Source, message: str, start: int, end: int) -> Problem:
    return Problem.at(source, Wrong("near-moves", message, start, end))


def _is_closed(token: Token, source: Source) -> bool:
    """Whether a fence ends with its own marks, and not with what it stands in."""
    first, after = rows_of(token)
    last = source.text[source.starts[after - 1] : source.starts[after] - 1]
    return after - first > 1 and last.rstrip().endswith(token.markup)


def _keys_above(token: Token, source: Source) -> list[re.Match[str]]:
    """The lines right above a fence that begin with a key, if they are those of a block.

    Of a fence that is closed two are asked for: `before:` may well lead to an example.
    """
    row, _ = rows_of(token)
    first = row
    least = max(0, row - _MOST_ABOVE)
    while first > least and _GOES_BEFORE.match(source.text, source.starts[first - 1]):
        first -= 1
    begin, end = source.starts[first], source.starts[row]
    if _OTHER_MARKS.search(source.text, begin, end):  # which is told already
        return []
    keys = [*_KEY.finditer(source.text, begin, end)]
    return keys if len(keys) > _is_closed(token, source) else []


def _is_all_keys(held: str) -> bool:
    """Whether what stands in a fence is a block: keys with their values, `moves` among them."""
    keys = [line.partition(":")[0] for line in held.split("\n") if line[:1].strip()]
    return len(keys) > 1 and "moves" in keys and all(key in KEYS for key in keys)


def _nearly_begun(kind: str, held: str) -> str:
    """How what a fence was probably meant to be begins: a block, or a box with one; "" if neither.

    Args:
        kind: the word that the fence begins with.
        held: what stands in it.
    """
    letters = re.sub(r"[^a-z]", "", re.sub(r"\b(moves)[\W_].*", r"\1", kind.lower()))
    if meant(letters, ["moves"], 0.8) and any(
        line.partition(":")[0] in KEYS for line in held.split("\n") if ":" in line
    ):
        return ": a block begins with the word `moves`"
    box = meant(re.sub(r"\W", "", kind), BOXES, 0.75)
    if box and _HEAD.search(held):
        return f", with the block in it: a box begins with the word `{box}`"
    return ""

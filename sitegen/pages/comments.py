"""Comments in a page: what its authors say to one another is neither published nor judged."""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

    from markdown_it import MarkdownIt
    from markdown_it.rules_block import StateBlock
    from markdown_it.rules_core import StateCore
    from markdown_it.rules_inline import StateInline
    from markdown_it.token import Token
    from markdown_it.utils import EnvType

OPENS: Final = "<!--"
CLOSES: Final = "-->"

IN_ANOTHER: Final = "comment_in_another"
"""The type of the token of a comment in which another seems to begin."""

_OPENED: Final = re.compile(rf"(?<!\\)(?:\\\\)*+({OPENS})")
"""What may begin a comment. Behind an odd number of backslashes it is text."""

_SOUGHT: Final = "comment_sought"
"""Where it was last looked for the end of a comment: in what text, from where, what was found."""


def leave_out_comments(reader: MarkdownIt) -> None:
    """Have a reader pass over comments, in place of the HTML that it does not let through."""
    # it interrupts no paragraph: whether it ends within the quote around that is not known then
    reader.block.ruler.at("html_block", _lines, {"alt": []})
    reader.inline.ruler.at("html_inline", _in_line)
    reader.add_render_rule(IN_ANOTHER, lambda *_asked: "")
    reader.core.ruler.after("text_join", "comments", _without_blanks)


def opened(text: str, start: int, end: int) -> Iterator[int]:
    """Where comments begin, those that nothing ends among them."""
    return (one.start(1) for one in _OPENED.finditer(text, start, end))


def closes(text: str, opened: int, end: int) -> int:
    """Where a comment is over that opens at a place; -1 if nothing closes it.

    `<!-->` is one (CommonMark 0.31, 6.6).
    """
    found = text.find(CLOSES, opened + 2, end)
    return -1 if found < 0 else found + len(CLOSES)


def _closes(env: EnvType, text: str, opened: int) -> int:
    """As `closes`; a text is gone through once, however many marks open a comment in it."""
    last: tuple[str, int, int] = env.get(_SOUGHT, ("", 0, 0))
    sought, begin, found = last
    if sought is not text or not begin <= opened or -1 < found < opened + 2 + len(CLOSES):
        found = closes(text, opened, len(text))
        env[_SOUGHT] = text, opened, found
    return found


def within(opened: int, over: int) -> tuple[int, int]:
    """Where the text of a comment begins and ends; it may share its last mark: `<!-- a <!-->`."""
    return opened + len(OPENS), over - len(CLOSES)


def _holds_another(text: str, opened: int, over: int) -> bool:
    return text.find(OPENS, *within(opened, over)) >= 0


def _lines(state: StateBlock, first: int, last: int, silent: bool) -> bool:  # noqa: ARG001
    """A comment that opens a line and closes one, with whatever lines there are between."""
    opened = state.bMarks[first] + state.tShift[first]
    if not state.src.startswith(OPENS, opened) or state.is_code_block(first):
        return False
    over = _closes(state.env, state.src, opened)
    line = bisect_right(state.bMarks, over - 1, first, last) - 1
    if over < 0 or over > state.eMarks[line] or state.src[over : state.eMarks[line]].strip():
        return False
    state.line = line + 1
    if _holds_another(state.src, opened, over):
        state.push(IN_ANOTHER, "", 0).map = [first, state.line]
    return True


def _in_line(state: StateInline, silent: bool) -> bool:
    """A comment in a paragraph."""
    if not state.src.startswith(OPENS, state.pos):
        return False
    over = _closes(state.env, state.src, state.pos)
    if not 0 <= over <= state.posMax:
        return False
    if not silent and _holds_another(state.src, state.pos, over):
        state.push(IN_ANOTHER, "", 0)
    state.pos = over
    return True


def _without_blanks(state: StateCore) -> None:
    """Blanks between a comment and the end of its paragraph are no more than those at the end.

    A picture stays alone in its paragraph, and what held nothing but comments holds nothing.
    """
    if OPENS not in state.src:
        return
    for token in state.tokens:
        if token.children and OPENS in token.content:
            filled = [at for at, one in enumerate(token.children) if not _is_blank(one)]
            token.children = token.children[filled[0] : filled[-1] + 1] if filled else []


def _is_blank(token: Token) -> bool:
    return token.type in ("softbreak", "hardbreak") or (
        token.type == "text" and not token.content.strip(" ")
    )

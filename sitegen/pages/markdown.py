"""Markdown as pages have it: CommonMark with additions. The only door to markdown-it-py."""

from __future__ import annotations

import re
from collections import ChainMap
from functools import cache, lru_cache
from html import escape
from itertools import count
from typing import TYPE_CHECKING, Any, Final

from markdown_it import MarkdownIt
from markdown_it.rules_block import table
from markdown_it.token import Token
from mdit_py_plugins.deflist import deflist_plugin
from mdit_py_plugins.footnote import footnote_plugin
from mdit_py_plugins.footnote.index import footnote_ref

from sitegen.pages.comments import leave_out_comments

if TYPE_CHECKING:
    from collections.abc import Sequence

    from markdown_it.renderer import RendererHTML
    from markdown_it.rules_block import StateBlock
    from markdown_it.rules_core import StateCore
    from markdown_it.rules_inline import StateInline
    from markdown_it.utils import EnvType, OptionsDict


BOXES: Final = ("note", "caution")
"""Fences that hold Markdown and are set as boxes."""

DEEPEST_BOXES: Final = 10
"""How deep notes and cautions may stand in one another."""

INSIDE: Final = "inside"
"""Where the meta of a box's fence has the tokens of what it holds."""

NO_NOTE: Final = "footnote_missing"
"""The type of the token of a footnote that is called, and defined nowhere."""

UNPRINTED: Final = "footnote_unprinted"
"""The type of the token of a footnote that is defined, and would be printed nowhere."""

BEGINS: Final = "begins"
"""Where the meta of a table's row has the offset of its first character."""

COLUMNS: Final = "columns"
"""Where the meta of a table's row has how many cells are printed of it."""

CALLED: Final = re.compile(r"\[\^[^\s`\]]+\]")
"""A footnote that is called."""

_TASK: Final = re.compile(r"\[([ xX])\][ \t\n\v\f\r]")

_COLUMNS: Final = {
    "text-align:left": "to-left",
    "text-align:center": "to-centre",
    "text-align:right": "to-right",
}
"""The style that the package sets on a cell, and the class that takes its place."""


def commonmark(*, raw_html: bool) -> MarkdownIt:
    """CommonMark and nothing else.

    Args:
        raw_html: let HTML through as it is; else it is set as text, and comments are left out.
    """
    reader = MarkdownIt("commonmark", {"html": raw_html, "xhtmlOut": False})
    if not raw_html:
        leave_out_comments(reader)
    # the same few pages are linked to again and again, and each address is taken apart and encoded
    known = lru_cache(maxsize=4096)(reader.normalizeLink)
    reader.normalizeLink = known  # type: ignore[method-assign]
    reader.core.ruler.at("normalize", _plainly)
    return reader


@cache
def markdown(*, raw_html: bool) -> MarkdownIt:
    """CommonMark with tables, definition lists, footnotes, task lists and images with captions.

    What a box holds is read where it stands, so that the footnotes of a page, those of its boxes
    among them, are numbered in the order in which they are called; labels and footnotes that are
    defined around a box hold in it, but for those that it defines itself. What may have to be
    scrolled is reached by keyboard too.
    """
    reader = commonmark(raw_html=raw_html).enable("table")
    reader.block.ruler.at("table", _table, {"alt": ["paragraph", "reference"]})
    # a footnote stands at the foot: one written in the line would have no line of its own to tell
    reader.use(deflist_plugin).use(footnote_plugin, inline=False)
    reader.core.ruler.after("block", "labels", _labels)
    reader.core.ruler.at("inline", _in_order)
    reader.core.ruler.after("inline", "tasks", _tasks)
    reader.core.ruler.before("footnote_tail", "footnotes_unprinted", _unprinted)
    reader.core.ruler.after("footnote_tail", "footnotes_numbered", _numbered)
    reader.inline.ruler.at("footnote_ref", _note_called)
    reader.core.ruler.push("captions", _captions)
    reader.core.ruler.push("tables", _tables)
    for name in ("fence", "code_block"):
        reader.add_render_rule(name, _scrolled_code(name))
    reader.add_render_rule("footnote_ref", _note_number)
    notes = '<div class="notes" role="doc-endnotes">\n<ol>\n'
    reader.add_render_rule("footnote_block_open", _always(notes))
    reader.add_render_rule("footnote_block_close", _always("</ol>\n</div>\n"))
    reader.add_render_rule("footnote_open", _note)
    reader.add_render_rule("footnote_close", _always("</div></li>\n"))
    reader.add_render_rule("footnote_anchor", _always(""))
    reader.add_render_rule(NO_NOTE, _always(""))
    reader.add_render_rule(UNPRINTED, _always(""))
    return reader


def _plainly(state: StateCore) -> None:
    """The package's own rule, which asks of every sign of a page whether a pattern begins there."""
    text = state.src.replace("\r\n", "\n").replace("\r", "\n")
    state.src = text.replace("\0", "\ufffd")


def _table(state: StateBlock, first: int, last: int, silent: bool) -> bool:
    """The package's own rule; each row says where it begins and how many cells its table has."""
    before = len(state.tokens)
    found = table(state, first, last, silent)
    pushed = state.tokens[before:]
    columns = sum(token.type == "th_open" for token in pushed)
    for token in pushed:
        if token.type == "tr_open" and token.map:
            line = token.map[0]
            token.meta[BEGINS] = state.bMarks[line] + state.tShift[line]
            token.meta[COLUMNS] = columns
    return found


def _labels(state: StateCore) -> None:
    """Labels that are defined around a text hold in it, but for those that it defines itself."""
    around: ChainMap[str, Any] = state.env.get("around", ChainMap())
    state.env["references"] = around.new_child(state.env.get("references"))


def _in_order(state: StateCore) -> None:
    """The package's own rule, which boxes are read by as well."""
    deep = state.env.get("deep", 0)
    numbers = state.env.setdefault("numbers", count(1))
    for token in state.tokens:
        if token.type == "inline":
            token.children = []
            state.md.inline.parse(token.content, state.md, state.env, token.children)
        elif is_box(token) and deep < DEEPEST_BOXES:
            inside = {
                "deep": deep + 1,
                "outer": state.env,
                "around": state.env["references"],
                "numbers": numbers,
            }
            token.meta[INSIDE] = state.md.parse(token.content.removesuffix("\n"), inside)


def is_box(token: Token) -> bool:
    """Whether a token is a box."""
    return token.type == "fence" and token.info.split()[:1] in ([box] for box in BOXES)


def _note_called(state: StateInline, silent: bool) -> bool:
    """A footnote that is called here: defined here or around this box, or else `NO_NOTE`."""
    own = state.env
    env: EnvType | None = own
    while env is not None:
        state.env = env
        found = footnote_ref(state, silent)
        state.env = own
        if found:
            if not silent:
                meta = state.tokens[-1].meta
                note = env["footnotes"]["list"][meta["id"]]
                if "number" not in note:
                    note["number"] = next(own["numbers"])
                meta["number"] = note["number"]
            return True
        env = env.get("outer")
    missing = CALLED.match(state.src, state.pos, state.posMax)
    if missing is None:
        return False
    if not silent:
        state.push(NO_NOTE, "", 0).content = missing[0]
    state.pos = missing.end()
    return True


def _unprinted(state: StateCore) -> None:
    """A footnote that is not called, or is defined again further down, leaves a token.

    The package takes it out with all that it holds.
    """
    defined = [token for token in state.tokens if token.type == "footnote_reference_open"]
    last = {token.meta["label"]: token for token in defined}
    for token in defined:
        label = token.meta["label"]
        is_called = state.env["footnotes"]["refs"][f":{label}"] >= 0
        if not is_called or token is not last[label]:
            lost = Token(UNPRINTED, "", 0, map=token.map, content=f"[^{label}]")
            lost.meta["called"] = is_called
            state.tokens.append(lost)


def _numbered(state: StateCore) -> None:
    for token in state.tokens:
        if token.type == "footnote_open":
            token.meta["number"] = state.env["footnotes"]["list"][token.meta["id"]]["number"]


def _tasks(state: StateCore) -> None:
    """An item that begins with `[ ]` or `[x]` is a task; its list is one of tasks."""
    lists: list[Token] = []
    for place, token in enumerate(state.tokens):
        if token.type in ("bullet_list_open", "ordered_list_open"):
            lists.append(token)
        elif token.type in ("bullet_list_close", "ordered_list_close"):
            lists.pop()
        elif token.type == "inline" and (mark := _TASK.match(token.content)):
            before = [one.type for one in state.tokens[max(0, place - 2) : place]]
            first = token.children[0] if token.children else token
            if before != ["list_item_open", "paragraph_open"] or first.type != "text":
                continue
            _set_task(token, is_done=mark[1] != " ")
            state.tokens[place - 2].attrSet("class", "task-list-item")
            lists[-1].attrSet("class", "contains-task-list")


def _set_task(inline: Token, *, is_done: bool) -> None:
    done = ' checked="checked"' if is_done else ""
    box = f'<input class="task-list-item-checkbox"{done} disabled="disabled" type="checkbox">'
    opened, closed = Token("html_inline", "", 0), Token("html_inline", "", 0)
    opened.content, closed.content = f"<label>{box}", "</label>"
    children = inline.children or []
    children[0].content = children[0].content[3:]
    inline.content = inline.content[3:]
    inline.children = [opened, *children, closed]


def _captions(state: StateCore) -> None:
    """An image alone in its paragraph, and with a title, is a figure with that as its caption."""
    tokens = state.tokens
    for place in range(1, len(tokens) - 1):
        before, inline, after = tokens[place - 1 : place + 2]
        children = inline.children or []
        if before.type != "paragraph_open" or len(children) != 1 or children[0].type != "image":
            continue
        caption = children[0].attrs.pop("title", "")
        if caption:
            before.tag = after.tag = "figure"
            before.hidden = after.hidden = False
            text = Token("html_inline", "", 0)
            text.content = f"<figcaption>{escape(str(caption))}</figcaption>"
            children.append(text)


def _tables(state: StateCore) -> None:
    """Tables can be scrolled; their columns are set by classes: the pages' policy stops styles."""
    for token in state.tokens:
        if token.type == "table_open":
            token.attrSet("tabindex", "0")
        elif token.type in ("th_open", "td_open") and (style := token.attrs.pop("style", "")):
            token.attrSet("class", _COLUMNS[str(style)])


def _scrolled_code(name: str) -> Any:  # noqa: ANN401 - a rule, which the package does not name
    def rule(
        self: RendererHTML, tokens: Sequence[Token], place: int, options: OptionsDict, env: EnvType
    ) -> str:
        html: str = getattr(type(self), name)(self, tokens, place, options, env)
        return html.replace("<pre>", '<pre tabindex="0">', 1)

    return rule


def _always(html: str) -> Any:  # noqa: ANN401 - as above
    """A rule that sets every token of a type alike."""
    return lambda *_asked: html


# An underscore stands in no anchor that a heading or a block can have.


def _note_number(
    self: RendererHTML, tokens: Sequence[Token], place: int, options: OptionsDict, env: EnvType
) -> str:
    del self, options, env
    meta = tokens[place].meta
    number = meta["number"]
    again = f"_{meta['subId'] + 1}" if meta.get("subId", 0) > 0 else ""
    return (
        f'<sup class="note-number"><a href="#note_{number}" id="noted_{number}{again}" '
        f'role="doc-noteref">{number}</a></sup>'
    )


def _note(
    self: RendererHTML, tokens: Sequence[Token], place: int, options: OptionsDict, env: EnvType
) -> str:
    """A footnote; its number leads back to where it is called."""
    del self, options, env
    number = tokens[place].meta["number"]
    back = f'<a class="note-back" href="#noted_{number}" role="doc-backlink">'
    return f'<li id="note_{number}">{back}{number}</a>\n<div>'

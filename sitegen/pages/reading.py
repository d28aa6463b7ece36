"""A Markdown file read: taken apart as its tokens come, and what is wrong with its outer form."""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from typing import TYPE_CHECKING, Final

from msgspec import Struct, field

from sitegen.pages.around import GLOSSARY
from sitegen.pages.comments import IN_ANOTHER
from sitegen.pages.front import read_front
from sitegen.pages.letters import letters
from sitegen.pages.lost import (
    behind_box,
    block_in_code,
    block_in_text,
    block_set_in,
    cells_past_the_head,
    comment_in_another,
    footnotes_lost_in,
    headings_lost_in,
    lost_in_html,
    lost_in_prose,
    rest_of_box,
    rest_of_fence,
    unprinted_note,
)
from sitegen.pages.markdown import (
    BEGINS,
    BOXES,
    COLUMNS,
    DEEPEST_BOXES,
    INSIDE,
    UNPRINTED,
    is_box,
    markdown,
)
from sitegen.pages.page import (
    BLOCK_ID,
    BLOCK_IDS,
    SLOT,
    BlockText,
    Box,
    Link,
    Page,
    Slot,
    Span,
    is_outside,
    published,
    slot,
)
from sitegen.pages.prose import asks_for_fact, unmarked
from sitegen.pages.raw import raw_ids, raw_links, with_published
from sitegen.pages.region import Definitions, Region, bare, cell, cells, inside, rows_of
from sitegen.pages.site import Heading, Term
from sitegen.problem import Problem, Source, Wrong

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from markdown_it.token import Token

    from sitegen.pages.page import Body
    from sitegen.pages.settings import Settings

_Alike = defaultdict[tuple[type, str], int]
"""How often code spans that hold the same, and links that lead to the same, came in a region."""

_NO_HEADING: Final = re.compile(r"^(#{1,6})(\w.{0,60})$", re.MULTILINE)
"""A heading but for the space behind its marks."""

_NO_PICTURE: Final = (
    "`{}` leads to a page, which is no picture; without its `!` this is a link to it"
)


def read_page(
    file: str, text: str, settings: Settings, *, is_set: bool = True
) -> tuple[Page, list[Problem]]:
    """Take a page apart.

    Args:
        file: its path relative to the content folder.
        text: its text, lines ended by line feeds.
        settings: the site's.
        is_set: whether it will be set; else its body is left empty.

    Returns:
        The page, as far as it can be read, and what is wrong with its outer form; its blocks and
        its prose are read by others.
    """
    front, problems = read_front(file, text, settings)
    source = Source.whole(file, text)
    start = source.starts[front.lines]
    taken = _Taken(
        front.title, raw_html=settings.raw_html, is_glossary=file == GLOSSARY, is_set=is_set
    )
    if start < len(text):
        taken.read(source.part(start, len(text)) if start else source)
    problems += taken.problems
    may_have_one = front.title or taken.title or "title" in front.unread
    if not may_have_one and not any(p.rule == "front-matter" for p in problems):
        message = "the page has no title: give it one between `---` lines, or a first heading"
        if close := _NO_HEADING.search(text):
            message += f"; a heading has a space behind its marks: `{close[1]} {close[2]}`"
        problems.append(Problem.of_file(file, "front-matter", message))
    return (
        Page(
            file=file,
            front=front,
            title=front.title or taken.title or file,
            heading="" if front.title else taken.heading_of_page,
            has_title=taken.starts_with_title,
            blocks=tuple(taken.blocks),
            spans=tuple(taken.spans),
            links=tuple(taken.links),
            headings=tuple(taken.headings),
            terms=tuple(taken.terms),
            anchors=frozenset(taken.anchors),
            body=taken.filled,
        ),
        problems,
    )


class _Taken(Struct):
    """What has been taken out of a page so far."""

    given_title: str  # the front matter's
    raw_html: bool
    is_glossary: bool
    is_set: bool
    blocks: list[BlockText] = field(default_factory=list)
    spans: list[Span] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    headings: list[Heading] = field(default_factory=list)
    terms: list[Term] = field(default_factory=list)
    anchors: set[str] = field(default_factory=set)
    in_boxes: set[str] = field(default_factory=set)  # ids that may stand in boxes further down
    in_unclosed: set[str] = field(default_factory=set)  # footnotes that blocks took in
    used: dict[str, int] = field(default_factory=dict)  # how often a heading's words have come
    boxes: list[Box] = field(default_factory=list)
    ids: dict[str, int] = field(default_factory=dict)  # the line each stands in
    problems: list[Problem] = field(default_factory=list)
    title: str = ""
    heading_of_page: str = ""  # the same, with slots for code spans
    starts_with_title: bool = False
    largest: int = 0  # its headings of the first level
    filled: Body = ()

    def read(self, source: Source) -> None:
        tokens = markdown(raw_html=self.raw_html).parse(source.text)
        self.anchors = set(_given_ids(tokens))
        self.largest = sum(token.type == "heading_open" and token.tag == "h1" for token in tokens)
        for token in filter(is_box, tokens):
            self.in_boxes.update(BLOCK_IDS.findall(token.content))
            self.in_boxes.update(raw_ids(token.content) if self.raw_html else ())
        for token in filter(_is_block, tokens):
            self.in_unclosed.update(footnotes_lost_in(token.content))
        self.filled = self.body(tokens, source, in_box=False)

    def body(self, tokens: Sequence[Token], source: Source, *, in_box: bool) -> Body:
        """The HTML of tokens, what is to be filled in later left open.

        Args:
            tokens: of a page, or of a box on it.
            source: what they were read from.
            in_box: whether they are those of a box.
        """
        starts, definitions = source.starts, Definitions(source.text)
        row: Iterator[tuple[int, int]] = iter(())
        for number, token in enumerate(tokens):
            if token.type == "tr_open":
                first, _ = rows_of(token)
                held = [*cells(source.text, token.meta[BEGINS], starts[first + 1] - 1)]
                self.problems += cells_past_the_head(held, token.meta[COLUMNS], source)
                row = iter(held)
            elif token.type == "inline" and token.children:
                opened = tokens[number - 1]
                first, last = rows_of(token)
                begin, end = starts[first], starts[max(last, first + 1)] - 1
                if opened.type in ("th_open", "td_open"):
                    begin, end = cell(source.text, row, token.content) or (begin, end)
                elif opened.type == "heading_open":
                    is_first = number == 1 and not in_box
                    self.heading(opened, token, tokens[number + 1], is_first=is_first)
                elif opened.type == "dt_open" and self.is_glossary:
                    text = _text_of(token)
                    self.terms.append(Term(text, self.anchored(opened, text)))
                if opened.type == "paragraph_open" and "moves" in token.content:
                    self.problems += block_in_text(source, begin, end)
                region = Region(source, begin, end, definitions)
                self.problems += lost_in_prose(token, region, self.in_unclosed)
                self.inline(token.children, region)
            else:
                self.as_it_stands(token, source, definitions)
        return self.cut(tokens) if self.is_set else ()

    def as_it_stands(self, token: Token, source: Source, definitions: Definitions) -> None:
        """See what is no text for readers: fences, code, HTML, and what would not be printed."""
        if token.type == "fence":
            self.fence(token, source)
        elif token.type == "code_block":
            self.problems += block_set_in(token, source)
        elif token.type == "html_block":
            first, last = rows_of(token)
            begin, end = source.starts[first], source.starts[last] - 1
            self.raw(token, Region(source, begin, end, definitions), defaultdict(int))
            self.problems += lost_in_html(token, source)
        elif token.type == IN_ANOTHER:
            self.problems += comment_in_another(token, source)
        elif token.type == UNPRINTED and token.content not in self.in_unclosed:
            self.problems += unprinted_note(token, source)

    def cut(self, tokens: Sequence[Token]) -> Body:
        """The HTML of tokens cut at its slots, with boxes in place of theirs."""
        reader = markdown(raw_html=self.raw_html)
        html = reader.renderer.render(tokens, reader.options, {})
        pieces: list[str | Slot | Box] = []
        place = 0
        for found in SLOT.finditer(html):
            pieces.append(html[place : found.start()])
            kind, at = found[1], int(found[2])
            pieces.append(self.boxes[at] if kind == "box" else Slot(kind, at))
            place = found.end()
        pieces.append(html[place:])
        return tuple(pieces)

    def heading(self, opened: Token, inline: Token, closed: Token, *, is_first: bool) -> None:
        text = _text_of(inline)
        anchor = self.anchored(opened, text)
        # what stands for a code span is filled in when it is known what that is
        listed = _text_of(inline, len(self.spans))
        if not self.title:
            self.title, self.heading_of_page = text, listed
            is_title = self.given_title in ("", text)
            # the title is for lists then; what the page begins with says more
            is_fuller = opened.tag == "h1" and self.largest == 1
            self.starts_with_title = is_first and (is_title or is_fuller)
            if self.starts_with_title:
                # whatever its level: a page has one heading of its own
                opened.tag = closed.tag = "h1"
                if not is_title:
                    self.headings.append(Heading(0, anchor, listed))
                return
        self.headings.append(Heading(int(opened.tag[1:]), anchor, listed))

    def raw(self, token: Token, region: Region, alike: _Alike) -> None:
        """See what raw HTML links to and shows, and what it can be linked to by."""
        self.links += [
            Link(address, region, _count_earlier(alike, Link, address))
            for address, is_shown in raw_links(token.content)
            if is_shown or not is_outside(address)
        ]
        token.content = with_published(token.content, published)

    def inline(self, children: Sequence[Token], region: Region) -> None:
        alike: _Alike = defaultdict(int)
        for child in children:
            if child.type == "image":
                self.problems += _printed_as_typed(child, region, alike)
            if child.type == "code_inline":
                self.spans.append(_span_of(child, region, alike))
                child.type, child.content = "html_inline", slot("span", len(self.spans) - 1)
            elif child.type in ("link_open", "image"):
                name = "href" if child.type == "link_open" else "src"
                address = str(child.attrGet(name) or "")
                link = Link(address, region, _count_earlier(alike, Link, address))
                if child.type == "image" and published(address) != address:
                    self.problems.append(link.problem(_NO_PICTURE.format(address)))
                elif child.type == "image" or not is_outside(address):
                    self.links.append(link)
                    child.attrSet(name, published(address))
            elif child.type == "html_inline":
                self.raw(child, region, alike)

    def anchored(self, token: Token, text: str) -> str:
        """Give what a token opens an anchor of its own; the second of its words ends in `-2`."""
        first = anchor = _slug(text)
        while anchor in self.anchors or anchor in self.in_boxes:
            self.used[first] = self.used.get(first, 1) + 1
            anchor = f"{first}-{self.used[first]}"
        self.anchors.add(anchor)
        token.attrSet("id", anchor)
        return anchor

    def fence(self, token: Token, source: Source) -> None:
        words = token.info.split()
        kind = words[0] if words else ""
        row, _ = rows_of(token)
        head = source.part(source.starts[row], source.starts[row + 1] - 1)
        if kind == "moves":
            held = inside(token, source)
            number = len(self.blocks)
            cut = tuple(rest_of_fence(token, source, "unknown-key"))
            self.blocks.append(BlockText(number, self.block_id(words, head), head, held, cut))
            token.type, token.content = "html_block", slot("figure", number) + "\n"
        elif kind in BOXES:
            self.problems += rest_of_fence(token, source, "bad-value")
            self.box(token, kind, source, head)
        else:
            self.problems += block_in_code(token, source, head)

    def box(self, token: Token, kind: str, source: Source, head: Source) -> None:
        if INSIDE not in token.meta:
            message = f"notes and cautions stand more than {DEEPEST_BOXES} deep here"
            self.problems.append(Problem.at(head, Wrong("limit", message, 0, len(head.text))))
            return
        inner: list[Token] = token.meta[INSIDE]
        held = inside(token, source)
        self.problems += behind_box(token, head)
        self.problems += rest_of_box(token, inner, held, head)
        self.anchors.update(_given_ids(inner))
        self.boxes.append(Box(kind, self.body(inner, held, in_box=True)))
        token.type, token.content = "html_block", slot("box", len(self.boxes) - 1) + "\n"

    def block_id(self, words: list[str], head: Source) -> str:
        if len(words) == 1:
            return ""
        block_id = words[1]
        at = head.text.find(block_id, head.text.find("moves") + len("moves"))
        end = at + len(block_id)
        if len(words) > 2:
            near = "-".join(words[1:])
            offer = f"; write `{near}`" if BLOCK_ID.fullmatch(near) else ""
            message = f"only one word, the block's id, may follow `moves`{offer}"
            last = head.text.rfind(words[-1])
            wrong = Wrong(
                "bad-value", message, head.text.find(words[2], end), last + len(words[-1])
            )
            self.problems.append(Problem.at(head, wrong, block_id))
        if not BLOCK_ID.fullmatch(block_id):
            # an accent is taken off its letter: `Größe` gives `Grosse`
            plain = unicodedata.normalize("NFKD", block_id.replace("\u00df", "ss"))
            near = "-".join(re.findall(r"[A-Za-z0-9]+", re.sub(r"[\u0300-\u036f]", "", plain)))
            offer = f"; write `{near}`" if near else ""
            message = f"`{block_id}` is no id: ids are letters, digits and hyphens{offer}"
            self.problems.append(Problem.at(head, Wrong("bad-value", message, at, end)))
            return ""
        line = self.ids.setdefault(block_id, head.lines[0])
        if line != head.lines[0]:
            message = f"the id `{block_id}` stands in line {line} already; ids are unique on a page"
            self.problems.append(
                Problem.at(head, Wrong("duplicate-id", message, at, end), block_id)
            )
        return block_id


def _is_block(token: Token) -> bool:
    """Whether a token is a `moves` fence."""
    return token.type == "fence" and token.info.split()[:1] == ["moves"]


def _given_ids(tokens: Sequence[Token]) -> list[str]:
    """The ids of `moves` fences and of raw HTML: headings make way for them.

    And of what stands in such a fence because it is not closed: no link there is told as dead.
    """
    found = []
    for token in tokens:
        if _is_block(token):
            found += token.info.split()[1:2]
            found += filter(None, BLOCK_IDS.findall(token.content))
            found += map(_slug, headings_lost_in(token.content))
        for part in (token, *(token.children or ())):
            if part.type in ("html_block", "html_inline"):
                found += raw_ids(part.content)
    return found


def _span_of(token: Token, region: Region, alike: _Alike) -> Span:
    """The code span of a token."""
    return Span(token.content, region, _count_earlier(alike, Span, bare(token.content)))


def _count_earlier(alike: _Alike, kind: type, text: str) -> int:
    """How many of a kind and a text came before this one in their region."""
    alike[kind, text] += 1
    return alike[kind, text] - 1


def _printed_as_typed(image: Token, region: Region, alike: _Alike) -> Iterator[Problem]:
    """Complaints about the facts that what stands for a picture asks for."""
    for child in image.children or ():
        if child.type == "code_inline":
            span, text = _span_of(child, region, alike), child.content
            if asks_for_fact(text):
                message = (
                    f"the text of a picture is printed as it is typed, so `{text}` is not filled "
                    "in; write what it comes to"
                )
                yield span.problem(Wrong("bad-value", message, 0, len(text)))
        elif child.type == "image":
            yield from _printed_as_typed(child, region, alike)


def _text_of(inline: Token, first: int | None = None) -> str:
    """What a heading says, without its marks.

    Args:
        inline: its text.
        first: the number of its first code span, for the slots that stand for these; None to have
            them as they are written.
    """
    parts = []
    for child in inline.children or ():
        if child.type == "code_inline" and first is not None:
            parts.append(slot("span", first))
            first += 1
        elif child.type == "code_inline":
            parts.append(unmarked(child.content))
        elif child.type == "text":
            parts.append(child.content)
        elif child.type == "image":
            parts.append(_text_of(child))
        elif child.type in ("softbreak", "hardbreak"):
            parts.append(" ")
    return " ".join("".join(parts).split())


def _slug(text: str) -> str:
    """An anchor from a heading's words: letters and digits, hyphens between."""
    kept = unicodedata.normalize("NFKC", text).casefold()
    return "-".join(re.findall(letters(kept), kept)) or "section"

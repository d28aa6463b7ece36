"""A Markdown file read: taken apart as its tokens come, and what is wrong with its outer form."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from typing import TYPE_CHECKING, Final

from msgspec import Struct, field

from sitegen.block.keys import KEYS
from sitegen.pages.around import GLOSSARY
from sitegen.pages.front import read_front
from sitegen.pages.letters import letters
from sitegen.pages.markdown import (
    BEGINS,
    BOXES,
    COLUMNS,
    DEEPEST_BOXES,
    INSIDE,
    NO_NOTE,
    UNPRINTED,
    is_box,
    markdown,
)
from sitegen.pages.page import SLOT, BlockText, Box, Link, Page, Slot, Span, is_outside, published
from sitegen.pages.prose import asks_for_fact, unmarked
from sitegen.pages.raw import raw_ids, raw_links, with_published
from sitegen.pages.region import Definitions, Region, bare, cell, cells, inside
from sitegen.pages.site import Heading, Term
from sitegen.problem import Problem, Source, Wrong
from sitegen.wording import meant

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from markdown_it.token import Token

    from sitegen.pages.page import Body
    from sitegen.pages.settings import Settings

_Alike = Counter[tuple[type, str]]
"""How often code spans that hold the same, and links that lead to the same, came in a region."""

LONGEST_PAGE: Final = 2_000_000
"""Characters that a page may have."""

_ID: Final = re.compile(r"[A-Za-z0-9-]+")
_FILLED: Final = re.compile(r"\S.*")
_GOES_ON: Final = re.compile(r" {0,3}</?(?!pre\b)[a-z]", re.IGNORECASE)
"""HTML that ends at a blank line. In a comment or in `pre` a block is meant to be none."""

_HEAD: Final = re.compile(r"^ {0,3}(`{3,}|~{3,})[ \t]*moves\b.*", re.MULTILINE)
_BLOCK_IN_BOX: Final = re.compile(
    r"^[ \t>*+.)0-9-]*(?:`{3,}|~{3,})[ \t]*moves[ \t]+(\S+)", re.MULTILINE
)

_NO_PICTURE: Final = (
    "`{}` leads to a page, which is no picture; without its `!` this is a link to it"
)


def read_page(file: str, text: str, settings: Settings) -> tuple[Page, list[Problem]]:
    """Take a page apart.

    Args:
        file: its path relative to the content folder.
        text: its text, lines ended by line feeds.
        settings: the site's.

    Returns:
        The page, as far as it can be read, and what is wrong with its outer form; its blocks and
        its prose are read by others.
    """
    front, problems = read_front(file, text, settings)
    source = Source.whole(file, text)
    start = sum(len(line) + 1 for line in text.split("\n")[: front.lines])
    taken = _Taken(front.title, raw_html=settings.raw_html, is_glossary=file == GLOSSARY)
    if start < len(text):
        taken.read(source.part(start, len(text)) if start else source)
    problems += taken.problems
    may_have_one = front.title or taken.title or "title" in front.unread
    if not may_have_one and not any(p.rule == "front-matter" for p in problems):
        message = "the page has no title: give it one between `---` lines, or a first heading"
        problems.append(Problem.of_file(file, "front-matter", message))
    return (
        Page(
            file,
            front,
            front.title or taken.title or file,
            "" if front.title else taken.heading_of_page,
            taken.starts_with_title,
            tuple(taken.blocks),
            tuple(taken.spans),
            tuple(taken.links),
            tuple(taken.headings),
            tuple(taken.terms),
            frozenset(taken.anchors),
            taken.filled,
        ),
        problems,
    )


_NO_FENCE: Final = re.compile(
    r"^(?:[ \t>]|[^\w\s](?=\s)|\d{1,9}[.)](?=\s))*+([^\S\n]*[^\w\s]{2,}[^\S\n]*moves\b)"
    rf"[^\n]*\n[^\w\n]*(?:{'|'.join(KEYS)})[ \t]*:",
    re.MULTILINE,
)
"""The beginning of what is a block but for the marks before its first word."""


class _Taken(Struct):
    """What has been taken out of a page so far."""

    given_title: str  # the front matter's
    raw_html: bool
    is_glossary: bool
    blocks: list[BlockText] = field(default_factory=list)
    spans: list[Span] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    headings: list[Heading] = field(default_factory=list)
    terms: list[Term] = field(default_factory=list)
    anchors: set[str] = field(default_factory=set)
    in_boxes: set[str] = field(default_factory=set)  # ids that may stand in boxes further down
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
        self.anchors = set(_ids(tokens))
        self.largest = sum(token.type == "heading_open" and token.tag == "h1" for token in tokens)
        for token in filter(is_box, tokens):
            self.in_boxes.update(_BLOCK_IN_BOX.findall(token.content))
            self.in_boxes.update(raw_ids(token.content) if self.raw_html else ())
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
        takers = {"fence": self.fence, "code_block": self.set_in, UNPRINTED: self.unprinted}
        for number, token in enumerate(tokens):
            if token.type == "tr_open":
                first, _ = token.map or (0, 1)
                held = [*cells(source.text, token.meta[BEGINS], starts[first + 1] - 1)]
                self.row(held, token.meta[COLUMNS], source)
                row = iter(held)
            elif token.type == "inline" and token.children:
                opened = tokens[number - 1]
                first, last = token.map or (0, 1)
                begin, end = starts[first], starts[max(last, first + 1)] - 1
                if opened.type in ("th_open", "td_open"):
                    begin, end = cell(source.text, row, token.content) or (begin, end)
                elif opened.type == "heading_open":
                    is_first = number == 1 and not in_box
                    self.heading(opened, token, tokens[number + 1], is_first=is_first)
                elif opened.type == "dt_open" and self.is_glossary:
                    text = _plain(token)
                    self.terms.append(Term(text, self.anchored(opened, text)))
                if opened.type == "paragraph_open" and "moves" in token.content:
                    self.no_fence(source, begin, end)
                self.inline(token.children, Region(source, begin, end, definitions))
            elif token.type == "html_block":
                self.html(token, source, definitions)
            elif take := takers.get(token.type):
                take(token, source)
        reader = markdown(raw_html=self.raw_html)
        return self.cut(reader.renderer.render(tokens, reader.options, {}))

    def cut(self, html: str) -> Body:
        """HTML cut at its slots, with boxes in place of theirs."""
        pieces: list[str | Slot | Box] = []
        place = 0
        for found in SLOT.finditer(html):
            pieces.append(html[place : found.start()])
            kind, at = found[1], int(found[2])
            pieces.append(self.boxes[at] if kind == "b" else Slot(kind, at))
            place = found.end()
        pieces.append(html[place:])
        return tuple(pieces)

    def heading(self, opened: Token, inline: Token, closed: Token, *, is_first: bool) -> None:
        text = _plain(inline)
        anchor = self.anchored(opened, text)
        # what stands for a code span is filled in when it is known what that is
        listed = _plain(inline, len(self.spans))
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
            Link(address, region, _earlier(alike, Link, address))
            for address, is_shown in raw_links(token.content)
            if is_shown or not is_outside(address)
        ]
        token.content = with_published(token.content, published)

    def html(self, token: Token, source: Source, definitions: Definitions) -> None:
        """See what a block of raw HTML holds."""
        first, last = token.map or (0, 1)
        starts = source.starts
        self.raw(token, Region(source, starts[first], starts[last] - 1, definitions), Counter())
        if _GOES_ON.match(token.content) and (lost := _HEAD.search(token.content)):
            row = first + token.content.count("\n", 0, lost.start())
            message = (
                "this is printed as it stands, for HTML goes on to the next blank line; leave a "
                "line blank above the block, and below it"
            )
            wrong = Wrong("near-moves", message, starts[row], starts[row + 1] - 1)
            self.problems.append(Problem.at(source, wrong))

    def inline(self, children: Sequence[Token], region: Region) -> None:
        missing = [child.content for child in children if child.type == NO_NOTE]
        self.problems += [region.lacks_note(call) for call in dict.fromkeys(missing)]
        alike: _Alike = Counter()
        for child in children:
            if child.type == "image":
                self.problems += _printed_as_typed(child, region, alike)
            if child.type == "code_inline":
                self.spans.append(_span(child, region, alike))
                child.type, child.content = "html_inline", f"\0s{len(self.spans) - 1}\0"
            elif child.type in ("link_open", "image"):
                name = "href" if child.type == "link_open" else "src"
                address = str(child.attrGet(name) or "")
                link = Link(address, region, _earlier(alike, Link, address))
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

    def row(self, held: Sequence[tuple[int, int]], columns: int, source: Source) -> None:
        """See that no cell of a table's row stands past those that are printed."""
        past = held[columns + (not source.text[slice(*held[0])].strip()) :]
        lost = [place for place in past if source.text[slice(*place)].strip()]
        if lost:
            part = source.part(lost[0][0], lost[-1][1])
            message = (
                "this row has more cells than the head of its table, and what is past them would "
                "not be printed; give the head as many, or write `\\|` for a bar inside a cell"
            )
            self.problems.append(Problem.at(part, Wrong("limit", message, *part.filled)))

    def unprinted(self, token: Token, source: Source) -> None:
        """A footnote, and all that it holds, which no reader would see."""
        first = token.map[0] if token.map else 0
        line, end = source.starts[first : first + 2]
        place = max(line, source.text.find(token.content, line, end))
        why = (
            f"the footnote `{token.content}` is defined again further down, so that what stands "
            "here would not be printed; give it a name of its own"
            if token.meta["called"]
            else f"nothing calls the footnote `{token.content}`, so that it would not be printed; "
            f"write `{token.content}` where it belongs, or take it out"
        )
        wrong = Wrong("link", why, place, place + len(token.content))
        self.problems.append(Problem.at(source, wrong))

    def fence(self, token: Token, source: Source) -> None:
        words = token.info.split()
        kind = words[0] if words else ""
        row = token.map[0] if token.map else 0
        head = source.part(source.starts[row], source.starts[row + 1] - 1)
        if kind == "moves" or kind in BOXES:
            self.cut_short(token, kind, source)
        if kind == "moves":
            held = inside(token, source, row)
            number = len(self.blocks)
            self.blocks.append(BlockText(number, self.block_id(words, head), head, held))
            token.type, token.content = "html_block", f"\0f{number}\0\n"
        elif kind in BOXES and INSIDE in token.meta:
            if len(words) > 1:
                self.untold(kind, head)
            inner: list[Token] = token.meta[INSIDE]
            self.anchors.update(_ids(inner))
            held = inside(token, source, row)
            if inner and inner[-1].type == "fence" and not _is_closed(inner[-1], held):
                message = (
                    f"this `{kind}` ends with the marks of the fence that it holds; close it above "
                    "that one, or begin and end it with more marks: four, where that has three"
                )
                self.problems.append(Problem.at(head, Wrong("bad-value", message, *head.filled)))
            self.boxes.append(Box(kind, self.body(inner, held, in_box=True)))
            token.type, token.content = "html_block", f"\0b{len(self.boxes) - 1}\0\n"
        elif kind in BOXES:
            message = f"notes and cautions stand more than {DEEPEST_BOXES} deep here"
            self.problems.append(Problem.at(head, Wrong("limit", message, 0, len(head.text))))
        elif _is_nearly_a_block(kind, token.content):
            message = (
                "this fence is printed as it stands: a block begins with the word `moves`, not "
                f"with `{kind}`; mend it, or begin it with `text`"
            )
            start = max(0, head.text.find(kind))  # not there where it is written in entities
            wrong = Wrong("near-moves", message, start, start + len(kind))
            self.problems.append(Problem.at(head, wrong))
        elif (lost := _HEAD.search(token.content)) and (
            lost[1].startswith(token.markup) or not _is_closed(token, source)
        ):
            message = (
                f"this is printed as it stands: the fence in line {head.lines[0]} is not closed "
                "above it; close that one, take it out, or begin it with more marks than this"
            )
            held = inside(token, source, row)
            self.problems.append(Problem.at(held, Wrong("near-moves", message, *lost.span())))

    def cut_short(self, token: Token, kind: str, source: Source) -> None:
        """Tell of a fence that ends with the list or the quote that it stands in."""
        line = _FILLED.search(source.text, source.starts[token.map[1] if token.map else 0])
        if line and not _is_closed(token, source):
            message = (
                "the fence above is not closed, and ends here with the list or quote that it "
                "stands in; begin all of its lines, the closing marks too, as its first: indented "
                "as far, or behind `>`"
            )
            rule = "unknown-key" if kind == "moves" else "bad-value"
            self.problems.append(Problem.at(source, Wrong(rule, message, *line.span())))

    def set_in(self, token: Token, source: Source) -> None:
        """Tell of a block that stands too far to the right to be one.

        Where nothing stands around it, it is meant to be seen, if its first line is not alone.
        """
        found = _HEAD.match(token.content.lstrip(" "))
        if found and (token.level or "\n" not in token.content.strip()):
            message = (
                "this is printed as it stands, for it is indented by four spaces more than what it "
                "stands in asks for; take these out"
            )
            place = source.text.find(found[1], source.starts[token.map[0] if token.map else 0])
            wrong = Wrong("near-moves", message, place, place + len(found[0]))
            self.problems.append(Problem.at(source, wrong))

    def no_fence(self, source: Source, begin: int, end: int) -> None:
        """Tell of a block whose marks were made into others, or have an unseen sign before them."""
        found = _NO_FENCE.search(source.text, begin, end)
        if found:
            message = (
                "this is printed as text: a block begins with three backticks or tildes, bare at "
                "the beginning of its line"
            )
            self.problems.append(Problem.at(source, Wrong("near-moves", message, *found.span(1))))

    def untold(self, kind: str, head: Source) -> None:
        """Words behind the one that makes a fence a box, which no reader would see."""
        at = head.text.find(kind) + len(kind)
        rest = head.part(at, len(head.text))
        message = (
            f"what stands behind `{kind}` would not be printed; write it on a line of its own in "
            "the box"
        )
        self.problems.append(Problem.at(rest, Wrong("bad-value", message, *rest.filled)))

    def block_id(self, words: list[str], head: Source) -> str:
        if len(words) == 1:
            return ""
        block_id = words[1]
        at = head.text.find(block_id, head.text.find("moves") + len("moves"))
        end = at + len(block_id)
        if len(words) > 2:
            near = "-".join(words[1:])
            offer = f"; write `{near}`" if _ID.fullmatch(near) else ""
            message = f"only one word, the block's id, may follow `moves`{offer}"
            last = head.text.rfind(words[-1])
            wrong = Wrong(
                "bad-value", message, head.text.find(words[2], end), last + len(words[-1])
            )
            self.problems.append(Problem.at(head, wrong, block_id))
        if not _ID.fullmatch(block_id):
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


def _is_closed(token: Token, source: Source) -> bool:
    """Whether a fence ends with its own marks, and not with what it stands in."""
    after = token.map[1] if token.map else 0
    last = source.text[source.starts[after - 1] : source.starts[after] - 1]
    return last.rstrip().endswith(token.markup)


def _is_nearly_a_block(kind: str, held: str) -> bool:
    """Whether a fence that begins with a word is all but a `moves` block, with a key in it."""
    word = re.sub(r"[^a-z]", "", kind.lower())
    return bool(meant(word, ["moves"], 0.8)) and any(
        line.partition(":")[0] in KEYS for line in held.split("\n") if ":" in line
    )


def _ids(tokens: Sequence[Token]) -> list[str]:
    """The ids of `moves` fences and of raw HTML: headings make way for them."""
    infos = [token.info.split() for token in tokens if token.type == "fence"]
    found = [words[1] for words in infos if len(words) > 1 and words[0] == "moves"]
    for token in tokens:
        for part in (token, *(token.children or ())):
            if part.type in ("html_block", "html_inline"):
                found += raw_ids(part.content)
    return found


def _span(token: Token, region: Region, alike: _Alike) -> Span:
    """The code span of a token."""
    return Span(token.content, region, _earlier(alike, Span, bare(token.content)))


def _earlier(alike: _Alike, kind: type, text: str) -> int:
    """How many of a kind and a text came before this one in their region."""
    alike[kind, text] += 1
    return alike[kind, text] - 1


def _printed_as_typed(image: Token, region: Region, alike: _Alike) -> Iterator[Problem]:
    """Complaints about the facts that what stands for a picture asks for."""
    for child in image.children or ():
        if child.type == "code_inline":
            span, text = _span(child, region, alike), child.content
            if asks_for_fact(text):
                message = (
                    f"the text of a picture is printed as it is typed, so `{text}` is not filled "
                    "in; write what it comes to"
                )
                yield span.problem(Wrong("bad-value", message, 0, len(text)))
        elif child.type == "image":
            yield from _printed_as_typed(child, region, alike)


def _plain(inline: Token, first: int | None = None) -> str:
    """What a heading says, without its marks.

    Args:
        inline: its text.
        first: the number of its first code span, for the slots that stand for these; None to have
            them as they are written.
    """
    parts = []
    for child in inline.children or ():
        if child.type == "code_inline" and first is not None:
            parts.append(f"\0s{first}\0")
            first += 1
        elif child.type == "code_inline":
            parts.append(unmarked(child.content))
        elif child.type == "text":
            parts.append(child.content)
        elif child.type == "image":
            parts.append(_plain(child))
        elif child.type in ("softbreak", "hardbreak"):
            parts.append(" ")
    return " ".join("".join(parts).split())


def _slug(text: str) -> str:
    """An anchor from a heading's words: letters and digits, hyphens between."""
    kept = unicodedata.normalize("NFKC", text).casefold()
    return "-".join(re.findall(letters(kept), kept)) or "section"

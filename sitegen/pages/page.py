"""A Markdown file taken apart: blocks, code spans, links, headings, and the HTML around them.

The Markdown reader gives no columns, and fences in lists and quotes come without
what stood before their lines; so places are found again in the raw lines, and only when something
is wrong there.
"""

from __future__ import annotations

import posixpath
import re
import unicodedata
from bisect import bisect_right
from difflib import get_close_matches
from functools import cached_property
from typing import TYPE_CHECKING, Final
from urllib.parse import quote, unquote

from msgspec import Struct, field
from msgspec.structs import replace

from sitegen.block.keys import KEYS
from sitegen.pages.around import GLOSSARY
from sitegen.pages.front import Front, read_front
from sitegen.pages.letters import letters
from sitegen.pages.markdown import (
    BOXES,
    CALLED,
    DEEPEST_BOXES,
    INSIDE,
    NO_NOTE,
    is_box,
    markdown,
)
from sitegen.pages.moved import former_address
from sitegen.pages.names import published_as
from sitegen.pages.prose import unmarked
from sitegen.pages.raw import raw_ids, raw_links, with_published
from sitegen.pages.site import Entry, Heading, Term
from sitegen.problem import Problem, Source, Wrong

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from markdown_it.token import Token

    from sitegen.pages.settings import Settings

LONGEST_PAGE: Final = 2_000_000
"""Characters that a page may have."""

_ID: Final = re.compile(r"[A-Za-z0-9-]+")
_TICKS: Final = re.compile(r"(\\*)(`+)")
_BAR: Final = re.compile(r"(?<!\\)\|")
_WORD: Final = re.compile(r"[^\s<>()\"'=]+")
_DEFINED: Final = re.compile(r"\]:\s*<?([^\s<>]+)")

NEAR: Final = 10_000
"""Characters of a paragraph in which an address that is no word of it is looked for."""
_ENDS: Final = re.compile(r"[?#]")
_OUTSIDE: Final = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:|//")
_BLOCK_IN_BOX: Final = re.compile(
    r"^[ \t>*+.)0-9-]*(?:`{3,}|~{3,})[ \t]*moves[ \t]+(\S+)", re.MULTILINE
)
_SLOT: Final = re.compile("\0([fsb])([0-9]+)\0")


class BlockText(Struct, frozen=True):
    """A `moves` fence before it is read: its id ("" if none), opening line, and inside."""

    number: int
    id: str
    head: Source
    body: Source


class Definitions(Struct, frozen=True, dict=True):
    """Where a text defines what links by their labels lead to."""

    text: str

    @cached_property
    def places(self) -> dict[str, int]:
        """For each address, where it stands first; found only when a link is complained of."""
        found: dict[str, int] = {}
        for one in _DEFINED.finditer(self.text):
            found.setdefault(one[1], one.start(1))
        return found


class Region(Struct, frozen=True, dict=True):
    """The lines of a paragraph, and the offsets it takes up in its source."""

    source: Source
    start: int
    end: int
    definitions: Definitions

    @cached_property
    def spans(self) -> tuple[int, ...]:
        """Where the text of each code span begins; found only when one is complained of."""
        text = self.source.text
        return tuple(
            # one space at each end belongs to the marks, if both are there
            begin + (text[begin] == " " and text[end - 1] == " " and end - begin > 1)
            for begin, end in _code_spans(text, self.start, self.end)
        )

    @cached_property
    def words(self) -> dict[str, int]:
        """Where each word that may be an address stands first."""
        found: dict[str, int] = {}
        for one in _WORD.finditer(self.source.text, self.start, self.end):
            found.setdefault(one[0], one.start())
        return found

    def address(self, address: str) -> int:
        """Where an address stands: in the paragraph, or where its label is defined.

        However many are asked for, the text is searched once; so one of unusual letters may not be
        found, and then it is the paragraph that is complained of.
        """
        spellings = (address, unquote(address))
        for place in [self.words.get(one) for one in spellings]:
            if place is not None:
                return place
        end = min(self.end, self.start + NEAR)
        for place in [self.source.text.find(one, self.start, end) for one in spellings]:
            if place >= 0:
                return place
        found = (self.definitions.places.get(one) for one in spellings)
        return next((place for place in found if place is not None), self.start)

    @cached_property
    def calls(self) -> dict[str, int]:
        """Where each footnote is called first; found only when one is complained of."""
        found: dict[str, int] = {}
        text = self.source.text
        code = [*_code_spans(text, self.start, self.end)]
        for one in CALLED.finditer(text, self.start, self.end):
            place = one.start()
            span = bisect_right(code, (place, self.end)) - 1
            in_code = span >= 0 and place < code[span][1]
            if not in_code and text[place - 1 : place] != "\\":
                found.setdefault(one[0], place)
        return found

    def lacks_note(self, call: str) -> Problem:
        """A complaint about a footnote that is called here, and defined nowhere."""
        place = self.calls.get(call, self.start)
        message = (
            f"no footnote `{call}` is defined; define it on a line of its own, `{call}: ...`, or "
            f"write `\\{call}` to have it printed as it is"
        )
        return Problem.at(self.source, Wrong("link", message, place, place + len(call)))


class Span(Struct, frozen=True):
    """A code span: its text, and which code span of its region it is, from 0."""

    text: str
    region: Region
    ordinal: int

    def problem(self, wrong: Wrong) -> Problem:
        """A complaint about a part of the span's text, put in its place."""
        places = self.region.spans or (self.region.start,)
        place = places[min(self.ordinal, len(places) - 1)]
        return Problem.at(self.region.source, wrong.moved(place))


class Link(Struct, frozen=True):
    """A link into the site, or whatever a page shows: the address as written, where it stands.

    Attributes:
        is_shown: whether it is part of the page: an image, or a file that raw HTML names.
    """

    address: str
    is_shown: bool
    region: Region

    def problem(self, message: str) -> Problem:
        """A complaint about the link, put in its place."""
        place = self.region.address(self.address)
        wrong = Wrong("link", message, place, place + len(self.address))
        return Problem.at(self.region.source, wrong)


class Box(Struct, frozen=True):
    """A `note` or `caution` and what it holds."""

    kind: str
    body: Body


class Slot(Struct, frozen=True):
    """A place in the HTML for a figure ("f") or a code span ("s"), by its number."""

    kind: str
    number: int


Body = tuple["str | Slot | Box", ...]


class Page(Struct, frozen=True, dict=True):
    """A page taken apart.

    Attributes:
        file: its path relative to the content folder, with forward slashes.
        front: what stands between `---` at its top.
        title: from there, or its first heading.
        heading: that heading, where the title is from there: with slots for code spans; else "".
        has_title: whether the body begins with that heading.
        blocks: its `moves` fences, in order.
        spans: its code spans, in order.
        links: its links into the site, and all that it shows.
        headings: its contents, with slots for code spans.
        terms: of the glossary, its terms; of any other page nothing.
        anchors: every `#...` that can be linked to on it.
        body: its HTML, with slots for what only the replay can tell.
    """

    file: str
    front: Front
    title: str
    heading: str
    has_title: bool
    blocks: tuple[BlockText, ...]
    spans: tuple[Span, ...]
    links: tuple[Link, ...]
    headings: tuple[Heading, ...]
    terms: tuple[Term, ...]
    anchors: frozenset[str]
    body: Body

    @property
    def address(self) -> str:
        """Where it is published, relative to the site's root."""
        return published_as(self.file)

    @property
    def entry(self) -> Entry:
        """The page as others link to it."""
        return Entry(self.address, self.title, self.front.summary, self.front.lang)

    @property
    def formerly(self) -> tuple[str, ...]:
        """The addresses it had before, as it is published, relative to the site's root."""
        return tuple(former_address(self.file, name) for name, _, _ in self.front.formerly)

    @cached_property
    def numbers(self) -> dict[str, int]:
        """The number of the block that each id names, in order."""
        found: dict[str, int] = {}
        for block in self.blocks:
            if block.id:
                found.setdefault(block.id, block.number)
        return found

    @cached_property
    def targets(self) -> frozenset[str]:
        """Every anchor that a link may name, those of its figures among them."""
        return self.anchors.union(self.figure_anchors)

    @cached_property
    def figure_anchors(self) -> tuple[str, ...]:
        """The anchor of each figure: its id, or one made from its number that nothing else has."""
        taken, made = set(self.anchors), []
        for block in self.blocks:
            anchor = block.id
            if not anchor:
                anchor = f"figure-{block.number + 1}"
                while anchor in taken:
                    anchor += "-"
                taken.add(anchor)
            made.append(anchor)
        return tuple(made)


def is_outside(address: str) -> bool:
    """Whether a link leads out of the site: it names a scheme or a host."""
    return _OUTSIDE.match(address) is not None


def published(address: str) -> str:
    """A link as it is published: to `a/b.html` where it was written to `a/b.md`.

    One to the content folder, `.` or `..`, is to its first page: no server may be there to find it.
    """
    if is_outside(address):
        return address
    path = _ENDS.split(address, maxsplit=1)[0]
    if posixpath.basename(path.rstrip("/")) in (".", ".."):
        return f"{path.rstrip('/')}/index.html{address[len(path) :]}"
    if not unquote(path).endswith(".md"):
        return address
    to = path if path.endswith(".md") else quote(unquote(path))
    return published_as(to) + address[len(path) :]


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
    if not front.title and not taken.title and not any(p.rule == "front-matter" for p in problems):
        message = "the page has no title: give it one between `---` lines, or a first heading"
        problems.append(Problem(file, 1, 1, 1, "front-matter", message))
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
    filled: Body = ()

    def read(self, source: Source) -> None:
        tokens = markdown(raw_html=self.raw_html).parse(source.text)
        self.anchors = set(_ids(tokens))
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
        cells: Iterator[tuple[int, int]] = iter(())
        for number, token in enumerate(tokens):
            if token.type == "tr_open":
                first, _ = token.map or (0, 1)
                cells = _cells(source.text, starts[first], starts[first + 1] - 1)
            elif token.type == "inline" and token.children:
                first, last = token.map or (0, 1)
                begin, end = starts[first], starts[max(last, first + 1)] - 1
                if tokens[number - 1].type in ("th_open", "td_open"):
                    begin, end = _cell(source.text, cells, token.content) or (begin, end)
                region = Region(source, begin, end, definitions)
                if number and tokens[number - 1].type == "heading_open":
                    is_first = number == 1 and not in_box
                    self.heading(tokens[number - 1 : number + 2], is_first=is_first)
                elif self.is_glossary and tokens[number - 1].type == "dt_open":
                    self.term(tokens[number - 1], token)
                self.inline(token.children, region)
            elif token.type == "html_block":
                first, last = token.map or (0, 1)
                self.raw(token, Region(source, starts[first], starts[last] - 1, definitions))
            elif token.type == "fence":
                self.fence(token, source)
        reader = markdown(raw_html=self.raw_html)
        html = reader.renderer.render(tokens, reader.options, {})
        pieces: list[str | Slot | Box] = []
        place = 0
        for found in _SLOT.finditer(html):
            pieces.append(html[place : found.start()])
            kind, at = found[1], int(found[2])
            pieces.append(self.boxes[at] if kind == "b" else Slot(kind, at))
            place = found.end()
        pieces.append(html[place:])
        return tuple(pieces)

    def heading(self, tokens: Sequence[Token], *, is_first: bool) -> None:
        opened, inline, closed = tokens
        text = _plain(inline)
        anchor = self.unique(_slug(text))
        self.anchors.add(anchor)
        opened.attrSet("id", anchor)
        # what stands for a code span is filled in when it is known what that is
        listed = _plain(inline, len(self.spans))
        if not self.title:
            self.title, self.heading_of_page = text, listed
            self.starts_with_title = is_first and self.given_title in ("", text)
            if self.starts_with_title:
                # whatever its level: a page has one heading of its own
                opened.tag = closed.tag = "h1"
                return
        self.headings.append(Heading(int(opened.tag[1:]), anchor, listed))

    def term(self, token: Token, inline: Token) -> None:
        text = _plain(inline)
        anchor = self.unique(_slug(text))
        self.anchors.add(anchor)
        token.attrSet("id", anchor)
        self.terms.append(Term(text, anchor))

    def raw(self, token: Token, region: Region) -> None:
        """See what raw HTML links to and shows, and what it can be linked to by."""
        self.links += [
            Link(address, is_shown, region)
            for address, is_shown in raw_links(token.content)
            if is_shown or not is_outside(address)
        ]
        token.content = with_published(token.content, published)

    def inline(self, children: Sequence[Token], region: Region) -> None:
        missing = [child.content for child in children if child.type == NO_NOTE]
        self.problems += [region.lacks_note(call) for call in dict.fromkeys(missing)]
        ordinal = 0
        for child in children:
            if child.type == "code_inline":
                self.spans.append(Span(child.content, region, ordinal))
                child.type, child.content = "html_inline", f"\0s{len(self.spans) - 1}\0"
                ordinal += 1
            elif child.type in ("link_open", "image"):
                name = "href" if child.type == "link_open" else "src"
                address, is_shown = str(child.attrGet(name) or ""), child.type == "image"
                if is_shown or not is_outside(address):
                    self.links.append(Link(address, is_shown, region))
                    child.attrSet(name, published(address))
            elif child.type == "html_inline":
                self.raw(child, region)

    def unique(self, anchor: str) -> str:
        """An anchor that nothing else on the page has; the second of its words ends in `-2`."""
        found = anchor
        while found in self.anchors or found in self.in_boxes:
            self.used[anchor] = self.used.get(anchor, 1) + 1
            found = f"{anchor}-{self.used[anchor]}"
        return found

    def fence(self, token: Token, source: Source) -> None:
        words = token.info.split()
        kind = words[0] if words else ""
        row = token.map[0] if token.map else 0
        if kind != "moves" and kind not in BOXES:
            if _is_nearly_a_block(kind, token.content):
                head = source.part(source.starts[row], source.starts[row + 1] - 1)
                message = (
                    "this fence is printed as it stands: a block begins with the word `moves`, not "
                    f"with `{kind}`; mend it, or begin it with `text`"
                )
                start = max(0, head.text.find(kind))  # not there where it is written in entities
                wrong = Wrong("near-moves", message, start, start + len(kind))
                self.problems.append(Problem.at(head, wrong))
            return
        inside = _inside(token, source, row)
        if kind in BOXES:
            if INSIDE not in token.meta:
                message = f"notes and cautions stand more than {DEEPEST_BOXES} deep here"
                opening = source.part(source.starts[row], source.starts[row + 1] - 1)
                self.problems.append(
                    Problem.at(opening, Wrong("limit", message, 0, len(opening.text)))
                )
                return
            inner: list[Token] = token.meta[INSIDE]
            self.anchors.update(_ids(inner))
            self.boxes.append(Box(kind, self.body(inner, inside, in_box=True)))
            token.type, token.content = "html_block", f"\0b{len(self.boxes) - 1}\0\n"
            return
        head = source.part(source.starts[row], source.starts[row + 1] - 1)
        block_id = self.block_id(words, head)
        number = len(self.blocks)
        self.blocks.append(BlockText(number, block_id, head, inside))
        token.type, token.content = "html_block", f"\0f{number}\0\n"

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
            near = "-".join(re.findall(r"[A-Za-z0-9]+", block_id))
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


def _is_nearly_a_block(kind: str, inside: str) -> bool:
    """Whether a fence that begins with a word is all but a `moves` block, with a key in it."""
    word = re.sub(r"[^a-z]", "", kind.lower())
    return bool(get_close_matches(word, ["moves"], 1, 0.8)) and any(
        line.partition(":")[0] in KEYS for line in inside.split("\n") if ":" in line
    )


def _code_spans(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    """Where the text within each code span of a paragraph begins and ends (CommonMark 0.31, 6.1).

    A run of backticks opens a span if another of its length follows; a backslash takes the first
    one away from a run that would open, and none from one that closes.
    """
    runs = [(one.start(2), one.end(), len(one[1]) % 2) for one in _TICKS.finditer(text, start, end)]
    by_length: dict[int, list[int]] = {}
    for number, (first, last, _) in enumerate(runs):
        by_length.setdefault(last - first, []).append(number)
    after = 0
    for number, (first, last, escaped) in enumerate(runs):
        same = by_length.get(last - first - escaped, [])
        at = bisect_right(same, number)
        if number >= after and last > first + escaped and at < len(same):
            yield last, runs[same[at]][0]
            after = same[at] + 1


def _cells(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    """Where what stands between the bars of a table's row begins and ends, its margins included."""
    for bar in _BAR.finditer(text, start, end):
        yield start, bar.start()
        start = bar.end()
    yield start, end


def _cell(text: str, cells: Iterator[tuple[int, int]], content: str) -> tuple[int, int] | None:
    """The next cell of a row that holds this; a margin, or a cell left empty, is passed over."""
    return next(
        (
            (begin, end)
            for begin, end in cells
            if text[begin:end].replace("\\|", "|").strip().endswith(content)
        ),
        None,
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


def _inside(token: Token, source: Source, row: int) -> Source:
    """The lines between a fence's marks, and where they stand in the file."""
    inside, first = token.content.removesuffix("\n"), source.starts[row + 1]
    if inside and source.text.startswith(inside, first):
        return source.part(first, first + len(inside))
    # in a list or a quote: what stands before each line is looked for
    rows = inside.split("\n")
    lines, columns = [], []
    for number, text in enumerate(rows, row + 1):
        at = min(number, len(source.lines) - 1)
        raw = source.text[source.starts[at] : source.starts[at + 1] - 1]
        if raw.endswith(text):
            before = len(raw) - len(text)
        else:  # a tab of which a list or quote took a part
            before = len(raw.rstrip()) - len(text.rstrip())
        lines.append(source.lines[at])
        columns.append(source.columns[at] + before)
    return Source(source.file, "\n".join(rows), tuple(lines), tuple(columns))


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


def with_spans(page: Page, says: Callable[[int], str]) -> Page:
    """A page whose title, and the headings of its contents, say what they say in its text.

    Args:
        page: the page.
        says: asked what the code span of a number says.
    """

    def filled(text: str) -> str:
        return _SLOT.sub(lambda slot: says(int(slot[2])), text)

    headings = tuple([replace(one, text=filled(one.text)) for one in page.headings])
    return replace(page, title=filled(page.heading) or page.title, headings=headings)


def _slug(text: str) -> str:
    """An anchor from a heading's words: letters and digits, hyphens between."""
    kept = unicodedata.normalize("NFKC", text).casefold()
    return "-".join(re.findall(letters(kept), kept)) or "section"

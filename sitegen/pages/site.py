"""The site as templates see it: courses of lessons, lessons with figures. Values only."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from sitegen.cube.scheme import Scheme


class Word(NamedTuple):
    """One written piece of moves, ready to be set.

    Attributes:
        text: a turn, a bracket, a comma, a name.
        glue: no space before it (a closing bracket, a count, a comma).
    """

    text: str
    glue: bool


class Phrase(Struct, frozen=True):
    """A line of moves and its caption (its comment), "" if it has none."""

    words: tuple[Word, ...]
    caption: str


class Meaning(NamedTuple):
    """What a named sequence, or a small letter, in moves stands for."""

    name: str
    words: tuple[Word, ...]


class Moves(Struct, frozen=True):
    """Moves of a figure.

    Attributes:
        phrases: their lines; never none.
        turns: how long they are, as "15 STM".
        named: what the names and small letters in them stand for, each once, inner names too.
    """

    phrases: tuple[Phrase, ...]
    turns: str
    named: tuple[Meaning, ...] = ()


class Held(NamedTuple):
    """How the cube is held: the colours, in words, of the side up and of the side in front."""

    up: str
    front: str


class Bit(NamedTuple):
    """A part of what is filled into a remark.

    Attributes:
        kind: `text`; `place`, an address; `word`, one of the theme's words for places.
        text: what it says.
    """

    kind: str
    text: str


class Remark(NamedTuple):
    """A sentence of the theme's, with what is filled in, to be set as HTML.

    Attributes:
        name: of the sentence: its section in `words.toml`, a full stop, its name there.
        values: name of a gap, and what stands there: places (tuples of bits, a tuple for each),
            moves, or a remark within the remark.
    """

    name: str
    values: tuple[tuple[str, RemarkValue], ...] = ()


class RemarkMoves(Struct, frozen=True):
    """Moves within a remark."""

    words: tuple[Word, ...]


RemarkValue = tuple[tuple[Bit, ...], ...] | RemarkMoves | Remark


class Score(Struct, frozen=True):
    """How far the cube has come. Counts are (before the moves, after them), or None.

    Attributes:
        edges: paired, of twelve.
        new: the two colours, in words, of each edge that the moves have paired.
        orbits: the edges paired in the wings of a layer, or of several, with the first and the last
            of these; only where orbits differ.
        centres: finished, of six.
    """

    edges: tuple[int, int] | None
    new: tuple[tuple[str, str], ...]
    orbits: tuple[tuple[int, int, tuple[int, int]], ...]
    centres: tuple[int, int] | None


class Shown(Struct, frozen=True):
    """A picture in a figure.

    Attributes:
        moment: what of: `before`, `after`, `line`, `only` (there is no other); in a copy for
            review also `expected`, `found`. The theme has a word for each.
        svg: its SVG markup.
        line: after which line of the moves; 0 before them.
    """

    moment: str
    svg: str
    line: int = 0


class Marked(Struct, frozen=True):
    """A ringed piece: its label ("" if none), where it is before the moves, where after."""

    label: str
    start: str
    end: str


class Figure(Struct, frozen=True):
    """A moves block, ready to be set.

    Attributes:
        id: the anchor, unique on its page.
        number: 1 for the page's first figure.
        title: the author's, or "".
        n: layers each way; 0 where that could not be read.
        fold: "open"; "answer" (moves and after behind a button); "all".
        setup_held: how the cube is held for the set-up, where a reader has to be told.
        setup: the moves of `from`, when they are to be printed.
        whole: all moves that lead to where the figure begins, through the figures before it.
        whole_from_net: they begin at a position that is given as a net, not at the solved cube.
        held: how the cube is held before the moves, where a reader has to be told.
        moves: what is turned.
        turned: how the cube is held after the moves, where rotations in them have changed it.
        marked: the pieces pointed at.
        before: pictures of the position before the moves (none, or one).
        after: pictures during and after the moves.
        steps: pictures after each phrase but the last; none where `after` has them.
        score: how far the cube has come, where that says something.
        checked: the claims that were checked.
        impossible: why no turns can reach the position, a name in `[impossible]` of the theme's
            table; "" if they can.
        source: the block's own text, when it is to be shown.
        is_key: whether what the small marks on its stickers mean is told below it.
    """

    id: str
    number: int
    title: str
    n: int
    fold: str = "open"
    setup_held: Held | None = None
    setup: Moves | None = None
    whole: Moves | None = None
    whole_from_net: bool = False
    held: Held | None = None
    moves: Moves | None = None
    turned: Held | None = None
    marked: tuple[Marked, ...] = ()
    before: tuple[Shown, ...] = ()
    after: tuple[Shown, ...] = ()
    steps: tuple[Shown, ...] = ()
    score: Score | None = None
    checked: tuple[Remark, ...] = ()
    impossible: str = ""
    source: str = ""
    is_key: bool = False

    @property
    def has_marks(self) -> bool:
        """Whether stickers in its pictures have a small mark: they show another colour."""
        return any('class="changed' in one.svg for one in (*self.before, *self.after, *self.steps))


class Part(NamedTuple):
    """A part of a message: plain text, or what is set as code."""

    text: str
    is_code: bool


class MendedLine(NamedTuple):
    """A line of moves put right: its number, as it stands, and as it should in three parts.

    The middle part is what changes.
    """

    number: int
    old: str
    head: str
    changed: str
    tail: str


class Mend(NamedTuple):
    """A change that would make a block hold: what went wrong, and the lines that change."""

    slip: str
    lines: tuple[MendedLine, ...]


class Trouble(Struct, frozen=True):
    """A problem, where it is shown in a copy for review.

    Attributes:
        line: from 1, in the page's file.
        rule: its rule.
        is_warning: whether it is no error.
        message: what is wrong.
        contrast: what was expected and what was found, as pictures; empty where there is nothing
            to compare.
        mends: what would mend it, best guess first.
    """

    line: int
    rule: str
    is_warning: bool
    message: tuple[Part, ...]
    contrast: tuple[Shown, ...]
    mends: tuple[Mend, ...]


class Failure(Struct, frozen=True):
    """A block with problems, or one that waits for such a block, in a copy for review.

    Attributes:
        figure: the block, as far as it can be shown.
        troubles: what is wrong with it.
        waits_for: what is to be mended before this one is judged: where blocks stand, and lines.
    """

    figure: Figure
    troubles: tuple[Trouble, ...]
    waits_for: tuple[str, ...]

    @property
    def state(self) -> str:
        """`waiting`, `failed`, or `warned` where there are only warnings."""
        if self.waits_for:
            return "waiting"
        return "warned" if all(trouble.is_warning for trouble in self.troubles) else "failed"


class Heading(Struct, frozen=True, array_like=True):
    """A heading of a page: its level, its anchor and its plain text.

    Attributes:
        level: from 1; 0 is that of the page itself, where its title is another.
    """

    level: int
    anchor: str
    text: str


class Entry(Struct, frozen=True, array_like=True):
    """A page as others link to it.

    Attributes:
        address: relative to the site's root, `a/b.html`.
        title: its title.
        summary: what it is about, or "".
        lang: its language, or "" for the site's.
    """

    address: str
    title: str
    summary: str
    lang: str = ""


class Term(NamedTuple):
    """A term of the glossary and its anchor there."""

    text: str
    anchor: str


class Beside(NamedTuple):
    """A page beside the lessons: what it is, a word of the theme's table, and its address."""

    name: str
    address: str


class Course(Struct, frozen=True, array_like=True):
    """Lessons in order. The site's pages in no course stand in one of no title."""

    title: str
    summary: str
    pages: tuple[Entry, ...]


class Plate(Struct, frozen=True, array_like=True):
    """A figure as lists of figures show it: its name, its moves, its picture.

    Attributes:
        anchor: its anchor on its page.
        number: 1 for the page's first figure.
        title: the author's, or "".
        n: layers each way.
        words: its moves, all phrases on one line.
        named: what the names and small letters in them stand for, each once, inner names too.
        turns: how long they are, as "15 STM"; "" if there are none.
        carried_out: the turns they come to, where these are others than `words`, spaces between;
            "" too where there are very many.
        svg: the picture that it shows first.
    """

    anchor: str
    number: int
    title: str
    n: int
    words: tuple[Word, ...]
    named: tuple[Meaning, ...]
    turns: str
    carried_out: str
    svg: str


class FigureKind(NamedTuple):
    """What a figure is, as far as lists of figures are put in order by it.

    Attributes:
        n: layers each way.
        is_titled: whether its author gave it a title.
    """

    n: int
    is_titled: bool


class NamedMoves(Struct, frozen=True, array_like=True):
    """A named sequence, done once from solved.

    Attributes:
        name: as it is written between braces.
        words: its moves, all phrases on one line.
        small: a small letter in them, and how it is read.
        carried_out: as in `Plate`.
        n: the cube it is done on: its page's, or the smallest it fits on where it does not fit
            there; 0 where it fits on none, and what follows is empty.
        svg: the cube after it.
        counts: metric to number, as text.
        order: how often it must be done to show the solved picture again.
        does: what it does, in sentences.
    """

    name: str
    words: tuple[Word, ...]
    small: Meaning | None
    carried_out: str
    n: int
    svg: str
    counts: tuple[tuple[str, int], ...]
    order: int
    does: tuple[str, ...]


class Extract(Struct, frozen=True, array_like=True):
    """What the pages about the whole site take from each page of it; all they take but `Details`.

    Attributes:
        entry: its address, title, summary, language.
        date: ISO 8601, or "".
        tags: words to find it by.
        figures: of its figures, in order, what they are.
        sequences: the sequences named on it.
        formerly: the addresses it had before, relative to the site's root.
    """

    entry: Entry
    date: str
    tags: tuple[str, ...]
    figures: tuple[FigureKind, ...]
    sequences: tuple[NamedMoves, ...]
    formerly: tuple[str, ...]


class Details(Struct, frozen=True, array_like=True):
    """What is taken from a page besides; not to be held of all pages at once.

    Attributes:
        headings: its contents.
        plates: its figures, in order.
        moves: what its prose writes in moves of two turns or more, each once, spaces between turns.
        terms: of the glossary, each term with its anchor; of any other page nothing.
    """

    headings: tuple[Heading, ...]
    plates: tuple[Plate, ...]
    moves: tuple[str, ...]
    terms: tuple[Term, ...]


class Extracts(list[Extract]):
    """The extracts of a site's pages, in order.

    Attributes:
        details: for the address of a page, its details.
    """

    def __init__(self, extracts: Iterable[Extract], details: Callable[[str], Details]) -> None:
        super().__init__(extracts)
        self.details = details


class Reviewed(Struct, frozen=True):
    """A page with problems: how many, and how many of its blocks wait for others."""

    entry: Entry
    problems: int
    waiting: int


class Elsewhere(Struct, frozen=True):
    """Problems that no page of the site shows: of the settings, a draft, a page not read."""

    file: str
    troubles: tuple[Trouble, ...]


class Review(Struct, frozen=True):
    """What a copy for review has to show."""

    pages: tuple[Reviewed, ...]
    elsewhere: tuple[Elsewhere, ...]

    @property
    def problems(self) -> int:
        """How many problems there are in all."""
        shown = sum(page.problems for page in self.pages)
        return shown + sum(len(other.troubles) for other in self.elsewhere)


class Site(Struct, frozen=True):
    """What every page needs of the whole: one value for the build, the same for every page.

    Attributes:
        beside: the pages beside the lessons that the site has, in the order in which they are
            linked.
        sizes: the cubes that the site speaks of, rising.
        sequences: the site's own named sequences.
        has_feed: whether it has one: it knows its `url`, and a page has a date.
        own: the program's addresses at which something of the author's stands instead, in order.
        review: what does not hold, in a copy that is built for review with its failures; None in a
            site that is published.
    """

    title: str
    summary: str
    author: str
    url: str
    lang: str
    scheme: Scheme
    courses: tuple[Course, ...]
    beside: tuple[Beside, ...] = ()
    sizes: tuple[int, ...] = ()
    sequences: tuple[NamedMoves, ...] = ()
    has_feed: bool = False
    own: tuple[str, ...] = ()
    review: Review | None = None


class Lesson(Struct, frozen=True, array_like=True):
    """One page, its Markdown already set as HTML with its figures in their places.

    Attributes:
        entry: its address, title, summary.
        lang: the page's language.
        date: ISO 8601, or "".
        draft: published by no build but a preview.
        title: HTML of the page's own first heading, or "" where one is to be made.
        body: HTML of all that follows.
        headings: the contents.
        figures: how many.
        course: the title of its course, or "".
        previous: the lesson before it in its course.
        next: the lesson after it.
        needs: the pages to read first.
    """

    entry: Entry
    lang: str
    date: str
    draft: bool
    title: str
    body: str
    headings: tuple[Heading, ...]
    figures: int
    course: str = ""
    previous: Entry | None = None
    next: Entry | None = None
    needs: tuple[Entry, ...] = ()

"""The pages that the theme sets: links, navigation, folding, escaping, a theme of one's own."""

from __future__ import annotations

import gc
import os
import posixpath
import re
from html.parser import HTMLParser
from typing import TYPE_CHECKING
from urllib.parse import unquote, urlsplit

import pytest
from jinja2.runtime import Context
from msgspec.structs import replace

from folders import written
from sitegen.cube.scheme import DEFAULT
from sitegen.pages.formats.html import Html
from sitegen.pages.formats.parts import Parts, theme_opener
from sitegen.pages.formats.table import FORMATS
from sitegen.pages.formats.theme import ThemeError
from sitegen.pages.site import (
    Beside,
    Bit,
    Course,
    Details,
    Entry,
    Extract,
    Extracts,
    Figure,
    FigureKind,
    Heading,
    Held,
    Lesson,
    Marked,
    Meaning,
    Moves,
    NamedMoves,
    Phrase,
    Plate,
    Remark,
    Score,
    Shown,
    Site,
    Term,
    Word,
)

if TYPE_CHECKING:
    from pathlib import Path

EDGES = tuple(Entry(f"edges/{i}.html", f"Edges {i}", "All about it.") for i in range(5))
DEEP = (Entry("a/b c/d?e.html", "A <deep> page", ""), Entry("x:y.html", "A colon", ""))
SITE = Site(
    title="Lantern Lane Cube Club",
    summary="Big cubes.",
    author="The club",
    url="https://lantern.example/cubes/",
    lang="en",
    scheme=DEFAULT,
    courses=(Course("Edges", "In pairs.", EDGES), Course("", "", DEEP)),
    beside=tuple(
        Beside(name, f"{name}.html")
        for name in ("figures", "cards", "pieces", "sequences", "search")
    ),
    sizes=(2, 5),
    sequences=(
        NamedMoves("four", (Word("R", False),), None, "", 3, "<svg/>", (("STM", 1),), 4, ("It.",)),
    ),
    has_feed=True,
)
FL = (Bit("place", "FL"),)
MOVES = Moves(
    (
        Phrase((Word("(", False), Word("R'", True), Word(")", True)), "up"),
        Phrase((Word("{over}", False),), "down"),
    ),
    "9 STM",
    (Meaning("over", (Word("NAMED", False),)),),
)
FIGURE = Figure(
    id="last-two",
    number=1,
    title="Bring <them> home",
    n=5,
    fold="open",
    setup_held=Held("white", "green"),
    setup=Moves((Phrase((Word("SETUP", False),), ""),), "1 STM"),
    whole=Moves((Phrase((Word("WHOLE", False),), ""),), "7 STM"),
    held=Held("red", "green"),
    moves=MOVES,
    turned=Held("blue", "green"),
    marked=(Marked("a", "UF2R", "FL2D"),),
    before=(Shown("before", "<svg class='cube'><title>BEFORE</title></svg>"),),
    after=(Shown("after", "<svg class='cube'><title>AFTER</title></svg>"),),
    steps=(Shown("line", "<svg class='cube'><g>BETWEEN</g></svg>", 1),),
    score=Score((6, 7), (("white", "orange"),), ((2, 2, (7, 8)), (3, 3, (7, 7))), (6, 6)),
    checked=(
        Remark(
            "claims.paired_edges", (("places", ((Bit("place", "FL"),), (Bit("word", "edges"),))),)
        ),
    ),
    source="cube: 5 <source>",
)
VOID = {"meta", "link", "img", "br", "hr", "input"}


class Reader(HTMLParser):
    """What a page links to, its ids, its text, and that what is opened is closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.ids: list[str] = []
        self.attributes: set[str] = set()
        self.tags: list[str] = []
        self.open: list[str] = []
        self.words = ""
        self.folded = ""
        self.current: list[str] = []
        self.scripts: list[str] = []
        self.scripted = ""
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        self.tags.append(tag)
        self.attributes |= values.keys()
        self.links += [value for name in ("href", "src") if (value := values.get(name))]
        if tag == "script":
            self.scripts.append(values.get("src") or "")
        if (anchor := values.get("id")) is not None:
            self.ids.append(anchor)
        if "aria-current" in values:
            self.current.append(values.get("href") or "")
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "script" in self.open:
            self.scripted += data
        self.words += data
        if "details" in self.open and "summary" not in self.open:
            self.folded += data


def lesson(entry: Entry, html: Html) -> Lesson:
    return Lesson(
        entry=entry,
        lang="en",
        date="2026-01-05",
        draft=False,
        body=f'<h2 id="one">One</h2>{html.figure(FIGURE, "")}',
        title="",
        headings=(Heading(2, "one", "One"),),
        course="Edges",
        figures=1,
    )


def extract(entry: Entry) -> Extract:
    return Extract(
        entry=entry,
        date="2026-01-05",
        tags=("wings",),
        figures=(FigureKind(5, is_titled=True), FigureKind(2, is_titled=False)),
        sequences=SITE.sequences,
        formerly=(),
    )


def details(_address: str) -> Details:
    plate = Plate("last-two", 1, "Bring <them> home", 5, (), (), "9 STM", "", "<svg></svg>")
    return Details(
        headings=(Heading(2, "one", "One"),),
        plates=(plate, replace(plate, n=2, title="")),
        moves=("R U",),
        terms=(Term("wing", "one"),),
    )


def built(site: Site, own: Path | None = None) -> dict[str, str]:
    """Every page of the site by address; stylesheets too."""
    html = Html(site, own)
    lessons = Extracts([], details)
    files = []
    for course in site.courses:
        for place, entry in enumerate(course.pages):
            lessons.append(extract(entry))
            set_in = replace(
                lesson(entry, html),
                course=course.title,
                previous=course.pages[place - 1] if place else None,
                next=course.pages[place + 1] if place + 1 < len(course.pages) else None,
                needs=DEEP,
            )
            files.append((entry.address, html.page(set_in).encode()))
    for form in FORMATS:
        for address, content in form(html, site, lessons):
            whole = content if isinstance(content, bytes) else b"".join(one() for one in content)
            files.append((address, whole))
    assert len(files) == len(dict(files))
    return {_plain(address): data.decode() for address, data in files}


def _plain(address: str) -> str:
    """The address of a file of the theme without what changes with its bytes."""
    return re.sub(r"^(theme/.*)\.[0-9a-f]{10}(?=\.)", r"\1", address)


def set_everything(own: Path) -> None:
    html = Html(SITE, own)
    html.box("note", html.moves(MOVES.phrases[0].words, html.words("")), "")
    html.page(lesson(EDGES[0], html))
    html.page_beside("not_found.html", "")


FRONT = replace(
    SITE,
    courses=(*SITE.courses, Course("Front", "", (Entry("index.html", "Hi", ""),))),
    own=("index.html",),
)


@pytest.mark.parametrize("site", [SITE, FRONT], ids=["made front page", "own front page"])
def test_every_link_is_relative_and_leads_somewhere(site: Site) -> None:
    files = built(site)
    ids = {name: Reader(text).ids for name, text in files.items() if name.endswith(".html")}
    tried = 0
    for address in ids.keys() - {"404.html"}:
        for link in Reader(files[address]).links:
            parts = urlsplit(link)
            if link.startswith("https://lantern.example/"):
                continue  # the canonical address
            assert not parts.scheme, link
            assert not parts.path.startswith("/"), link
            target = _plain(
                posixpath.normpath(
                    posixpath.join(posixpath.dirname(address), unquote(parts.path))
                    if parts.path
                    else address
                )
            )
            assert target in files, (address, link)
            assert not parts.fragment or unquote(parts.fragment) in ids[target], (address, link)
            tried += 1
    assert tried > 100


def test_no_id_stands_twice_on_a_page() -> None:
    for name, text in built(SITE).items():
        if name.endswith(".html"):
            ids = Reader(text).ids
            assert len(ids) == len(set(ids)), name


def test_the_page_for_wrong_addresses_links_from_the_root_of_the_site() -> None:
    links = Reader(built(SITE)["404.html"]).links
    assert links
    assert all(link.startswith(("/cubes/", "#")) for link in links)


def test_nothing_in_a_page_needs_more_than_the_strict_policy() -> None:
    # CSP level 3: `default-src 'self'` blocks inline scripts, style elements, style attributes
    for name, text in built(SITE).items():
        if name.endswith(".html"):
            page = Reader(text)
            assert "Content-Security-Policy" in text
            assert "default-src 'self'" in text
            assert "style" not in page.tags
            assert all(address.endswith(".js") for address in page.scripts)
            assert page.scripted == ""
            assert "style" not in page.attributes
            assert not [name for name in page.attributes if name.startswith("on")]


def test_a_page_says_where_it_stands() -> None:
    page = Reader(built(SITE)["edges/2.html"])
    assert page.current == ["../edges/2.html"]
    assert "lesson\u00a03\u00a0of\u00a05" in page.words
    assert {"../edges/1.html", "../edges/3.html", "#page_text"} <= set(page.links)


def test_what_a_page_is_set_with_is_let_go_at_once() -> None:
    # a macro that uses it makes a circle with it, which keeps the whole page for a long while
    html = Html(SITE, None)
    pages = [lesson(entry, html) for entry in EDGES]

    def kept() -> int:
        return sum(isinstance(one, Context) for one in gc.get_objects())

    def set_all() -> None:
        for page in pages:
            html.page(page)
            html.figure(FIGURE, "")
            html.box("note", "Text", "")

    set_all()  # templates keep those that they import
    gc.collect()
    before = kept()
    gc.disable()
    try:
        set_all()
        assert kept() == before
    finally:
        gc.enable()


def test_navigation_does_not_grow_with_the_course() -> None:
    sizes = []
    for count in (100, 1000):
        entries = tuple(Entry(f"{i:04}.html", f"Lesson {i:04}", "") for i in range(count))
        html = Html(replace(SITE, courses=(Course("Long", "", entries),)), None)
        text = html.page(lesson(entries[50], html))
        assert Reader(text).current == ["0050.html"]
        sizes.append(len(text))
    assert sizes[1] - sizes[0] < 10  # "41 more after" against "941"


@pytest.mark.parametrize("place", [0, 1, 7, 8, 9, 90, 98, 99])
def test_the_lessons_listed_are_those_around_the_page(place: int) -> None:
    entries = tuple(Entry(f"{i:04}.html", f"Lesson {i:04}", "") for i in range(100))
    html = Html(replace(SITE, courses=(Course("Long", "", entries),)), None)
    page = Reader(html.page(lesson(entries[place], html)))
    listed = [int(link[:4]) for link in page.links if re.fullmatch(r"\d{4}\.html", link)]
    assert listed == list(range(listed[0], listed[0] + 17))
    assert place in listed
    left = re.findall(r"(\d+) more", page.words)
    assert sum(map(int, left)) == 100 - 17


def test_what_authors_write_is_text() -> None:
    figure = Html(SITE, None).figure(FIGURE, "")
    assert "Bring &lt;them&gt; home" in figure
    assert "cube: 5 &lt;source&gt;" in figure
    assert "<title>BEFORE</title>" in figure


def test_a_figure_shows_all_it_has() -> None:
    page = Reader(Html(SITE, None).figure(FIGURE, ""))
    words = ["Figure 1", "5×5×5", "SETUP", "BEFORE", "AFTER", "(R')", "up", "UF2R", "FL2D"]
    words += [
        "1 STM",
        "7 STM",
        "9 STM",
        "FL, edges paired",
        "right anticlockwise",
        "over is",
        "NAMED",
    ]
    words += [f"{colour} up and green in front" for colour in ("white", "red", "blue")]
    words += ["7 of 12 edges paired, 6 before; new: white and orange", "6 of 6 centres finished"]
    words += ["wings of layer 2: 8 of 12 edges", "wings of layer 3: 7 of 12 edges"]
    for word in words:
        assert word in page.words, word
    assert page.ids == ["last-two"]
    assert page.links == ["#last-two"]
    for word in ("WHOLE", "BETWEEN"):
        assert word in page.folded
    assert "AFTER" not in page.folded


def test_an_empty_figure_is_a_caption() -> None:
    figure = Figure(id="last-two", number=1, title="", n=5)
    assert Reader(Html(SITE, None).figure(figure, "")).words.split() == ["Figure", "1", "5×5×5"]


@pytest.mark.parametrize(
    ("fold", "shown", "hidden"),
    [
        (
            "answer",
            ["BEFORE", "SETUP"],
            ["(R')", "right anticlockwise", "AFTER", "edges paired", "FL2D"],
        ),
        ("all", ["Bring <them> home"], ["BEFORE", "SETUP", "(R')", "AFTER", "edges paired"]),
    ],
)
def test_a_fold_hides_what_it_should(fold: str, shown: list[str], hidden: list[str]) -> None:
    page = Reader(Html(SITE, None).figure(replace(FIGURE, fold=fold), ""))
    for word in hidden:
        assert word in page.folded
        assert page.words.count(word) == page.folded.count(word)
    for word in shown:
        assert word in page.words
        assert word not in page.folded


def test_moves_are_read_out_in_words_and_copied_as_signs() -> None:
    html = Html(SITE, None)
    assert html.moves((Word("R'", False), Word("U", False)), html.words("")) == (
        '<span class="moves-inline"><code class="turns" aria-hidden="true">'
        ' <span class="turn">R&#39;</span> <span class="turn">U</span></code>'
        '<span class="spoken"> right anticlockwise, up clockwise</span></span>'
    )


def test_a_box_says_what_it_is() -> None:
    box = Reader(Html(SITE, None).box("caution", "<p>Mind the middle.</p>", ""))
    assert box.words.split("\n")[1:3] == ["Caution", "Mind the middle."]


def test_a_scheme_of_ones_own_reaches_the_pictures() -> None:
    values = ("#123456", "", "", "", "", "")
    site = replace(SITE, scheme=replace(DEFAULT, values=values))
    assert "#123456" in built(site)["theme/pictures.css"]
    assert "#123456" not in built(SITE)["theme/pictures.css"]


def test_an_own_template_can_extend_the_one_it_replaces(tmp_path: Path) -> None:
    own = written(
        tmp_path,
        {
            "page.html": '{% extends "default/page.html" %}{% block tail %}NIGHT{% endblock %}',
            "own.css": "a { color: green }",
            "pictures/lamp.svg": "<svg/>",
            ".hidden": "x",
        },
    )
    files = built(SITE, own)
    assert "NIGHT" in files["edges/0.html"]
    assert "Lantern Lane Cube Club" in files["edges/0.html"]
    assert "NIGHT" not in files["index.html"]
    assert files["theme/own.css"] == "a { color: green }"
    assert files["theme/pictures/lamp.svg"] == "<svg/>"
    assert files["theme/tokens.css"] == built(SITE)["theme/tokens.css"]
    assert not [name for name in files if "hidden" in name or name.endswith("theme/page.html")]


TURNS = "{% macro turns(moves) %}{% endmacro %}"
PICTURES = "{% macro pictures(shown, words) %}{% endmacro %}"


@pytest.mark.parametrize(
    ("files", "name", "line", "says"),
    [
        ({"page.html": "a\nb\n{% if %}"}, "page.html", 3, "Expected an expression"),
        ({"figure.html": "a\n{{ figur.id }}"}, "figure.html", 2, "'figur' is undefined"),
        ({"figure.html": "{{ figure.colour }}"}, "figure.html", 1, "`figure` has no `colour`"),
        (
            {"base.html": '<!doctype html>\n{% include "gone.html" %}'},
            "base.html",
            2,
            "`gone.html`",
        ),
        ({"page.html": '\n{% extends "page.html" %}'}, "page.html", 2, "default/NAME"),
        ({"box.html": "{{ kind + 1 }}"}, "box.html", 1, "TypeError"),
        ({"box.html": "\n{{ 1 / 0 }}"}, "box.html", 2, "ZeroDivisionError"),
        ({"moves.html": "{% macro turns(w) %}{% endmacro %}\n{{ x }}"}, "moves.html", 2, "'x'"),
        ({"moves.html": PICTURES}, "moves.html", 1, "does not export the requested name 'turns'"),
        (
            {"moves.html": TURNS + TURNS.replace("turns", "phrases") + PICTURES},
            "moves.html",
            1,
            "macro 'turns' takes not more than 1 argument",
        ),
        (
            {"page.html": '{% include "part.html" %}', "part.html": "\n{% endif %}"},
            "part.html",
            2,
            "endif",
        ),
    ],
)
def test_a_fault_in_an_own_template_has_a_place(
    files: dict[str, str], name: str, line: int, says: str, tmp_path: Path
) -> None:
    own = written(tmp_path, files)
    with pytest.raises(ThemeError) as caught:
        set_everything(own)
    (fault,) = caught.value.faults
    assert (fault.path, fault.line) == (own / name, line)
    assert says in fault.message


@pytest.mark.parametrize(
    "name", ["words.de-CH.toml", "words.de-ch.toml", "words.DE.toml", "Words.de.TOML"]
)
def test_the_letters_of_a_language_s_tag_may_be_of_any_case(name: str, tmp_path: Path) -> None:
    own = written(tmp_path, {name: '[figure]\nnumber = "Bild {number}"\n'})
    html = Html(SITE, own)
    assert "Bild 1" in html.figure(FIGURE, "de-CH")
    assert not [address for address, _ in html.assets.files() if "words" in address.lower()]


def test_a_club_says_the_theme_in_its_own_words(tmp_path: Path) -> None:
    own = written(
        tmp_path,
        {
            # what one table leaves out, another may ask for
            "words.toml": '\ufeff[lost]\nall = "All <lessons>"\n[figure]\nnumber = "Figure 1"\n',
            "words.de.toml": '[figure]\nnumber = "Bild {number}"\n[page]\nread_first = "Zuerst"\n',
        },
    )
    html = Html(SITE, own)
    english, german = html.figure(FIGURE, ""), html.figure(FIGURE, "de-CH")
    assert ("Figure 1" in english, "Bild 1" in english) == (True, False)
    assert ("Figure 1" in german, "Bild 1" in german) == (False, True)
    files = built(SITE, own)
    assert "All &lt;lessons&gt;" in files["404.html"]
    assert not [name for name in files if name.endswith(".toml")]


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("[page]\nnext =\n", 2, "this is no TOML: Invalid value"),
        ('[pages]\nnext = "x"\n', 1, "`[page]`"),
        ('[lost]\n[[page]]\nnext = "x"\n', 2, "to be a section"),
        ("[page]\n[page.next]\n", 2, "a text between quotation marks"),
        ('a = 1\npage = "x"\n', 1, "`[a]`"),
        ('\npage = "x"\n', 2, "to be a section"),
        ('\npage = {next = "{n}"}\n', 2, "{n}"),
        (f"\npage.next = {'9' * 5000}\n", 2, "a number"),
        (f"x = {'[' * 5000}", 1, "too deep"),
        ('[page]\nnext = "x"\n[own-cube]\ntitle = "x"\n', 3, "`[own_cube]`"),
        ('[page]\nnext = "a\\u0000"\n', 2, "U+0000"),
        ('[page]\nnext = "a\\u0085"\n', 2, "U+0085"),
        ('[page]\nnexts = "x"\n', 2, "did you mean `next`?"),
        ('[page]\nzzz = "x"\n', 2, "what it says is called `"),
        ('[page]\nnext = "{n}"\n', 2, "{n}; nothing is filled in here"),
        ("[page]\nnext = 3\n", 2, "a text between quotation marks"),
        ('[figure]\nnumber = "Bild {n}"\n', 2, "{number}"),
        ('[figure]\nnumber = "Bild {"\n', 2, "braces"),
        ('[figure]\nnumber = "Bild {number:x}"\n', 2, "braces"),
        ('[figure]\nnumber = "Bild {number:}"\n', 2, "braces"),
        ('[page]\nnext = "weiter {{"\n', 2, "braces"),
        ('[walk]\nplace = "{{line}} von {count}"\n', 2, "braces"),
        ('[walk]\nline = ""\n[picture]\n# line\n\nline = "Zeile {n}"\n', 2, "`line`"),
        ('[picture]\nonly = ""\n# line\n\nline = "Zeile {n}"\n', 5, "{line}"),
        ('[turns]\nwide = "{side} {count} {amont}"\n', 2, "{amont}; what is filled in is"),
        ('[motion]\ntwist = "{count}"\n', 2, "{places}"),
        ("picture.line = '{n}'\n", 1, "{line}"),
    ],
)
def test_words_that_do_not_fit_have_a_place(
    text: str, line: int, says: str, tmp_path: Path
) -> None:
    own = written(tmp_path, {"words.toml": text})
    with pytest.raises(ThemeError) as caught:
        built(SITE, own)
    fault = caught.value.faults[0]
    assert (fault.path, fault.line) == (own / "words.toml", line)
    assert says in fault.message


def test_all_that_is_wrong_with_a_theme_is_told_at_once(tmp_path: Path) -> None:
    own = written(
        tmp_path,
        {
            "words.toml": '[page]\nnext = weiter\nnexts = "x"\n[figure]\nnumber = "{n}"\n[pages]\n',
            "page.html": "\n{% if %}",
            "parts/own.html": "{% endif %}",
            "own.css": "\na { background: url(none.svg) }",
            "._page.html": "{% what a system left %}",
        },
    )
    (own / "box.html").write_bytes(b"\n\n\xe9")
    (own / "figure.html").write_bytes(b"\xe9")
    (own / os.fsdecode(b"\xff.html")).write_text("{% what nobody can ask for %}")
    with pytest.raises(ThemeError) as caught:
        theme_opener(own)("en")
    told = [(one.file, one.line) for one in caught.value.problems(tmp_path)]
    words = [("words.toml", line) for line in (2, 3, 5, 6)]
    templates = [("page.html", 2), ("parts/own.html", 1)]
    assert told == [("box.html", 3), ("figure.html", 1), ("own.css", 2), *templates, *words]


def test_an_own_template_in_another_encoding_has_a_place(tmp_path: Path) -> None:
    (tmp_path / "page.html").write_bytes("one\ntwo \xe9".encode("latin-1"))
    with pytest.raises(ThemeError, match="UTF-8") as caught:
        Html(SITE, tmp_path)
    (fault,) = caught.value.faults
    assert (fault.path, fault.line) == (tmp_path / "page.html", 2)


def test_templates_of_whole_pages_may_ask_for_files(tmp_path: Path) -> None:
    files = {
        "base.html": '{% extends "default/base.html" %}{% block header %}'
        '<img src="{{ root }}{{ "lamp.svg"|asset }}" alt="A lantern">{% endblock %}',
        "lamp.svg": "<svg/>",
    }
    own = written(tmp_path, files)
    Parts("", own).load()
    assert '<img src="theme/lamp.' in built(SITE, own)["search.html"]


@pytest.mark.parametrize("leads_to", ["../secret", "lamp.svg"])
@pytest.mark.parametrize("name", ["lamp.svg", "part.html", "words.de.toml"])
def test_a_theme_cannot_publish_files_from_elsewhere(
    tmp_path: Path, name: str, leads_to: str
) -> None:
    (tmp_path / "secret").write_text("x = 1")
    (tmp_path / "themes").mkdir()
    (tmp_path / "themes" / name).symlink_to(leads_to if leads_to != "lamp.svg" else name)
    with pytest.raises(ThemeError, match="out of the theme"):
        Html(SITE, tmp_path / "themes")


def test_a_theme_that_is_not_there_is_the_default(tmp_path: Path) -> None:
    assert built(SITE, tmp_path / "themes") == built(SITE)

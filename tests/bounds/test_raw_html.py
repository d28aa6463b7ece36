"""Raw HTML is read once from front to back, whatever is left open in it.

How long a regular expression looks back cannot be counted in lines of Python. It cannot take the
square where whatever begins is matched to its own end, or to that of the text: so this is checked.
"""

from __future__ import annotations

from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from sitegen.pages import raw

OPENED = [
    "<a",
    "<A ",
    "<img ",
    "<script>",
    "</script>",
    "<style ",
    "</style>",
    "<!--",
    "-->",
    "</a",
]
INSIDE = [
    "<",
    ">",
    "/>",
    "/",
    '"',
    "'",
    "=",
    " = ",
    " ",
    "\n",
    "x",
    " href=",
    "src='",
    "id",
    "&amp;",
]
PARTS = st.lists(st.sampled_from(OPENED) | st.sampled_from(INSIDE))


@given(PARTS.map("".join))
def test_what_begins_is_matched(html: str) -> None:
    for at, letter in enumerate(html):
        after = html[at + 1 : at + 2]
        if letter == "<" and (after.isalpha() or html.startswith("<!--", at)):
            assert raw.TAG.match(html, at), (html, at)
        if not letter.isspace() and letter not in "/>":
            assert raw.ATTRIBUTE.match(html, at), (html, at)


@given(PARTS.map("".join))
def test_it_stays_as_it_is_written(html: str) -> None:
    assert raw.with_published(html, lambda address: address) == html


class Judge(HTMLParser):
    """The standard library's reader of HTML: the attributes of all tags that it sees."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: list[tuple[str, str]] = []

    def handle_starttag(self, _tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen += [(name, value) for name, value in attrs if value is not None]


NAMES = st.sampled_from(["href", "src", "ID", "poster", "class"])
VALUES = st.sampled_from(
    ["=x", '="a>b"', "='<a id=y>'", ' = "it\'s"', "=\n'&amp;\"'", "", "=a/b?c=d", '="<!--"', '=""']
)
ATTRIBUTES = st.lists(st.tuples(NAMES, VALUES).map("".join), max_size=3).map(" ".join)
TAGS = st.sampled_from(
    ["<a {}>", "<img {} />", "<DIV\n{}\n>", "<p>='<a id=y>'</p>", "</a>", "x < y > z"]
)
RAW = st.sampled_from(
    ["<!-- <a id=n {}> -->", "<script>if (a<b) '{}';</script>", "<STYLE>/* it's <a {}> */</STYLE>"]
)


@given(st.lists(st.builds(str.format, TAGS | RAW, ATTRIBUTES)).map("".join))
def test_attributes_are_those_that_another_reader_sees(html: str) -> None:
    judge = Judge()
    judge.feed(html)
    judge.close()
    seen = [(name, value) for name, value in judge.seen if name in ("href", "src", "poster")]
    assert [address for address, _ in raw.raw_links(html)] == [value for _, value in seen]
    assert raw.raw_ids(html) == [value for name, value in judge.seen if name == "id"]


def test_comments_end_where_a_browser_ends_them() -> None:
    """HTML Standard, 13.2.5.43 to 13.2.5.52: `<!-->`, `<!--->` and `--!>` end a comment too."""
    for comment in ("<!-->", "<!--->", "<!-- a --!>", "<!-- a -- b - -->", "<!---->"):
        html = f'{comment}<a href="seen.md"> --><!-- <a href="in-a-comment.md">'
        assert raw.raw_links(html) == [("seen.md", False)], comment

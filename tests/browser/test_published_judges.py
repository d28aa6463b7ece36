"""What a site publishes beside its pages, and its Markdown, judged by published rules.

- The 652 examples of CommonMark 0.31.2: `spec.txt` of the npm package `commonmark-spec`.
- The site map: the protocol's own schema (sitemaps.org, of 2008-03-26), as the npm package
  `sitemap` ships it.
- The feed: the RELAX NG schema of RFC 4287, appendix B, written from memory in `atom.rng`; what the
  RFC asks for beyond it (section 4) is asked for here.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from lxml import etree

from browser.browser_site import package
from sitegen.pages.formats.sitemap import maps
from sitegen.pages.markdown import commonmark, markdown

if TYPE_CHECKING:
    from browser.browser_site import Served

ATOM = "{http://www.w3.org/2005/Atom}"
EXAMPLE = re.compile(r"^`{32} example\n(.*?)^\.\n(.*?)^`{32}$", re.MULTILINE | re.DOTALL)
CAPTIONED = re.compile(r"<p>(<img [^>]*) title=\"([^\"]*)\" /></p>")
"""An image with a title, alone in its paragraph: what the site adds to CommonMark changes."""


def examples() -> list[tuple[str, str]]:
    text = package("commonmark-spec/spec.txt").read_text("utf-8").replace("→", "\t")
    # the specification's own tests leave space between tags out of account
    return [
        (written, set_.replace("<blockquote>\n</blockquote>", "<blockquote></blockquote>"))
        for written, set_ in EXAMPLE.findall(text)
    ]


def test_markdown_is_commonmark() -> None:
    reader = commonmark(raw_html=True)
    reader.options["xhtmlOut"] = True
    found = examples()
    assert len(found) == 652
    wrong = [number for number, (text, html) in enumerate(found, 1) if reader.render(text) != html]
    assert wrong == []


def test_what_is_added_to_commonmark_changes_only_images_with_a_title() -> None:
    reader = markdown(raw_html=True)
    for number, (text, html) in enumerate(examples(), 1):
        set_ = reader.render(text, {"parts": ("",)}).replace('<pre tabindex="0">', "<pre>")
        expected = CAPTIONED.sub(r"<figure>\1 /><figcaption>\2</figcaption></figure>", html)
        assert set_.replace(" />", ">") == expected.replace(" />", ">"), number


def test_the_site_map_keeps_to_its_schema(site: Served) -> None:
    schema = etree.XMLSchema(etree.parse(package("sitemap/schema/sitemap.xsd")))
    found = etree.parse(site.folder / "sitemap.xml")
    schema.assertValid(found)
    home = str(site.settings["url"])
    places = [str(loc.text) for loc in found.iter("{*}loc")]
    assert len(places) == len(set(places)) > 5
    for place in places:
        # sitemaps.org, "Sitemap file location": only what is below the map itself
        assert place.startswith(home)
        assert (site.folder / place.removeprefix(home)).is_file()
    pages = {page for page in site.pages if not page.startswith(("cards/", "figures/", "pieces/"))}
    assert {place.removeprefix(home) for place in places} >= pages - {"index.html", *site.moved}


def test_a_site_map_of_very_many_pages_is_cut() -> None:
    # sitemaps.org, "Using Sitemap index files": at most 50,000 addresses a file
    home = "https://lantern.example/cubes"
    files = dict(maps(home, [f"{home}/{number}.html" for number in range(100_001)]))
    index = etree.fromstring(files.pop("sitemap.xml"))
    assert etree.QName(index).localname == "sitemapindex"
    assert [loc.text for loc in index.iter("{*}loc")] == [f"{home}/{name}" for name in files]
    counts = [len(etree.fromstring(data)) for data in files.values()]
    assert (sum(counts), max(counts)) == (100_001, 50_000)


def test_the_feed_keeps_to_its_schema(site: Served) -> None:
    schema = etree.RelaxNG(etree.parse(Path(__file__).parent / "atom.rng"))
    found = etree.parse(site.folder / "feed.xml")
    schema.assertValid(found)
    home = str(site.settings["url"])
    links = {link.get("rel"): link.get("href") for link in found.getroot().findall(f"{ATOM}link")}
    assert links["self"] == f"{home}feed.xml"  # 4.1.1: a feed should say where it is
    ids = [str(one.text) for one in found.iter(f"{ATOM}id")]
    assert len(ids) == len(set(ids)) > 1  # 4.1.1: no two entries alike; 4.2.6: absolute
    assert all(one.startswith(home) for one in ids)
    moments = [one.findtext(f"{ATOM}updated") for one in found.iter(f"{ATOM}entry")]
    assert moments == sorted(moments, reverse=True)
    assert found.getroot().findtext(f"{ATOM}updated") == moments[0]


@pytest.mark.parametrize(
    ("old", "new"),
    [("<id>", "<uid>"), ("T00:00:00Z", ""), ("<author>", "<reader>"), ('rel="self"', 'to="self"')],
)
def test_a_feed_that_is_none_is_told(site: Served, old: str, new: str) -> None:
    schema = etree.RelaxNG(etree.parse(Path(__file__).parent / "atom.rng"))
    text = (site.folder / "feed.xml").read_text("utf-8")
    assert old in text
    wrong = text.replace(old, new).replace(old.replace("<", "</"), new.replace("<", "</"))
    assert not schema.validate(etree.fromstring(wrong.encode()))

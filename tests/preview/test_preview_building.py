"""What is built again: each page as it last held, drafts, themes, and editions that follow."""

from __future__ import annotations

import errno
import os
import re
from inspect import getsource
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

import pytest
from jinja2 import Environment, meta

from preview.previewing import BROKEN, OTHER, PAGE
from sitegen.kept.making import Making
from sitegen.offers import as_judged
from sitegen.pages.formats.html import Html
from sitegen.pages.formats.parts import PARTS, Parts
from sitegen.pages.formats.theme import DEFAULT_THEME
from sitegen.preview.builder import Builder, Built, Stopped
from sitegen.preview.edition import Copied, Later
from sitegen.preview.overlay import laid_over
from sitegen.preview.panel import Panel

if TYPE_CHECKING:
    from sitegen.kept.making import State
    from sitegen.kept.snapshot import Snapshot
    from sitegen.made import Made
    from sitegen.pages.site import Site

ANY: frozenset[Path] = frozenset()


@pytest.fixture
def builder(content: Path) -> Builder:
    return Builder(content, redraw=False)


def page(built: Built, address: str) -> str:
    item = built.edition.find(address)
    assert item is not None
    found = item.content
    if isinstance(found, Later):
        found = found.make()
    assert isinstance(found, bytes)
    return found.decode()


def panel(built: Built, address: str) -> Panel:
    item = built.edition.find(address)
    assert item is not None
    found = item.panel
    assert found is not None
    return found


def test_a_broken_page_stays_as_it_last_held(builder: Builder, content: Path) -> None:
    first = builder.build(ANY)
    (content / "page.md").write_text(BROKEN.replace("first", "second"), "utf-8")
    second = builder.build(ANY)
    assert page(second, "page.html") == page(first, "page.html")
    seen = panel(second, "page.html")
    assert (seen.state, seen.count, seen.errors) == ("held", 2, True)
    assert "page.md:8:6" in seen.told[0].place
    assert seen.told[0].source
    assert seen.told[0].source.wrong == "GGY"
    assert len(seen.told[0].trouble.contrast) == 2
    (mend,) = seen.told[0].trouble.mends
    assert mend.lines[0].old == "R U R' U"
    (content / "page.md").write_text(PAGE.replace("first", "third"), "utf-8")
    third = builder.build(ANY)
    assert "third state" in page(third, "page.html")
    assert panel(third, "page.html").state == "fresh"
    assert panel(third, "page.html").count == 0


def test_a_page_that_stays_is_put_together_anew_where_its_neighbours_change(
    builder: Builder, content: Path
) -> None:
    courses = '[[courses]]\ntitle = "{}"\npages = ["page.md"]\n'
    (content / "site.toml").write_text(courses.format("One"), "utf-8")
    builder.build(ANY)
    (content / "page.md").write_text(BROKEN, "utf-8")
    for title in ("Two", "Three"):
        (content / "site.toml").write_text(courses.format(title), "utf-8")
        built = builder.build(ANY)
        assert title in page(built, "page.html")
        assert "first state" in page(built, "page.html")
        assert panel(built, "page.html").state == "held"


def test_a_page_with_a_warning_is_shown_as_it_is(builder: Builder, content: Path) -> None:
    builder.build(ANY)
    (content / "page.md").write_text(PAGE.replace("first state", "`R U Q`"), "utf-8")
    built = builder.build(ANY)
    assert "<code>R U Q</code>" in page(built, "page.html")
    seen = panel(built, "page.html")
    assert (seen.state, seen.count, seen.errors) == ("fresh", 1, False)


def test_a_link_that_leads_nowhere_is_told_until_it_is_mended(
    builder: Builder, content: Path
) -> None:
    first = builder.build(ANY)
    (content / "page.md").write_text(f"{PAGE}\n[There](nowhere.md)\n", "utf-8")
    second = builder.build(ANY)
    assert page(second, "page.html") == page(first, "page.html")
    assert (panel(second, "page.html").state, panel(second, "page.html").count) == ("held", 1)
    (content / "page.md").write_text(f"{PAGE}\n[There](other.md)\n", "utf-8")
    third = builder.build(ANY)
    assert 'href="other.html"' in page(third, "page.html")
    assert (panel(third, "page.html").state, panel(third, "page.html").count) == ("fresh", 0)


def test_what_is_wrong_with_a_link_is_told_anew_where_another_page_comes(
    builder: Builder, content: Path
) -> None:
    (content / "page.md").write_text(f"{PAGE}\n[There](new.md#there)\n", "utf-8")
    builder.build(ANY)
    (content / "new.md").write_text("# New\n", "utf-8")
    (told,) = panel(builder.build(ANY), "page.html").told
    assert "there is no file" not in str(told.trouble.message)


def test_the_list_of_failures_has_them_laid_over_it(content: Path) -> None:
    (content / "page.md").write_text(BROKEN, "utf-8")
    built = Builder(content, redraw=False).build(ANY)
    seen = panel(built, "failures.html")
    assert [(one.address, one.count) for one in seen.elsewhere] == [("page.html", 2)]


def test_a_theme_is_opened_once_for_pages_that_hold_and_once_for_others(
    content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its templates are compiled then, which takes longer than all else after a save."""
    opened: list[Site] = []

    def counted(site: Site, own: Path | None) -> Html:
        opened.append(site)
        return Html(site, own)

    monkeypatch.setattr("sitegen.preview.framing.Html", counted)
    builder = Builder(content, redraw=False)
    for number in range(3):
        (content / f"broken-{number}.md").write_text(BROKEN, "utf-8")
        built = builder.build(ANY)
        for address in ("broken-0.html", "page.html", "broken-0.html"):
            is_broken = address != "page.html"
            assert ('href="failures.html"' in page(built, address)) is is_broken
        assert f'href="broken-{number}.html"' in page(built, "failures.html")
    assert len(opened) == 2


def test_a_page_of_the_authors_stands_in_place_of_the_list_of_failures(
    builder: Builder, content: Path
) -> None:
    (content / "page.md").write_text(BROKEN, "utf-8")
    (content / "failures.md").write_text("# What went wrong at the contest\n", "utf-8")
    assert "at the contest</h1>" in page(builder.build(ANY), "failures.html")


def test_a_page_that_leans_on_a_broken_one_says_so(builder: Builder, content: Path) -> None:
    first = builder.build(ANY)
    (content / "page.md").write_text(BROKEN, "utf-8")
    second = builder.build(ANY)
    assert page(second, "other.html") == page(first, "other.html")
    assert [other.address for other in panel(second, "other.html").waits_for] == ["page.html"]
    seen = panel(second, "sub/index.html")
    assert [(one.title, one.count) for one in seen.elsewhere] == [("Four turns", 2)]
    assert seen.state == "fresh"


def test_a_page_is_not_said_to_wait_for_itself(builder: Builder, content: Path) -> None:
    waits = "```moves\nfrom: #four-turns\nmoves: U\ncheck: turns 1\n```\n"
    (content / "page.md").write_text(f"{BROKEN}\n{waits}", "utf-8")
    built = builder.build(ANY)
    assert ("page.md", 1) in built.state.waiting
    assert panel(built, "page.html").waits_for == ()


def test_many_broken_pages_are_listed_within_a_bound(builder: Builder, content: Path) -> None:
    for number in range(30):
        (content / f"broken-{number:02}.md").write_text(BROKEN, "utf-8")
    leans = "```moves\nfrom: broken-{:02}.md#four-turns\nmoves: R\ncheck: order 4\n```\n"
    (content / "leans.md").write_text("# Leans\n\n" + "".join(map(leans.format, range(25))))
    built = builder.build(ANY)
    seen = panel(built, "page.html")
    assert (len(seen.elsewhere), seen.elsewhere_more, seen.elsewhere_count) == (20, 10, 60)
    waits = panel(built, "leans.html")
    assert (len(waits.waits_for), waits.waits_for_more) == (20, 5)
    assert [one.address for one in waits.elsewhere] == [f"broken-{n}.html" for n in range(25, 30)]
    assert (waits.elsewhere_more, waits.elsewhere_count) == (0, 10)
    one = panel(built, "broken-03.html")
    assert (len(one.elsewhere), one.elsewhere_more, one.elsewhere_count) == (20, 9, 58)


def test_an_error_below_many_warnings_is_counted_as_one(builder: Builder, content: Path) -> None:
    warnings = "Say `R U3`.\n\n" * 30
    (content / "page.md").write_text(f"# Four turns\n\n{warnings}[x](nowhere.md)\n", "utf-8")
    seen = panel(builder.build(ANY), "page.html")
    assert all(one.trouble.is_warning for one in seen.told)
    assert (seen.count, seen.errors) == (31, True)


def test_broken_pages_are_not_judged_again_for_a_change_elsewhere(
    builder: Builder, content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(9):
        (content / f"broken-{number}.md").write_text(BROKEN, "utf-8")
    first = builder.build(ANY)
    again: list[str] = []
    judged = Making.judge_again

    def counted(making: Making, file: str) -> Made:
        again.append(file)
        return judged(making, file)

    monkeypatch.setattr(Making, "judge_again", counted)
    (content / "page.md").write_text(PAGE.replace("first", "second"), "utf-8")
    second = builder.build(ANY)
    assert again == []
    assert panel(second, "broken-3.html") == panel(first, "broken-3.html")
    assert page(second, "broken-3.html") == page(first, "broken-3.html")
    (content / "broken-3.md").write_text(BROKEN.replace("GGW", "GGO"), "utf-8")
    third = builder.build(ANY)
    assert set(again) == {"broken-3.md"}
    assert panel(third, "broken-3.html") != panel(second, "broken-3.html")


@pytest.mark.parametrize("now", [None, "# Nothing to judge\n"])
def test_a_broken_page_that_changes_once_more_is_read_again(
    builder: Builder, content: Path, monkeypatch: pytest.MonkeyPatch, now: str | None
) -> None:
    """A build says that what it read is gone; `session.py` then builds once more."""
    update = Making.update
    path = content / "page.md"

    def changing(making: Making, seen: Snapshot | None = None) -> State:
        state = update(making, seen)
        path.unlink() if now is None else path.write_text(now, "utf-8")
        return state

    path.write_text(BROKEN, "utf-8")
    monkeypatch.setattr(Making, "update", changing)
    with pytest.raises(OSError, match="changed"):
        builder.build(ANY)
    monkeypatch.undo()
    assert builder.build(ANY).state.listed.keys() >= {"other.md"}


def test_pages_that_hold_go_on_being_refreshed(builder: Builder, content: Path) -> None:
    builder.build(ANY)
    (content / "page.md").write_text(BROKEN, "utf-8")
    (content / "sub" / "index.md").write_text("# Further below\n", "utf-8")
    assert "Further below" in page(builder.build(ANY), "sub/index.html")


@pytest.mark.parametrize(
    "fault",
    [b"# \xff\n", b"---\ncube: none\n---\n# A\n", BROKEN.encode(), b"```moves\nmoves: Q\n```\n"],
)
def test_a_page_that_never_held_is_shown_as_far_as_it_goes(content: Path, fault: bytes) -> None:
    (content / "page.md").write_bytes(fault)
    built = Builder(content, redraw=False).build(ANY)
    seen = panel(built, "page.html")
    assert seen.count
    if b"\xff" in fault:
        assert (seen.state, page(built, "page.html")) == ("none", "")
    else:
        assert seen.state == "review"
        assert 'class="failure' in page(built, "page.html")
    assert page(built, "sub/index.html")


def test_a_page_that_never_held_is_shown_as_it_is_now(content: Path) -> None:
    path, builder = content / "new.md", Builder(content, redraw=False)
    for word in ("lantern", "corner"):
        path.write_text(BROKEN.replace("first", word), "utf-8")
        assert f"Words of the {word} state" in page(builder.build(ANY), "new.html")


def test_a_page_that_never_held_is_set_with_the_glossary_as_that_last_held(content: Path) -> None:
    builder, glossary = Builder(content, redraw=False), content / "glossary.md"
    (content / "new.md").write_text(BROKEN.replace("first", "corner"), "utf-8")
    term = "# Words\n\nCorner\n: Where three meet.\n"
    for text, is_linked in (
        ("# Words\n", False),
        (f"{term}\n[Nowhere](gone.md)\n", False),
        (term, True),
    ):
        glossary.write_text(text, "utf-8")
        shown = page(builder.build(ANY), "new.html")
        assert ('href="glossary.html#corner"' in shown) is is_linked


def test_a_page_that_can_no_longer_be_read_stays(builder: Builder, content: Path) -> None:
    first = builder.build(ANY)
    (content / "page.md").write_bytes(b"\xff")
    second = builder.build(ANY)
    assert page(second, "page.html") == page(first, "page.html")
    assert panel(second, "page.html").state == "held"


def test_drafts_are_shown_and_marked(builder: Builder, content: Path) -> None:
    built = builder.build(ANY)
    assert panel(built, "later.html").draft
    assert 'class="draft"' not in page(built, "later.html")  # the panel says so
    assert not panel(built, "page.html").draft
    assert 'href="later.html"' in page(built, "index.html")
    (content / "site.toml").write_text('[[courses]]\ntitle = "A"\npages = ["later.md"]\n', "utf-8")
    assert "lesson\u00a01\u00a0of\u00a01" in page(builder.build(ANY), "later.html")


def test_settings_that_cannot_be_read_hold_everything(builder: Builder, content: Path) -> None:
    first = builder.build(ANY)
    (content / "site.toml").write_text("cube = [\n", "utf-8")
    (content / "page.md").write_text(PAGE.replace("first", "second"), "utf-8")
    second = builder.build(ANY)
    assert page(second, "page.html") == page(first, "page.html")
    assert "site.toml:" in panel(second, "sub/index.html").told[0].place
    assert panel(second, "sub/index.html").errors


def test_a_page_that_lacked_nothing_but_what_it_links_to_is_there_once_that_is(
    content: Path,
) -> None:
    builder = Builder(content, redraw=False)
    (content / "page.md").write_text(f"{PAGE}\n[New](new.md)\n", "utf-8")
    assert panel(builder.build(ANY), "page.html").state == "review"
    (content / "new.md").write_text("# New\n", "utf-8")
    built = builder.build(ANY)
    assert panel(built, "page.html").state == "fresh"
    assert "Words of the first state" in page(built, "page.html")


def test_a_warning_in_the_settings_holds_nothing(builder: Builder, content: Path) -> None:
    builder.build(ANY)
    (content / "site.toml").write_text('[sequences]\na = "R\'2U"\n', "utf-8")
    (content / "other.md").write_text("# Other\n\nAnew.\n", "utf-8")
    built = builder.build(ANY)
    assert [(p.file, p.rule) for p in built.state.problems] == [("site.toml", "spacing")]
    assert "Anew" in page(built, "other.html")


def test_a_listed_page_that_is_gone_is_told_and_the_rest_goes_on(
    builder: Builder, content: Path
) -> None:
    (content / "site.toml").write_text('[[courses]]\ntitle = "A"\npages = ["other.md"]\n', "utf-8")
    builder.build(ANY)
    (content / "other.md").unlink()
    (content / "page.md").write_text(PAGE.replace("first", "second"), "utf-8")
    built = builder.build(ANY)
    assert built.edition.find("other.html") is None
    assert "second state" in page(built, "page.html")
    assert "which is no page" in str(panel(built, "page.html").told[0].trouble.message)


def test_a_page_renamed_is_at_its_new_address(builder: Builder, content: Path) -> None:
    builder.build(ANY)
    (content / "other.md").rename(content / "sub" / "else.md")
    (content / "sub" / "else.md").write_text(OTHER.replace("page.md", "../page.md"), "utf-8")
    built = builder.build(ANY)
    assert built.edition.find("other.html") is None
    assert ">Other</h1>" in page(built, "sub/else.html")


def test_a_theme_that_does_not_work_leaves_the_site_as_it_was(
    builder: Builder, content: Path
) -> None:
    first = builder.build(ANY)
    builder.themes.mkdir()
    (builder.themes / "page.html").write_text("{% extends 'nothing.html' %}", "utf-8")
    (content / "page.md").write_text(PAGE.replace("first", "second"), "utf-8")
    second = builder.build(ANY)
    assert page(second, "page.html") == page(first, "page.html")
    assert "themes/page.html:1" in panel(second, "page.html").told[0].place
    (builder.themes / "page.html").write_text("{% extends 'default/page.html' %}", "utf-8")
    third = builder.build(ANY)
    assert "second state" in page(third, "page.html")
    assert panel(third, "page.html").count == 0


@pytest.mark.parametrize("name", ["page.html", "own.css", "words.toml"])
def test_a_file_of_a_theme_that_may_not_be_read_is_told(
    name: str, builder: Builder, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = builder.build(ANY)
    builder.themes.mkdir()
    file = builder.themes / name
    file.write_text("", "utf-8")

    def refuse(path: Path, *more: Any, **named: Any) -> IO[Any]:  # noqa: ANN401 - as it is
        if path == file:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
        opened: IO[Any] = really(path, *more, **named)
        return opened

    really = Path.open
    monkeypatch.setattr(Path, "open", refuse)  # root may read anything
    built = builder.build(ANY)
    assert page(built, "page.html") == page(first, "page.html")
    assert f"themes/{name}:1" in panel(built, "page.html").told[0].place


def test_pages_that_come_and_go_while_a_theme_does_not_work_are_told_of(
    builder: Builder, content: Path
) -> None:
    builder.build(ANY)
    builder.themes.mkdir()
    (builder.themes / "page.html").write_text("{{ nobody.knows }}", "utf-8")
    (content / "other.md").rename(content / "else.md")
    (content / "new.md").write_text("# New\n\n[nothing](gone.md)\n", "utf-8")
    built = builder.build(ANY)
    assert [panel(built, f"{name}.html").count for name in ("other", "else", "new")] == [1, 1, 2]
    (builder.themes / "page.html").unlink()
    built = builder.build(ANY)
    assert built.edition.find("other.html") is None
    assert ">Other</h1>" in page(built, "else.html")


def test_a_page_that_is_a_link_is_as_what_it_leads_to(builder: Builder, content: Path) -> None:
    (content / "link.md").symlink_to("page.md")
    builder.build(ANY)
    (content / "page.md").write_text(PAGE.replace("first", "second"), "utf-8")
    assert "second state" in page(builder.build(ANY), "link.html")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("page.html", "{{ nobody.knows }}"),
        ("search.html", "{{ nobody.knows }}"),
        ("words.toml", "[pages]\n"),
    ],
)
def test_a_theme_that_never_worked_gives_way_to_the_default_one(
    content: Path, name: str, text: str
) -> None:
    builder = Builder(content, redraw=False)
    builder.themes.mkdir()
    (builder.themes / name).write_text(text, "utf-8")
    built = builder.build(ANY)
    assert "Words of the first state" in page(built, "page.html")
    assert f"themes/{name}" in panel(built, "page.html").told[0].place
    assert panel(built, "page.html").state == "fresh"


def test_a_template_of_figures_is_seen_at_once(builder: Builder) -> None:
    first = builder.build(ANY)
    builder.themes.mkdir()
    template = builder.themes / "figure.html"
    for word in ("lantern", "lane"):
        template.write_text(f"<p>A {word}</p>", "utf-8")
        assert f"<p>A {word}</p>" in page(builder.build(ANY), "page.html")
    template.unlink()
    assert page(builder.build(ANY), "page.html") == page(first, "page.html")


@pytest.mark.parametrize(
    ("name", "text", "are_set"),
    [
        ("own.css", "p { color: navy }\n", False),
        ("page.html", "{% extends 'default/page.html' %}", False),
        ("own.css", "p { background: url(none.svg) }\n", True),
        ("moves.html", "{% include 'default/moves.html' %}\n", True),
        ("words.toml", "[figure]\nbefore = 'At first'\n", True),
        ("WORDS.TOML", "[figure]\nbefore = 'At first'\n", True),
    ],
)
def test_pages_are_set_anew_where_a_theme_says_how(
    name: str, text: str, are_set: bool, builder: Builder
) -> None:
    builder.themes.mkdir()
    (builder.themes / "own.css").write_text("p { color: red }\n", "utf-8")
    first = builder.build(ANY)
    (builder.themes / name).write_text(text, "utf-8")
    second = builder.build(ANY)
    assert bool(second.state.made) is are_set
    (builder.themes / "own.css").write_text("p { color: red }\n", "utf-8")
    if name != "own.css":
        (builder.themes / name).unlink()
    third = builder.build(ANY)
    assert bool(third.state.made) is are_set
    assert page(third, "page.html") == page(first, "page.html")


def test_parts_are_the_templates_that_the_text_of_pages_asks_for() -> None:
    asked = re.findall(r'self\._templates\.set\(\s*"(.+?)"', getsource(Parts))
    found: set[str] = set()
    while asked:
        found.add(name := asked.pop())
        tree = Environment(autoescape=True).parse((DEFAULT_THEME / name).read_text("utf-8"))
        asked += [one for one in meta.find_referenced_templates(tree) if one and one not in found]
    assert found == PARTS


def test_pages_that_a_template_of_figures_fails_on_stay(builder: Builder) -> None:
    first = builder.build(ANY)
    builder.themes.mkdir()
    (builder.themes / "figure.html").write_text("{{ figure.nothing }}", "utf-8")
    second = builder.build(ANY)
    assert page(second, "page.html") == page(first, "page.html")
    assert panel(second, "page.html").state == "held"
    assert panel(second, "sub/index.html").state == "fresh"


def test_settings_that_a_theme_is_opened_with_are_seen_at_once(
    builder: Builder, content: Path
) -> None:
    builder.themes.mkdir()
    (builder.themes / "words.de.toml").write_text('[search]\nfigure = "Bild {number}"\n', "utf-8")
    builder.build(ANY)
    language = 'lang = "de"\n'
    colour = '[colours]\nU = { letter = "K", name = "black", value = "#123456" }\n'
    for settings, is_german, is_black in (
        (language, True, False),
        (language + colour, True, True),
        (colour, False, True),
    ):
        (content / "site.toml").write_text(settings, "utf-8")
        built = builder.build(ANY)
        assert ('"Bild 1"' in page(built, "search-index.js")) is is_german
        (pictures,) = (one for one in built.edition.items if one.startswith("theme/pictures."))
        assert ("#123456" in page(built, pictures)) is is_black


def test_only_what_changed_is_new(builder: Builder, content: Path) -> None:
    first = builder.build(ANY)
    same = builder.build(ANY)
    assert {item.since for item in same.edition.items.values()} == {first.edition.number}
    (content / "page.md").write_text(PAGE.replace("first", "second"), "utf-8")
    third = builder.build(ANY)
    new = [a for a, item in third.edition.items.items() if item.since == third.edition.number]
    assert new == ["page.html"]
    builder.themes.mkdir()
    (builder.themes / "own.css").write_text("p { color: red }\n", "utf-8")
    fourth = builder.build(ANY)
    pages = {item.since for item in fourth.edition.items.values() if item.panel}
    assert pages == {fourth.edition.number}


def test_a_copied_file_is_known_by_its_state(builder: Builder, content: Path) -> None:
    first = builder.build(ANY).edition.items["sub/a name.txt"]
    assert isinstance(first.content, Copied)
    (content / "sub" / "a name.txt").write_text("longer than before\n", "utf-8")
    second = builder.build(ANY).edition.items["sub/a name.txt"]
    assert second.since > first.since


def test_a_file_that_any_page_may_show_makes_all_pages_new(builder: Builder, content: Path) -> None:
    builder.build(ANY)
    path = content / "sub" / "a name.txt"
    for change in (lambda: path.write_text("other words\n", "utf-8"), path.unlink):
        change()
        edition = builder.build(ANY).edition
        # pages of the content, and one about the whole site
        for address in ("page.html", "sub/index.html", "pieces.html"):
            item = edition.find(address)
            assert item
            assert item.since == edition.number


def test_nothing_is_laid_over_what_is_no_page(builder: Builder) -> None:
    (builder.root / "own.html").write_text("<p>Ours</p>", "utf-8")
    edition = builder.build(ANY).edition
    for address in ("search-index.js", "sub/a name.txt", "own.html"):
        item = edition.find(address)
        assert item
        assert item.panel is None
    item = edition.find("search.html")
    assert item
    assert item.panel


@pytest.mark.parametrize(
    "written",
    [
        "<!doctype html><html><head><title>T</title></head><body class='x'><p>Said</p>",
        "<HTML><HEAD><TITLE>T</TITLE></HEAD ><P>Said</P>",
        "<title>T</title>\n<BODY class='x'><p>Said</p>",
        "<title></title><p>Said</p>",
    ],
)
def test_a_page_of_any_theme_has_the_panel_above_what_it_says(written: str) -> None:
    shown = laid_over(written.encode(), Panel(), "1.1").decode()
    places = [shown.index(one) for one in ("preview.css", 'id="sitegen-preview"', "Said")]
    assert places == sorted(places)
    if "T</" in written.upper():
        assert shown.upper().index("T</TITLE>") < places[0]
    if "<body" in written.lower():
        assert shown.lower().index("<body") < places[1]


def test_a_title_makes_the_lists_of_pages_new(builder: Builder, content: Path) -> None:
    builder.build(ANY)
    (content / "page.md").write_text(PAGE.replace("Four turns", "Some turns"), "utf-8")
    built = builder.build(ANY)
    item = built.edition.find("index.html")
    assert item
    assert item.since == built.edition.number
    assert "Some turns" in page(built, "index.html")


def test_what_stands_around_a_page_makes_it_new(builder: Builder, content: Path) -> None:
    settings = '[[courses]]\ntitle = "One"\npages = ["page.md", "other.md", "sub/index.md"]\n'
    (content / "site.toml").write_text(settings, "utf-8")
    needy = content / "needy.md"
    needy.write_text("---\nneeds: page.md\n---\n\n# Needy\n", "utf-8")
    built = builder.build(ANY)
    first = built.edition.number
    contents = page(built, "index.html")
    assert contents.index("Four turns") < contents.index("Other")
    order = settings.replace('"page.md", "other.md"', '"other.md", "page.md"')
    (content / "site.toml").write_text(order, "utf-8")
    moved = builder.build(ANY)
    assert {moved.edition.items[at].since for at in ("page.html", "other.html")} == {first + 1}
    assert 'class="previous"' not in page(moved, "other.html")
    contents = page(moved, "index.html")
    assert contents.index("Other") < contents.index("Four turns")
    needy.write_text("---\nneeds: other.md\n---\n\n# Needy\n", "utf-8")
    needs_other = builder.build(ANY)
    assert needs_other.edition.items["needy.html"].since == first + 2
    assert needs_other.edition.items["other.html"].since == first + 1


def test_a_template_may_show_any_title(builder: Builder, content: Path) -> None:
    (content / "site.toml").write_text(
        '[[courses]]\ntitle = "One"\npages = ["page.md"]\n'
        '[[courses]]\ntitle = "Two"\npages = ["other.md", "sub/index.md"]\n',
        "utf-8",
    )
    builder.themes.mkdir()
    (builder.themes / "page.html").write_text(
        '{% extends "default/page.html" %}{% block tail %}'
        "{% for one in site.courses[1].pages %}({{ one.title }}){% endfor %}{% endblock %}",
        "utf-8",
    )
    assert "(Below)" in page(builder.build(ANY), "page.html")
    (content / "sub" / "index.md").write_text("# Beneath\n", "utf-8")
    assert "(Beneath)" in page(builder.build(ANY), "page.html")


def test_titles_make_all_new_that_shows_them(builder: Builder, content: Path) -> None:
    """Those of a figure the lists of figures, that of the site every page."""
    for word in ("door", "lantern"):
        titled = PAGE.replace("moves: R", f"title: A {word}\nmoves: R")
        (content / "page.md").write_text(titled, "utf-8")
        assert f"A {word}" in page(builder.build(ANY), "search-index.js")
    (content / "site.toml").write_text('title = "Lantern Court"\n', "utf-8")
    built = builder.build(ANY)
    for address in ("sub/index.html", "search.html"):
        assert "Lantern Court" in page(built, address)
        item = built.edition.find(address)
        assert item
        assert item.since == built.edition.number


def test_an_ended_preview_gives_up_its_build(builder: Builder) -> None:
    builder.stopping.set()
    with pytest.raises(Stopped):
        builder.build(ANY)


EMPTY = """# Empty

> - In a quote and a list:
>
>   ```moves
>   moves: R U R' U'
>   after:
>   check: order 6
>   ```
"""

FILLED = """# Empty

> - In a quote and a list:
>
>   ```moves
>   moves: R U R' U'
>   after:
{rows}
>   check: order 6
>   ```
"""


def rows(built: Built) -> str:
    (told,) = panel(built, "page.html").told
    (paste,) = told.paste
    assert (paste.key, paste.line) == ("after", 7)
    return "\n".join(paste.rows)


def test_an_empty_net_is_shown_ready_to_paste(builder: Builder, content: Path) -> None:
    (content / "other.md").unlink()
    (content / "page.md").write_text(EMPTY, "utf-8")
    net = rows(builder.build(ANY))
    assert (content / "page.md").read_text("utf-8") == EMPTY
    (content / "page.md").write_text(FILLED.format(rows=net), "utf-8")
    assert panel(builder.build(ANY), "page.html").count == 0


def test_with_redraw_it_is_written_into_the_saved_page(content: Path) -> None:
    (content / "other.md").unlink()
    path = content / "page.md"
    path.write_text(EMPTY, "utf-8")
    builder = Builder(content, redraw=True)
    net = rows(builder.build(ANY))  # not saved while it was watched
    assert path.read_text("utf-8") == EMPTY
    built = builder.build(frozenset({path.resolve()}))
    assert path.read_text("utf-8") == FILLED.format(rows=net)
    assert built.redrawn == (("page.md", 7),)
    assert built.state.holds
    again = builder.build(frozenset({path.resolve()}))
    assert again.redrawn == ()


@pytest.mark.parametrize("claim", ["order 7", "orders"])
def test_nothing_is_written_where_something_else_fails(content: Path, claim: str) -> None:
    path = content / "page.md"
    path.write_text(EMPTY.replace("order 6", claim), "utf-8")
    built = Builder(content, redraw=True).build(frozenset({path.resolve()}))
    assert built.redrawn == ()
    assert path.read_text("utf-8") == EMPTY.replace("order 6", claim)


@pytest.mark.parametrize("stale", [BROKEN, PAGE.replace("GGW", "GOW")])
def test_a_stale_net_is_the_authors_to_judge(content: Path, stale: str) -> None:
    path = content / "page.md"
    path.write_text(stale, "utf-8")
    assert Builder(content, redraw=True).build(frozenset({path.resolve()})).redrawn == ()
    assert path.read_text("utf-8") == stale


def test_nets_are_written_into_the_saved_page_alone(content: Path) -> None:
    empty = "```moves\nfrom: {}#four-turns\nmoves: R U\nafter:\n```\n"
    (content / "page.md").write_text(f"{PAGE}\n{empty.format('')}", "utf-8")
    other = f"# Other\n\n{empty.format('page.md')}"
    (content / "other.md").write_text(other, "utf-8")
    saved = frozenset({(content / "page.md").resolve()})
    assert Builder(content, redraw=True).build(saved).redrawn == (("page.md", 17),)
    assert (content / "other.md").read_text("utf-8") == other


def test_blocks_that_lean_on_one_another_are_all_filled(content: Path) -> None:
    path = content / "page.md"
    block = "```moves a\nmoves: R U\nafter:\n```\n\n```moves b\nfrom: #a\nmoves: F\nafter:\n```\n"
    path.write_text("# Two\n\n" + block, "utf-8")
    (content / "other.md").unlink()
    built = Builder(content, redraw=True).build(frozenset({path.resolve()}))
    assert built.state.holds
    assert len(built.redrawn) == 2


def test_a_page_changed_meanwhile_is_not_written_over(
    content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (content / "other.md").unlink()
    path = content / "page.md"
    path.write_text(EMPTY, "utf-8")
    builder = Builder(content, redraw=True)
    again = Making.judge_again  # called between reading and writing

    def slow(making: Making, file: str) -> Made:
        made = again(making, file)
        path.write_text(EMPTY + "\nMore words.\n", "utf-8")
        return made

    monkeypatch.setattr(Making, "judge_again", slow)
    assert builder.build(frozenset({path.resolve()})).redrawn == ()
    assert path.read_text("utf-8") == EMPTY + "\nMore words.\n"


def test_a_page_made_a_link_out_of_the_folder_is_not_written(
    content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, outside = content / "page.md", content.parent / "outside.md"
    for one in (path, outside):
        one.write_text(EMPTY, "utf-8")

    def swapped(made: Made, file: str) -> bytes:
        before = as_judged(made, file)
        path.unlink()
        path.symlink_to(outside)
        return before

    monkeypatch.setattr("sitegen.preview.builder.as_judged", swapped)
    assert Builder(content, redraw=True).build(frozenset({path})).redrawn == ()
    assert outside.read_text("utf-8") == EMPTY

"""Small sites whose pages lean on one another in every way, edited by chance, and built."""

from __future__ import annotations

import contextlib
import io
import re
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from folders import tree
from sitegen.commands.main import main

if TYPE_CHECKING:
    import random
    from collections.abc import Callable

SITE = Path(__file__).with_name("site")
CIRCLES = Path(__file__).with_name("circles")
"""A site of pages that lean on one another in circles, by their blocks or their prose."""


@dataclass(frozen=True)
class Told:
    """What a build told, and its exit status."""

    status: int
    report: str


def begin(first: Path, site: Path) -> Path:
    """A folder with one of the sites in it, and with all of it a second time, to be mended from."""
    shutil.copytree(first, site)
    shutil.copytree(first / "content", site / "first")
    return site


def run(command: str, site: Path, *more: str) -> Told:
    """What a command tells of the site in a folder."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        status = main([command, str(site / "content"), "--format", "json", *more])
    return Told(status, said.getvalue())


def build(site: Path, *more: str, out: str = "out") -> Told:
    """Build the site in a folder into another one there."""
    return run("build", site, "--out", str(site / out), *more)


def build_clean(site: Path, scratch: Path, *more: str) -> tuple[Told, dict[str, bytes]]:
    """The same content built in a folder where nothing was built before, and its files."""
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir()
    for name in ("content", "themes"):
        if (site / name).exists():
            shutil.copytree(site / name, scratch / name)
    told = build(scratch, *more)
    return told, tree(scratch / "out")


def edit(chance: random.Random, site: Path, *, mend: bool) -> str:
    """Change something, and say what.

    Args:
        chance: chooses.
        site: the folder.
        mend: put the folder back to where everything held.
    """
    change = all_as_it_was if mend else chance.choice(EDITS)
    return f"{change.__name__}: {change(chance, site)}"


def _pages(site: Path) -> list[Path]:
    return sorted(path for path in (site / "content").rglob("*.md") if path.is_file())


def _page(chance: random.Random, site: Path) -> Path:
    return chance.choice(_pages(site))


def _text(page: Path) -> str:
    return page.read_text("utf-8", "surrogateescape")


def _write(page: Path, text: str) -> None:
    page.write_text(text, "utf-8", "surrogateescape")


def _replace(chance: random.Random, site: Path, pattern: str, new: str) -> str:
    """Replace one place that a pattern finds on some page."""
    places = [(p, m) for p in _pages(site) for m in re.finditer(pattern, _text(p), re.MULTILINE)]
    if not places:
        return "nothing to change"
    page, found = chance.choice(places)
    text = _text(page)
    _write(page, text[: found.start()] + found.expand(new) + text[found.end() :])
    return f"{page.relative_to(site)}: {found[0]!r} became {found.expand(new)!r}"


def a_sentence(chance: random.Random, site: Path) -> str:
    page = _page(chance, site)
    _write(page, f"{_text(page)}\nA sentence {chance.random()}.\n")
    return page.name


def as_long(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"\b(words|WORDS|sword)\b", chance.choice(["WORDS", "sword"]))


def a_line_above(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"^```moves", "A line.\n\n```moves")


def a_number(chance: random.Random, site: Path) -> str:
    """A claim that holds no more, or holds again."""
    return _replace(chance, site, r"^check: (turns|order) \d", rf"check: \1 {chance.randint(1, 6)}")


def no_text(chance: random.Random, site: Path) -> str:
    page = _page(chance, site)
    page.write_bytes(b"# No text \xff\n")
    return page.name


def linked(chance: random.Random, site: Path) -> str:
    page = site / "content" / "linked.md"
    if page.is_symlink():
        page.unlink()
    else:
        page.symlink_to(_page(chance, site))
    return page.name


def moves(chance: random.Random, site: Path) -> str:
    turns = chance.choice(["R U R' U'", "U R U' R'", "F2", "D L", "R2 U2", "Rw U Rw' U'"])
    return _replace(chance, site, r"^moves: .*$", f"moves: {turns}")


def moves_and_claims(chance: random.Random, site: Path) -> str:
    """Other moves in a block that states nothing which these could break."""
    count = chance.randint(1, 9)
    turns = " ".join(chance.choice(["R U", "L D", "F B", "U F"]) for _ in range(count))
    return _replace(
        chance,
        site,
        r"^moves: .*\ncheck: .*$",
        f"moves: {turns}\ncheck: turns {2 * count} QTM",
    )


def an_id(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"^```moves ?\S*$", f"```moves id-{chance.randint(1, 4)}")


def a_reference(chance: random.Random, site: Path) -> str:
    page = chance.choice(["", "one.md", "two.md", "three.md", "../first/one.md", "none.md"])
    name = chance.choice(["base", "goes-on", "wide-four", "id-1", "id-2"])
    return _replace(chance, site, r"^(from|to): .*$", rf"\1: {page}#{name}")


def a_new_reference(chance: random.Random, site: Path) -> str:
    key, name = chance.choice(["from", "to"]), chance.choice(["base", "goes-on", "id-1"])
    page = chance.choice(["one.md", "two.md", "three.md", "../first/two.md"])
    return _replace(chance, site, r"^(```moves.*)$", rf"\1\n{key}: {page}#{name}")


def no_references(chance: random.Random, site: Path) -> str:
    return _replace(
        chance, site, r"^(from|to): .*\nmoves: .*\ncheck: .*$", "moves: F2\ncheck: order 2"
    )


def a_title(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"^(title: |# ).*$", rf"\1Title {chance.randint(1, 99)}")


def a_summary(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"^(title: .*)$", rf"\1\nsummary: Number {chance.randint(1, 9)}")


def fewer_summaries(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"^summary: .*\n", "")


def a_heading(chance: random.Random, site: Path) -> str:
    name = chance.choice(["A heading", "Later", "Another"])
    return _replace(chance, site, r"^## .*$", f"## {name}")


def a_draft(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"^(title: .*)$", r"\1\ndraft: yes")


def no_draft(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"^draft: yes\n", "")


def a_language(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"^(title: .*)$", r"\1\nlang: de")


def no_language(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"^lang: de\n", "")


def a_cube(chance: random.Random, site: Path) -> str:
    return _replace(chance, site, r"^cube: \d$", f"cube: {chance.choice('345')}")


def a_top(chance: random.Random, site: Path) -> str:
    """A line above all blocks, of a page or the site, that cannot be read."""
    new = chance.choice(["cube: five", "lowercase: broad", "cube: 4", "title: [", "cub: 4"])
    if chance.random() < 0.8:
        return _replace(chance, site, r"^(cube: .*|title: .*)$", new)
    path = site / "content" / "site.toml"
    new = chance.choice(['cube = "five"', 'metric = "HTM"', "lowercase = ", "cube = 3"])
    path.write_text(path.read_text("utf-8").replace("language = 1", new), "utf-8")
    return new


def a_link(chance: random.Random, site: Path) -> str:
    to = chance.choice(
        ["one.md", "two.md#later", "../loose.md", "../index.html", "../pieces/5.html", "new-1.md"]
    )
    return _replace(chance, site, r"\]\([^)]*\)", f"]({to})")


def a_term(chance: random.Random, site: Path) -> str:
    return _replace(
        chance, site, r"^(Corner|Words|Link)$", chance.choice(["Corner", "Words", "Link"])
    )


def a_merge(chance: random.Random, site: Path) -> str:
    """What a merge left taken out everywhere; or, where there is none, left in some page."""
    for page in _pages(site):
        text = _text(page)
        if "<<<<<<<" in text:
            _write(page, re.sub(r"(?s)<<<<<<< one\n(.*?)=======\n.*?>>>>>>> two\n", r"\1", text))
            return f"none in {page.name}"
    return _replace(chance, site, r"^(.+\n)", r"<<<<<<< one\n\1=======\n\1>>>>>>> two\n")


def renamed(chance: random.Random, site: Path) -> str:
    page = _page(chance, site)
    target = page.with_name(f"new-{chance.randint(1, 3)}.md")
    page.replace(target)
    return f"{page.name} became {target.name}"


def a_former_name(chance: random.Random, site: Path) -> str:
    """A page that says it was once called as references do that lead nowhere."""
    name = chance.choice(["none.md", "one.md"])
    return _replace(chance, site, r"^(title: .*)\n(?!formerly)", rf"\1\nformerly: {name}\n")


def a_page_needed(chance: random.Random, site: Path) -> str:
    """A page to be read first: they may come to need one another in a circle."""
    name = chance.choice(["one.md", "two.md", "three.md"])
    return _replace(chance, site, r"^(title: .*)\n(?:needs: .*\n)?", rf"\1\nneeds: {name}\n")


def renamed_as_listed(chance: random.Random, site: Path) -> str:
    """One of the first pages brought back, under its name."""
    page = chance.choice(sorted((site / "first").rglob("*.md")))
    shutil.copy(page, site / "content" / page.relative_to(site / "first"))
    return page.name


def all_as_it_was(_chance: random.Random, site: Path) -> str:
    """The folder as it was at first: what was broken holds again."""
    shutil.rmtree(site / "content")
    shutil.rmtree(site / "themes", ignore_errors=True)
    shutil.copytree(site / "first", site / "content")
    return "all"


def deleted(chance: random.Random, site: Path) -> str:
    page = _page(chance, site)
    if len(_pages(site)) > 3:
        page.unlink()
    return page.name


def added(chance: random.Random, site: Path) -> str:
    name = f"new-{chance.randint(1, 4)}.md"
    folder = chance.choice(["", "first", "second"])
    (site / "content" / folder).mkdir(exist_ok=True)
    (site / "content" / folder / name).write_text(
        f"# New {chance.randint(1, 9)}\n\nA corner.\n\n"
        "```moves id-1\nmoves: R2\ncheck: order 2\n```\n",
        "utf-8",
    )
    return f"{folder}/{name}"


def a_picture(chance: random.Random, site: Path) -> str:
    path = site / "content" / "pictures" / chance.choice(["dot.svg", "other.svg", "more.svg"])
    path.parent.mkdir(exist_ok=True)
    if path.exists() and path.name != "dot.svg":
        path.unlink()
    else:
        path.write_text(f"<svg xmlns='http://www.w3.org/2000/svg'><!-- {chance.random()} --></svg>")
    return path.name


def a_page_of_ours(chance: random.Random, site: Path) -> str:
    """A file put in the place of one that the program writes, or taken away again."""
    path = (
        site / "content" / chance.choice(["index.html", "contents.html", "Search.html", "404.html"])
    )
    if path.exists():
        path.unlink()
    else:
        path.write_text("<!doctype html><title>Ours</title>", "utf-8")
    return path.name


def settings(chance: random.Random, site: Path) -> str:
    path = site / "content" / "site.toml"
    text = path.read_text("utf-8")
    old, new = chance.choice(
        [
            ('"First"', '"First of all"'),
            ('"First of all"', '"First"'),
            ('pages = ["first/one.md", "first/two.md"', 'pages = ["first/two.md", "first/one.md"'),
            ('pages = ["one.md", "two.md"', 'pages = ["two.md", "one.md"'),
            ('["deep/four.md", "deep/five.md"]', '["deep/five.md"]'),
            ("cube = 2", "cube = 3"),
            ('summary = "Lessons"', "letters = true"),
            ("four = \"R U R' U'\"", "four = \"U R U' R'\""),
            ("[sequences]", '[colours]\nU = { value = "#fefefe" }\n\n[sequences]'),
            ('title = "Lantern', 'title = "The Lantern'),
            ('url = "https://lantern-lane.example/"\n', ""),
            ('lang = "en"', 'lang = "fr"'),
        ]
    )
    path.write_text(text.replace(old, new), "utf-8")
    return f"{old} became {new}"


def a_theme(chance: random.Random, site: Path) -> str:
    folder = site / "themes"
    folder.mkdir(exist_ok=True)
    what = chance.choice(["sheet", "words", "page", "figure", "none", "none", "broken", "unclosed"])
    number = chance.randint(1, 99)
    if what == "sheet":
        (folder / "own.css").write_text(f"body {{ margin: {number}px; }}\n")
    elif what == "words":
        (folder / "words.de.toml").write_text(f'[page]\nnext = "Weiter {number}"\n', "utf-8")
    elif what == "page":
        (folder / "page.html").write_text(
            '{% extends "default/page.html" %}{% block tail %}'
            "{% for course in site.courses %}{% for one in course.pages %}{{ one.title }} "
            "{% endfor %}{% endfor %}{% endblock %}"
        )
    elif what == "figure":
        (folder / "figure.html").write_text(f'<p id="{{{{ figure.id }}}}">{number}</p>\n')
    elif what == "broken":
        (folder / "box.html").write_text("{% if %}")
    elif what == "unclosed":
        (folder / "own.css").write_text(f"body {{ margin: {number}px;\n")
    else:
        shutil.rmtree(folder)
    return what


def touched(chance: random.Random, site: Path) -> str:
    page = _page(chance, site)
    page.touch()
    return page.name


def nothing(_chance: random.Random, _site: Path) -> str:
    return ""


def lost(chance: random.Random, site: Path) -> str:
    """What is kept deleted, or one of its files damaged."""
    files = sorted(p for p in (site / ".sitegen").rglob("*") if p.is_file())
    how = chance.choice(["all", "one", "cut", "flipped", "other"])
    if how == "all" or not files:
        shutil.rmtree(site / ".sitegen", ignore_errors=True)
        return "all"
    path = chance.choice(files)
    data = path.read_bytes()
    if how == "one":
        path.unlink()
    elif how == "cut":
        path.write_bytes(data[: chance.randrange(len(data))])
    elif how == "flipped":
        at = chance.randrange(len(data))
        path.write_bytes(data[:at] + bytes([data[at] ^ 1 << chance.randrange(8)]) + data[at + 1 :])
    else:
        path.write_bytes(chance.choice([b"{}", b"", b"[]\n[]", b"sitegen kept 3 0\n{}\n{}"]))
    return f"{how} {path.name}"


def the_site(chance: random.Random, site: Path) -> str:
    """A published file changed by hand."""
    files = sorted((site / "out").rglob("*.html"))
    if not files:
        return "none"
    path = chance.choice(files)
    path.write_bytes(path.read_bytes() + b"<!-- by hand -->")
    return path.name


_COMMON: list[Callable[[random.Random, Path], str]] = [a_sentence, moves_and_claims, a_title]
EDITS: list[Callable[[random.Random, Path], str]] = [
    *(_COMMON * 3),
    as_long,
    a_line_above,
    a_number,
    no_text,
    linked,
    moves,
    an_id,
    a_reference,
    a_new_reference,
    no_references,
    a_summary,
    fewer_summaries,
    a_heading,
    a_draft,
    no_draft,
    a_language,
    no_language,
    a_cube,
    *([a_top] * 3),
    a_link,
    a_term,
    *([a_merge] * 2),
    renamed,
    a_former_name,
    a_page_needed,
    *([renamed_as_listed] * 2),
    all_as_it_was,
    deleted,
    added,
    a_picture,
    a_page_of_ours,
    settings,
    a_theme,
    touched,
    nothing,
    lost,
    the_site,
]

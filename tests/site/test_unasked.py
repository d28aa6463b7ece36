"""Files of a site's own theme that nothing asks for, and those that something does."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from folders import written
from sitegen.pages.formats.parts import theme_opener
from sitegen.pages.formats.theme import error_of

if TYPE_CHECKING:
    from pathlib import Path

    from sitegen.problem import Problem


def told(own: Path, files: dict[str, str]) -> list[Problem]:
    error = error_of(lambda: theme_opener(written(own, files))("en"))
    return error.problems(own) if error else []


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("figur.html", "did you mean `figure.html`?"),
        ("figure.htm", "did you mean `figure.html`?"),
        ("Figure.HTML", "did you mean `figure.html`?"),
        ("parts/figure.html", "did you mean `figure.html`?"),
        ("fotter.html", "name it in a template of yours"),
        ("owm.css", "did you mean `own.css`?"),
        ("never.css", "name it in a template or a stylesheet of yours"),
        ("figure.js", "did you mean `figures.js`?"),
        ("word.toml", "words stand in `words.toml`"),
        ("words-de.toml", "in, say, `words.de.toml`"),
        ("words.german.toml", "in, say, `words.de.toml`"),
        ("parts/words.toml", "words stand in `words.toml`"),
    ],
)
def test_what_nothing_asks_for_is_told(name: str, says: str, tmp_path: Path) -> None:
    (problem,) = told(tmp_path, {name: "", "own.css": "a { color: green }"})
    assert (problem.file, problem.line) == (name, 1)
    assert "nothing asks for this file" in problem.message
    assert says in problem.message


def test_what_something_asks_for_is_not_told(tmp_path: Path) -> None:
    files = {
        "base.html": '{% extends "default/base.html" %}{% include ["gone.html", "parts/a.html"] %}'
        '<script src="{{ "talk.js"|asset }}"></script>{{ "night.css"|asset|link }}',
        "parts/a.html": '{% from "./parts/b.html" import c %}',
        "parts/b.html": "{% macro c() %}{% endmacro %}",
        "pictures.css": "",
        "own.css": '@import "more/day.css";',
        "more/day.css": 'a { background: url("../lamp.svg") }\n@import "dusk.css";',
        "more/dusk.css": "",
        "night.css": "",
        "talk.js": "",
        "words.toml": "",
        "words.de-CH.toml": "",
        "lamp.svg": "<svg/>",
        "for-later.svg": "<svg/>",
        "faces/LICENCE": "",
        ".kept.html": "",
        "base.html~": "",
        "#base.html#": "",
        "base.html.orig": "",
        "Thumbs.db": "",
    }
    assert told(tmp_path, files) == []


@pytest.mark.parametrize(
    "named",
    [
        '{% include "parts/" ~ kind ~ ".html" %}',
        '{% include "parts/note.txt" %}',
        "{{ (kind ~ '.css')|asset }}",
        '{{ [kind]|map("asset")|join }}',
        "{% filter asset %}note.css{% endfilter %}",
        "{% if %}",
    ],
)
def test_nothing_is_told_where_a_template_may_name_any_file(named: str, tmp_path: Path) -> None:
    files = {"box.html": named, "parts/note.html": "", "note.css": "", "word.toml": ""}
    found = [one.file for one in told(tmp_path, files) if "nothing asks" in one.message]
    assert found == ["word.toml"]


def test_words_of_a_language_that_no_page_is_in_are_read(tmp_path: Path) -> None:
    files = {"words.de.toml": '[page]\nnexts = "weiter"\n', "words.toml": "[pages]\n"}
    found = [(one.file, one.line) for one in told(tmp_path, files)]
    assert found == [("words.de.toml", 2), ("words.toml", 1)]


def test_a_block_of_no_template_is_told(tmp_path: Path) -> None:
    extends = '{% extends "default/base.html" %}\n'
    own = "{% block footer %}{% block lamp %}{% endblock %}{{ self.bell() }}{% endblock %}\n"
    base = f"{extends}{own}{{% block bell %}}{{% endblock %}}\n{{% block fotter %}}{{% endblock %}}"
    page = '{% extends "base.html" %}{% block lamp %}{% endblock %}{% block x %}{% endblock %}'
    any_one = "{% extends site.title %}{% block x %}{% endblock %}"
    round_again = '{% extends "index.html" %}{% block x %}{% endblock %}'
    files = {"base.html": base, "page.html": page, "nav.html": any_one, "index.html": round_again}
    problems = told(tmp_path, files)
    assert [(one.file, one.line) for one in problems] == [("base.html", 4), ("page.html", 1)]
    first, second = (one.message for one in problems)
    assert "no block `fotter`" in first
    assert first.endswith("did you mean `footer`?")
    assert "no block `x`" in second
    assert "`lamp`" in second


def test_no_block_is_told_where_another_template_may_ask_for_it(tmp_path: Path) -> None:
    block = "{% block x %}{% endblock %}"
    files = {
        "page.html": '{% extends "base.html" %}' + block,
        "base.html": "{% extends 'default/base.html' %}{% block footer %}"
        "{% if self.x is defined %}{{ self.x() }}{% endif %}{% endblock %}",
        "index.html": '{% extends "list.html" %}' + block,
        "list.html": "{% extends site.title %}{% block y %}{% endblock %}",
        "nav.html": '{% if page %}{% extends "default/base.html" %}{% endif %}' + block,
        "card.html": '{% if page %}{% extends "default/base.html" %}{% else %}'
        '{% extends "default/page.html" %}{% endif %}' + block,
    }
    assert [one.message for one in told(tmp_path, files) if "no block" in one.message] == []


@pytest.mark.parametrize(
    ("asks", "count"),
    [
        ("{{ self.x() }}", 0),
        ('{{ self["x"]() }}', 0),
        ('{{ self["y"]() }}', 1),
        ("{{ self[site.title]() }}", 0),
        ('{{ self|attr("x") }}', 0),
        ("{% set blocks = self %}{{ blocks.x() }}", 0),
    ],
)
def test_a_block_may_be_asked_for_in_any_words(asks: str, count: int, tmp_path: Path) -> None:
    around = (
        '{% extends "default/base.html" %}{% block footer %}{% if no %}@{% endif %}{% endblock %}'
    )
    text = around.replace("@", asks) + "{% block x %}{% endblock %}"
    problems = told(tmp_path, {"page.html": text})
    assert len([one for one in problems if "no block `x`" in one.message]) == count

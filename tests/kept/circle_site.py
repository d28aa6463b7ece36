"""A small site whose pages lean on one another in circles, edited at random, and built."""

from __future__ import annotations

import contextlib
import io
import json
import os
import shutil
from typing import TYPE_CHECKING, Final

from folders import tree, written
from sitegen.commands.main import main
from sitegen.make import make

if TYPE_CHECKING:
    import random
    from collections.abc import Callable
    from pathlib import Path

SETTINGS: Final = """title = "Lantern Lane Cube Club"
cube = 2
summary = "Lessons"

[sequences]
turn-about = "R U R' U'"

[[courses]]
title = "First"
pages = ["a.md", "b.md", "c.md"]

[[courses]]
title = "Second"
pages = ["deep/d.md", "deep/e.md"]
"""

A: Final = """---
title: A
summary: What it is about.
---

Some words about `R U`, and [b](b.md#second), [d](deep/d.md), ![p](p.txt).

```moves one
moves: R U
check: turns 2 OBTM
```

## A heading

The other one has `b.md#two turns` turns, this one `#one turns`.
"""

B: Final = """# B

```moves two
from: a.md#one
moves: {turn-about} F
check: turns 5 OBTM
```

## Second

It begins where [a](a.md#one) ends; `#two order`.
"""

C: Final = """---
title: C
needs: a.md deep/d.md
---

```note
A note with `R`, and `a.md#one order`.
```

```moves three
from: b.md#two
moves: U2
check: order 2
```

```moves four
to: deep/e.md#six start
moves: U
check: turns 1 OBTM
```
"""

D: Final = """# D

```moves five
moves: R2 U2
check: order 3
```

See [the draft](../draft.md) not, see [c](../c.md).
"""

E: Final = """# E

```moves six
from: ../c.md#three
moves: L
mark: UFR = a
check: turns 1 OBTM
```
"""

DRAFT: Final = """---
title: Unfinished
draft: true
---

```moves
from: a.md#one start
moves: D
check: turns 1 OBTM
```
"""


def write_site(folder: Path) -> None:
    """Write the content folder of a site, and its theme's folder."""
    texts = {
        "site.toml": SETTINGS,
        "a.md": A,
        "b.md": B,
        "c.md": C,
        "deep/d.md": D.replace("See [the draft](../draft.md) not, see", "See"),
        "deep/e.md": E,
        "draft.md": DRAFT,
        "p.txt": "a picture, as it were",
    }
    written(folder / "content", texts)


def told(*arguments: object) -> tuple[int, str]:
    """The status of a command, and all that it prints."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        status = main([*map(str, arguments)])
    return status, out.getvalue()


class Club:
    """A site that is edited, and built again and again in one place."""

    def __init__(self, folder: Path, chance: random.Random) -> None:
        self.folder = folder
        self.content = folder / "content"
        self.chance = chance
        self.clean = folder.parent / f"{folder.name}-clean"
        write_site(folder)

    def assert_same(self, out: str, *options: str) -> None:
        """A build here tells and makes what one does that has no past."""
        shutil.rmtree(self.clean, ignore_errors=True)
        shutil.copytree(
            self.folder,
            self.clean,
            ignore=lambda _, names: {".sitegen", "out", "review"} & {*names},
        )
        once = told("build", self.content, "--out", self.folder / out, *options)
        fresh = told("build", self.clean / "content", "--out", self.clean / out, *options)
        assert once == fresh
        if (self.clean / out).exists():  # else nothing was published
            assert tree(self.folder / out) == tree(self.clean / out)
        assert told("check", self.content) == told("check", self.clean / "content")
        # the folder wholly held in memory, as `--mend` has it, is judged by other ways to the same
        made = make(self.content, lambda _done, _total: None)
        listed = json.loads(told("check", self.content, "--format", "json")[1])["problems"]
        assert [
            (p["file"], p["line"], p["column"], p["message"], p["waiting"]) for p in listed
        ] == [(p.file, p.line, p.column, p.message, p.waiting) for p in made.problems]

    def edit(self) -> str:
        """Change something; which edit it was."""
        edit = self.chance.choice(EDITS)
        with contextlib.suppress(OSError, IndexError, UnicodeDecodeError):
            edit(self)
        return edit.__name__

    def page(self) -> Path:
        """Some page."""
        return self.chance.choice(sorted(self.content.rglob("*.md")))

    def change(self, path: Path, old: str, new: str) -> None:
        """Replace something in a file, in place or by another file; as an editor would."""
        text = path.read_text("utf-8").replace(old, new, 1)
        if self.chance.random() < 0.5:
            path.write_text(text, "utf-8")
            return
        beside = path.with_name(".beside")
        beside.write_text(text, "utf-8")
        beside.replace(path)


def sentence(club: Club) -> None:
    path = club.page()
    path.write_text(f"{path.read_text('utf-8')}\nMore {club.chance.random()}.\n", "utf-8")


def same_length(club: Club) -> None:
    club.change(
        club.content / "a.md", "words", club.chance.choice(["swords"[1:], "sword", "WORDS"])
    )


def line_above(club: Club) -> None:
    club.change(club.page(), "```moves", "A line.\n\n```moves")


def moves(club: Club) -> None:
    club.change(
        club.page(), *club.chance.choice([("R U", "U R"), ("U2", "F2"), ("moves: L", "moves: F")])
    )


def break_claim(club: Club) -> None:
    club.change(club.page(), *club.chance.choice([("turns 2", "turns 3"), ("order 3", "order 7")]))


def mend_claim(club: Club) -> None:
    for path in club.content.rglob("*.md"):
        club.change(path, "turns 3", "turns 2")
        club.change(path, "order 7", "order 3")


def title(club: Club) -> None:
    club.change(club.page(), "title: ", f"title: {club.chance.choice('XYZ')}")


def heading(club: Club) -> None:
    club.change(club.page(), "## Second", f"## Second {club.chance.choice('XYZ')}")


def rename_block(club: Club) -> None:
    club.change(
        club.page(), *club.chance.choice([("moves one", "moves once"), ("moves once", "moves one")])
    )


def circle(club: Club) -> None:
    club.change(club.content / "a.md", "moves: R U", "from: c.md#three\nmoves: R U")


def circle_of_needs(club: Club) -> None:
    club.change(club.content / "a.md", "summary:", "needs: c.md\nsummary:")


def no_circle(club: Club) -> None:
    club.change(club.content / "a.md", "from: c.md#three\n", "")
    club.change(club.content / "a.md", "needs: c.md\n", "")


def add_page(club: Club) -> None:
    name = f"new-{club.chance.randint(1, 3)}.md"
    (club.content / name).write_text("# New\n\n[a](a.md) `b.md#two turns`\n", "utf-8")


def remove_page(club: Club) -> None:
    pages = [*club.content.glob("new-*.md"), club.content / "draft.md", club.content / "deep/e.md"]
    club.chance.choice(pages).unlink()


def rename_page(club: Club) -> None:
    (club.content / "b.md").rename(club.content / "bb.md")


def rename_page_back(club: Club) -> None:
    (club.content / "bb.md").rename(club.content / "b.md")


def publish_draft(club: Club) -> None:
    club.change(club.content / "draft.md", "draft: true", "draft: false")


def no_text(club: Club) -> None:
    (club.content / "deep/d.md").write_bytes(b"# D \xff\n")


def text_again(club: Club) -> None:
    (club.content / "deep/d.md").write_text(D.replace("[the draft](../draft.md)", "it"), "utf-8")


def settings(club: Club) -> None:
    edits = [
        ('title = "Lantern Lane', 'title = "The Lantern Lane'),
        ("cube = 2", "cube = 3"),
        ("turn-about = \"R U R' U'\"", "turn-about = \"U R U' R'\""),
        ('"b.md", "c.md"', '"c.md", "b.md"'),
        ('title = "Second"', 'title = "Other"'),
        ("cube = 3", "cube = 2"),
        ('["deep/d.md", "deep/e.md"]', '["deep/e.md"]'),
        ("[sequences]", '[colours]\nU = { letter = "K", name = "pink" }\n\n[sequences]'),
        ('summary = "Lessons"', "letters = true"),
    ]
    club.change(club.content / "site.toml", *club.chance.choice(edits))


def reset_settings(club: Club) -> None:
    (club.content / "site.toml").write_text(SETTINGS, "utf-8")


def own_page(club: Club) -> None:
    theme = club.folder / "themes"
    theme.mkdir(exist_ok=True)
    word = club.chance.choice(["aha", "oho", "{{ site.courses|length }}", "{{ nothing }}"])
    text = '{% extends "default/page.html" %}{% block tail %}' + word + "{% endblock %}"
    (theme / "page.html").write_text(text, "utf-8")


def own_sheet(club: Club) -> None:
    (club.folder / "themes").mkdir(exist_ok=True)
    text = f"p {{ margin: {club.chance.randint(0, 9)}px }}"
    (club.folder / "themes" / "own.css").write_text(text, "utf-8")


def no_theme(club: Club) -> None:
    shutil.rmtree(club.folder / "themes", ignore_errors=True)


def other_file(club: Club) -> None:
    path = club.content / club.chance.choice(["p.txt", "q.txt", "404.html", "b.html"])
    path.write_text(club.chance.choice(["one", "two", "six!"]), "utf-8")


def no_other_file(club: Club) -> None:
    (club.content / club.chance.choice(["p.txt", "q.txt", "404.html", "b.html"])).unlink()


def a_link(club: Club) -> None:
    (club.content / "linked.md").symlink_to("a.md")


def touch(club: Club) -> None:
    os.utime(club.page())


def lose_a_record(club: Club) -> None:
    club.chance.choice(sorted((club.folder / ".sitegen" / "pages").iterdir())).unlink()


def touch_the_output(club: Club) -> None:
    club.chance.choice(sorted((club.folder / "out").rglob("*.html"))).write_text("x", "utf-8")


def nothing(club: Club) -> None:
    del club


EDITS: Final[tuple[Callable[[Club], None], ...]] = (
    *(
        sentence,
        same_length,
        line_above,
        moves,
        break_claim,
        mend_claim,
        mend_claim,
        title,
        heading,
    ),
    *(rename_block, circle, circle_of_needs, no_circle, no_circle, add_page, remove_page),
    rename_page,
    *(rename_page_back, rename_page_back, publish_draft, no_text, text_again, text_again, settings),
    *(reset_settings, own_page, own_sheet, no_theme, other_file, no_other_file, a_link, touch),
    *(lose_a_record, touch_the_output, nothing),
)

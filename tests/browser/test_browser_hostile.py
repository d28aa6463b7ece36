"""Pages full of markup, script and template syntax: nothing of it runs, and nothing is asked for.

The browser is told to ignore the pages' Content-Security-Policy: what holds is that everything is
escaped, and the policy is a second wall behind it.
"""

from __future__ import annotations

import json
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from browser.browser_site import serve
from chromium import watched
from sitegen.block.keys import KEYS
from sitegen.commands.main import main

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from browser.browser_site import Served

DOT = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"><path d="M0 0h1"/></svg>'
RUN = "window.ran=1"
FAR = "https://far.example"
PATTERNS = [
    line.replace("RUN", RUN).replace("FAR", FAR)
    for line in (Path(__file__).parent / "patterns.txt").read_text("utf-8").splitlines()
    if not line.startswith("# ")
]


def page(patterns: list[str], *, failing: bool) -> str:
    """A page with patterns wherever an author may write something."""
    quoted = "'" + " ".join(patterns).replace("'", "''") + "'"
    body = "".join(part(pattern, failing=failing) for pattern in patterns)
    front = f"title: {quoted}\nsummary: {quoted}\ntags: {quoted}\nneeds: index.md\n"
    return f"---\n{front}---\n{body}"


def part(pattern: str, *, failing: bool) -> str:
    """The part of a page that is full of one pattern."""
    plain = "".join(pattern.split()).replace(",", "").replace("=", "")
    label = plain.replace("[", "").replace("]", "") or "x"  # a footnote's name holds no brackets
    # a block for each key: of a value that hangs on one that cannot be read, nothing is said
    keys = "".join(f"```moves\ncube: 5\n{key}: {pattern}\n```\n\n" for key in KEYS)
    wrong = f"""
{keys}
```moves {plain}
moves: R U {pattern}
{pattern}: {pattern}
```

[to nowhere]({plain}) ![nor here](<{plain}.png>) `R U R3 {pattern}` `#{plain} turns`
"""
    return f"""
## {pattern}

{pattern}

*{pattern}* `{pattern}` [{pattern}](index.md "{plain}")

| {pattern} | b |
|---|---|
| {pattern} | `{pattern}` |

![{pattern}](dot.svg)

![a dot](dot.svg "{escape(pattern)}")

- [ ] {pattern}

Said below[^{label}].

[^{label}]: {pattern}

```note
{pattern}
```

```{plain}
{pattern}
```

```moves
title: {pattern}
moves:
  R U   // {pattern}
  R' U' // {pattern}
mark: UF = {plain or "x"}
show: before after source steps
check: order 6
```
{wrong if failing else ""}"""


def site(folder: Path, *, failing: bool) -> Path:
    content = folder / "content"
    content.mkdir(parents=True)
    groups = [PATTERNS[first : first + 6] for first in range(0, len(PATTERNS), 6)]
    names = [f"page-{number}.md" for number in range(len(groups))]
    for name, group in zip(names, groups, strict=True):
        (content / name).write_text(page(group, failing=failing), "utf-8")
    courses = "".join(
        f"\n[[courses]]\ntitle = {json.dumps(' '.join(group))}\nsummary = {json.dumps(group[0])}\n"
        f"pages = {json.dumps(names[number : number + 3])}\n"
        for number, group in enumerate(groups)
        if number % 3 == 0  # several pages in a course: each names those beside it
    )
    (content / "dot.svg").write_text(DOT, "utf-8")
    everything = json.dumps(" ".join(PATTERNS))
    (content / "site.toml").write_text(
        f"title = {everything}\nsummary = {everything}\nauthor = {everything}\n{courses}", "utf-8"
    )
    (content / "index.md").write_text(f"# Front\n\n{chr(10).join(PATTERNS)}\n", "utf-8")
    (content / "glossary.md").write_text(
        "# Words\n\n" + "".join(f"{pattern}\n: {pattern}\n\n" for pattern in PATTERNS), "utf-8"
    )
    return content


@pytest.mark.parametrize("failing", [False, True])
def test_nothing_runs_and_nothing_is_fetched_from_elsewhere(
    browser: Browser, tmp_path: Path, *, failing: bool
) -> None:
    content, out = site(tmp_path, failing=failing), tmp_path / "out"
    status = main(["build", str(content), "--out", str(out), *["--with-failures"] * failing])
    assert status == (1 if failing else 0)
    with serve({}, out) as served:
        nothing_happens(served, browser, *["404"] * failing)  # the pictures that are not there


def nothing_happens(hostile: Served, browser: Browser, *expected: str) -> None:
    # every file, whatever it looks like: a page that sends its readers on is one that was broken
    found = {path.relative_to(hostile.folder).as_posix() for path in hostile.folder.rglob("*.html")}
    assert len(found) > len(PATTERNS) // 6
    with watched(browser, hostile.address, *expected, bypass_csp=True) as page:
        for name in sorted(found - {"404.html"}):
            page.goto(hostile.url(name))
            page.evaluate(
                """() => {
                    for (const one of document.querySelectorAll("summary, button")) one.click();
                    for (const one of document.querySelectorAll("main *")) {
                        one.dispatchEvent(new MouseEvent("mouseover", {bubbles: true}));
                    }
                }"""
            )
            assert page.evaluate("window.ran") is None, name
            scripts = "script:not([src]):not([type='application/json'])"
            assert page.locator(f"{scripts}, iframe, object, embed, base").count() == 0, name
            dangerous = "a[href^='javascript' i], a[href^='vbscript' i], a[href^='data' i]"
            assert page.locator(dangerous).count() == 0, name
            handlers = page.evaluate(
                """() => [...document.querySelectorAll("*")].filter((one) =>
                    [...one.attributes].some((a) => /^on|^style$/i.test(a.name))).length"""
            )
            assert handlers == 0, name

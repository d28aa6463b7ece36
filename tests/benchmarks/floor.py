"""The least that a site of the same text costs: Markdown set, a small frame with 30 links, a file.

Run as a program, `floor.py CONTENT OUT`, so that it is measured as a build is: a whole process.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

from jinja2 import Environment
from markdown_it import MarkdownIt

LINKS: Final = 30

_FRAME: Final = """<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><title>{{ title }}</title></head>
<body>
<main>
{{ body|safe }}
</main>
<nav><ul>
{% for address, name in links %}
<li><a href="{{ address }}">{{ name }}</a></li>
{% endfor %}
</ul></nav>
</body>
</html>
"""


def write_pages(content: Path, out: Path) -> None:
    """Set every page of a folder; fences of moves stay the text they are."""
    markdown = MarkdownIt("commonmark", {"html": False}).enable("table")
    frame = Environment(autoescape=True).from_string(_FRAME)
    files = sorted(content.rglob("*.md"))
    for number, file in enumerate(files):
        first = max(0, min(number - LINKS // 2, len(files) - LINKS))
        links = [
            (f"../{near.relative_to(content).with_suffix('.html')}", near.stem)
            for near in files[first : first + LINKS]
        ]
        body = markdown.render(file.read_text("utf-8"))
        page = frame.render(title=file.stem, body=body, links=links)
        target = out / file.relative_to(content).with_suffix(".html")
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(page, "utf-8")


if __name__ == "__main__":
    write_pages(Path(sys.argv[1]), Path(sys.argv[2]))

"""Pages that grow with a number: what might cost more than its size, one way each."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable

TRUE: Final = "```moves\ncube: 3\nmoves: R\ncheck: order 4\n```\n"
FALSE: Final = "```moves\ncube: 3\nmoves: R\ncheck: solved\n```\n"
LEANING: Final = "```moves\ncube: 3\nfrom: last\nmoves: R\ncheck: order 4\n```\n"


def _moves(text: str, cube: int = 7) -> str:
    return f"# T\n\n```moves\ncube: {cube}\nmoves: {text}\n```\n"


def _checked(claims: str, moves: str = "R") -> str:
    return f"# T\n\n```moves\ncube: 3\nmoves: {moves}\ncheck:\n{claims}\n```\n"


def _after(net: str) -> str:
    return f"# T\n\n```moves\ncube: 3\nmoves: R\nafter:\n{net}\n```\n"


def _page(text: str) -> str:
    return f"# T\n\n{text}\n"


def _circle(size: int) -> str:
    block = "```moves b{}\ncube: 3\nfrom: #b{}\nmoves: R\n```\n"
    return _page("".join(block.format(i, (i + 1) % size) for i in range(size)))


def _named(size: int, uses: int) -> str:
    """Named sequences that each use the one before, up to the depth that is read."""
    deep = min(size, 45)
    chain = "".join(f"  s{i + 1}: {f'{{s{i}}} ' * uses}R\n" for i in range(deep))
    filler = "".join(f"  f{i}: R U\n" for i in range(size - deep))
    front = f"---\ntitle: T\nsequences:\n  s0: R\n{chain}{filler}---\n\n"
    return f"{front}```moves\nmoves: {{s{deep}}}\ncheck: not solved\n```\n"


def _named_of_nothing(size: int) -> str:
    """Named sequences of no turns that each use the one before twice."""
    deep = size // 12
    chain = "".join(f"  s{i + 1}: '{{s{i}}} {{s{i}}}'\n" for i in range(deep))
    front = f"---\ntitle: T\nsequences:\n  s0: // nothing\n{chain}---\n\n"
    return f"{front}```moves\nmoves: R {{s{deep}}}\ncheck: not solved\n```\n"


def _nested_boxes(size: int) -> str:
    deep = 12  # more than is read
    opened = "\n".join("`" * (3 + deep - i) + "note" for i in range(deep))
    return _page((opened + "\n" + "\n".join("`" * (4 + i) for i in range(deep)) + "\n") * size)


def _blocks(size: int, text: str = TRUE) -> str:
    """Blocks with ids `b0`, `b1`, ..."""
    return "".join(text.replace("moves\n", f"moves b{i}\n", 1) for i in range(size))


def _signs(size: int, seed: int) -> str:
    """A word of two hundred signs in any order: none stands so often that it is passed over."""
    return "".join(map(chr, Random(seed).choices(range(0x4E00, 0x4EC8), k=50 * size)))


def _site(pages: int, text: str, settings: str = "") -> dict[str, str]:
    """So many pages, in which `@` is the number of the next one."""
    named = {f"p{i}.md": text.replace("@", str((i + 1) % pages)) for i in range(pages)}
    return {"site.toml": settings, **named}


def _raw(html: str) -> dict[str, str]:
    """A page of a site whose pages may have HTML."""
    return _site(1, _page(html), "raw_html = true\n")


WORST: Final[dict[str, Callable[[int], str | dict[str, str]]]] = {
    "turns": lambda k: _moves("R U2 " * k),
    "turns without spaces": lambda k: _moves("RU2" * k),
    "turns that are none": lambda k: _moves("R3 " * k),
    "letters that are none": lambda k: _moves("Q " * k),
    "one long word": lambda k: _moves("Q" * 4 * k),
    "primes": lambda k: _moves("R" + "'" * 4 * k),
    "digits": lambda k: _moves("9" * 4 * k),
    "ranges without an end": lambda k: _moves("2-" * k),
    "brackets opened": lambda k: _moves("(" * 2 * k),
    "commutators opened": lambda k: _moves("[" * 2 * k),
    "brackets closed": lambda k: _moves(")" * 2 * k),
    "commas": lambda k: _moves("," * 2 * k),
    "names opened": lambda k: _moves("{" * 2 * k),
    "names unknown": lambda k: _moves("{a}" * k),
    "groups": lambda k: _moves("(R U) " * k),
    "counts that multiply": lambda k: _moves("(R)999 " * k),
    "lines and comments": lambda k: _moves("\n" + "  R // c\n" * k),
    "one bracket over lines": lambda k: _moves("\n  (\n" + "  R // c\n" * k + "  )"),
    "spaces": lambda k: _moves("R" + " " * 8 * k + "U"),
    "unknown keys": lambda k: _page(
        "```moves\n" + "".join(f"key{i}: x\n" for i in range(k)) + "```"
    ),
    "one key again": lambda k: _page("```moves\n" + "title: x\n" * k + "```"),
    "claims that hold": lambda k: _checked("  paired 12\n" * k),
    "claims that fail": lambda k: _checked("  solved\n" * k),
    "claims that are none": lambda k: _checked("  sloved it\n" * k),
    "claims after each line": lambda k: _checked(
        "\n".join(f"  after line {i + 1} not solved" for i in range(k)), "\n" + "  R U\n" * k
    ),
    "claims that what was turned is kept": lambda k: _checked("  kept UR\n" * k, "x y " * k + "R"),
    "nots": lambda k: _checked("  " + "not " * k + "solved"),
    "places left out": lambda k: _checked("  solved except " + "UF " * k),
    "cycles": lambda k: _checked("  cycles " + "(UF UR UB)" * k),
    "one long cycle": lambda k: _checked("  cycles (" + "UF UR " * k + ")"),
    "long moves to compare": lambda k: _checked("  same as " + "R U " * k),
    "marks": lambda k: _page(
        f"```moves\nmoves: R\nmark: {', '.join(f'UF = a{i}' for i in range(k))}\n```"
    ),
    "focus": lambda k: _page(f"```moves\nmoves: R\nfocus: {'UF ' * k}\n```"),
    "rows of a net": lambda k: _after("  F: GGG\n" * k),
    "a long row": lambda k: _after("  F: " + "G" * 4 * k),
    "faces named": lambda k: _after("  " + "F:" * k),
    "a net too long to start from": lambda k: _page(
        "```moves\nfrom:\n" + "  WWW\n" * k + "moves: R\n```"
    ),
    "a chain that holds": lambda k: _page(TRUE + LEANING * k),
    "a chain that waits": lambda k: _page(FALSE + LEANING * k),
    "a chain that fails at every link": lambda k: _page(TRUE + LEANING.replace("R", "R3") * k),
    "a chain whose links are each to lead to its end": lambda k: _page(
        TRUE
        + LEANING.replace("moves: R", "moves: y\nto: #end") * k
        + LEANING.replace("moves\n", "moves end\n", 1)
    ),
    "a circle of references": _circle,
    "one id again": lambda k: _page(TRUE.replace("moves\n", "moves a\n", 1) * k),
    "moves in prose": lambda k: _page("`R U` " * k),
    "near moves in prose": lambda k: _page("`R U R3` " * k),
    "a long span": lambda k: _page("`" + "R U " * k + "`"),
    "places in prose": lambda k: _page("`UF2R` " * k),
    "backticks": lambda k: _page("".join("`" * (i % 50) + " " for i in range(k))),
    "headings alike": lambda k: _page("## Same\n\n" * k),
    "dead links": lambda k: _page("[x](page.md#no) " * k),
    "links by reference": lambda k: _page("[x][y] " * k + "\n\n[y]: page.md"),
    "facts": lambda k: _page(TRUE.replace("moves\n", "moves a\n", 1) + "`#a order` " * k),
    "facts of many blocks": lambda k: _page(
        _blocks(k) + "".join(f"`#b{i} order` " for i in range(k))
    ),
    "one long block asked again and again": lambda k: _page(
        f"```moves a\nmoves: {'R U ' * k}\ncheck: not solved\n```\n" + "`#a turns` " * k
    ),
    "facts of no block": lambda k: _page(_blocks(k) + "".join(f"`#c{i} order` " for i in range(k))),
    "positions of no block": lambda k: _page(
        "".join(LEANING.replace("moves\n", f"moves b{i}\n").replace("last", "#c") for i in range(k))
    ),
    "links to figures": lambda k: _page(_blocks(k) + "".join(f"[x](#b{i}) " for i in range(k))),
    "links to figures of no id": lambda k: _page(
        TRUE * k + "".join(f"[x](#figure-{i + 1}) " for i in range(k))
    ),
    "links to headings": lambda k: _page("".join(f"## h{i}\n\n[x](#h{i})\n\n" for i in range(k))),
    "a long anchor that is nearly there": lambda k: _page(
        f"## {_signs(k, 1)}\n\n[x](#{_signs(k, 2)})"
    ),
    "dead links, each in its paragraph": lambda k: _page(
        "".join(f"[x](no{i}.md)\n\n" for i in range(k))
    ),
    "dead links by reference": lambda k: _page(
        "".join(f"[x][r{i}] " for i in range(k))
        + "\n\n"
        + "".join(f"[r{i}]: no{i}.md\n" for i in range(k))
    ),
    "names unknown among many": lambda k: (
        "---\ntitle: T\nsequences:\n"
        + "".join(f"  s{i}: R\n" for i in range(k))
        + "---\n\n"
        + "".join(f"`{{t{i}}}` " for i in range(k))
    ),
    "keys and lines of no key": lambda k: _page("```moves\n" + "a: b\nx\n" * k + "```\n"),
    "blocks of very many turns": lambda k: _page(
        "".join(f"```moves\nmoves: (R U){49000 + i}\ncheck: not solved\n```\n" for i in range(k))
    ),
    "claims of how long moves are": lambda k: _checked("  not turns 0\n" * k, "\n" + "  R U\n" * k),
    "tasks": lambda k: _page("- [ ] a\n" * k),
    "tasks in tasks": lambda k: _page("- [x] a\n  - [ ] b\n" * k),
    "terms": lambda k: {"glossary.md": _page("".join(f"t{i}\n: x\n\n" for i in range(k)))},
    "one term, many meanings": lambda k: _page("a\n" + ": b\n" * k),
    "footnotes": lambda k: _page(
        "".join(f"a[^{i}] " for i in range(k)) + "\n\n" + "".join(f"[^{i}]: x\n" for i in range(k))
    ),
    "footnotes called in links and pictures": lambda k: _page(
        "[a[^x]](page.md) ![a[^x]](page.md) " * k + "\n\n[^x]: x\n"
    ),
    "footnotes not called": lambda k: _page("".join(f"[^{i}]: x\n" for i in range(k))),
    "one footnote again": lambda k: _page("[^x]" + "\n\n[^x]: x" * k),
    "footnotes called in boxes": lambda k: _page(
        "".join(f"````note\n[^x] [^{i}]\n````\n\n" for i in range(k))
        + "".join(f"[^{i}]: x\n" for i in range(k))
    ),
    "images opened": lambda k: _page("![[" * k),
    "links in links": lambda k: _page("[" * k + "a" + "](page.md)" * k),
    "links opened": lambda k: _page("[a](" * k),
    "a lazy quote": lambda k: _page(">" * 20 + " a\n" + "b\n" * k),
    "lists in lists": lambda k: _page("".join("  " * (i % 30) + "- a\n" for i in range(k))),
    "cells that are missing": lambda k: _page("|a" * 20 + "|\n" + "|-" * 20 + "|\n" + "|b|\n" * k),
    "settings that nobody knows": lambda k: _site(
        1, "# T\n", "".join(f"k{i:04} = 1\n" for i in range(k))
    ),
    "courses of no pages": lambda k: _site(
        1, "# T\n", "".join(f"[[courses]]\ntitle = 'c'\npages = ['no{i}.md']\n" for i in range(k))
    ),
    "a course of no pages": lambda k: _site(
        k, "# T\n", f"[[courses]]\ntitle = 'c'\npages = {[f'no{i}.md' for i in range(k)]}\n"
    ),
    "pages that need one another": lambda k: _site(k, "---\ntitle: T\nneeds: p@.md\n---\n"),
    "pages that link to one another": lambda k: _site(k, "# T\n\n[x](p@.md)\n"),
    "pages that lean on one another": lambda k: _site(
        k, "# T\n\n```moves a\nfrom: p@.md#a start\nmoves: R\ncheck: order 4\n```\n"
    ),
    "quotes": lambda k: _page(">" * k + " x"),
    "lists": lambda k: _page("- a\n" * k),
    "boxes": lambda k: _page("````note\nhi\n````\n" * k),
    "boxes in boxes": _nested_boxes,
    "a block in a quote": lambda k: _page(
        "> ```moves\n> moves: R\n" + "> \n" * k + "> check: order 4\n> ```"
    ),
    "named sequences": lambda k: _named(k, 1),
    "sequences that double": lambda k: _named(k, 2),
    "sequences of nothing that double": _named_of_nothing,
    "pages needed": lambda k: f"---\ntitle: x\nneeds: {'page.md ' * k}\n---\n",
    "brackets in front matter": lambda k: f"---\ntitle: x\ntags: {'[ ' * k}\n---\n",
    "table rows with more cells than the head": lambda k: _page(
        "|a|\n|-|\n" + "|b|c|\n" * k + "|x" * k
    ),
    "table rows": lambda k: _page("|a|b|\n|-|-|\n" + "|`R U`|b|\n" * k),
    "emphasis": lambda k: _page("*a _b " * k),
    "marks of HTML": lambda k: _page("<a <b " * k),
    "comments that are not closed": lambda k: _page("<!-- `" * k),
    "comments that are not closed, on lines": lambda k: _page("<!--\n\n" * k),
    "comments that end with words": lambda k: _page("<!--\n\n" * k + "--> word"),
    "comments that end outside": lambda k: _page("> <!--\n" * k + "\n-->"),
    "comments": lambda k: _page("<!-- `a` --> \\<!-- a `<!--` " * k),
    "tags that are not closed": lambda k: _raw("<a " * k),
    "quotes that are not closed": lambda k: _raw("<a b='c\" " * k),
    "tags in a block of HTML that are not closed": lambda k: _raw("<div>\n" + "<a b=c " * k),
    "links in a block of HTML": lambda k: _raw("<div>\n" + "<a href=p0.md>" * k),
    "dead links in a block of HTML": lambda k: _raw("<div>\n" + "<a href=no.md>" * k),
    "long moves that fail": lambda k: _checked("  solved", "R U F' " * min(k, 90)),
}
"""From a number to a page whose size grows with it, or stops at a stated bound."""

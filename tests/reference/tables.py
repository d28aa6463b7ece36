"""The reference pages' tables, written from the program's own, so that the two cannot drift apart.

Run as a module, it writes every table anew into the pages of `content/`, and the picture of a
message:

    PYTHONPATH=.:tests python -m reference.tables
"""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from reference.message import PAGE, alternative, picture
from sitegen.block import repair
from sitegen.block.claims.lines import MOST_CLAIMS
from sitegen.block.claims.table import CLAIMS, PREFIXES
from sitegen.block.facts import FACTS
from sitegen.block.keys import FOLDS, KEYS, MOST_MARKS, SHOWN
from sitegen.commands.main import COMMANDS
from sitegen.cube.classes import CLASSES
from sitegen.cube.geometry import LARGEST, SMALLEST
from sitegen.cube.possible import REASONS
from sitegen.cube.scheme import DEFAULT, FACES
from sitegen.leaf import MOST_DRAWN, MOST_PAGE_TURNS
from sitegen.notation.count import METRICS
from sitegen.notation.read import DEEPEST
from sitegen.notation.runs import MOST_DIGITS
from sitegen.notation.setting import MOST_TURNS
from sitegen.notation.spell import DEEPEST_NAMES
from sitegen.pages import folder, names, plain_yaml
from sitegen.pages.formats.theme import DEFAULT_THEME
from sitegen.pages.formats.words import english
from sitegen.pages.front import FRONT_KEYS
from sitegen.pages.markdown import DEEPEST_BOXES
from sitegen.pages.named_moves import LONGEST_NAMED
from sitegen.pages.page_text import LONGEST_PAGE
from sitegen.pages.sequences import MOST_SEQUENCES
from sitegen.pages.settings import LIMITS, SETTINGS
from sitegen.problem import RULES
from sitegen.report.table import REPORTS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

CONTENT: Final = Path(__file__).parents[2] / "content"

PICTURE: Final = CONTENT / "writing" / "broken-block.svg"
"""The picture of the message that a broken page gets."""

_MARKED: Final = re.compile(
    r"^\[begin (?P<name>[a-z]+)\]: #(?P=name)\n(?P<table>.*?)^\[end (?P=name)\]: #(?P=name)$",
    re.MULTILINE | re.DOTALL,
)
"""Where a table stands in a page: between two link reference definitions, which print nothing."""

_CODE: Final = re.compile(r"`([^`]+)`")


def _code(text: str) -> str:
    """A code span that is printed as it is: `text:` keeps it from being read as moves."""
    return f"`text: {text}`".replace("|", r"\|")


def _prose(text: str) -> str:
    """A sentence of the program's as Markdown: its code spans unread, all else plain."""
    pieces = _CODE.split(text)
    pieces[::2] = [re.sub(r"([\\\[\]*_<>|])", r"\\\1", piece) for piece in pieces[::2]]
    pieces[1::2] = [_code(piece) for piece in pieces[1::2]]
    return "".join(pieces)


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    lines = [head, ("---",) * len(head), *rows]
    return "".join(f"| {' | '.join(cells)} |\n" for cells in lines)


def _words(head: str, meanings: Mapping[str, str]) -> str:
    rows = [(_code(word), _prose(meaning)) for word, meaning in meanings.items()]
    return _table((head, "meaning"), rows)


def _keys() -> str:
    rows = [(_code(name), _prose(key.meaning), _prose(key.default)) for name, key in KEYS.items()]
    return _table(("key", "meaning", "if left out"), rows)


def _claims() -> str:
    forms = [form for row in CLAIMS for form in row.forms]
    return _words("claim", {form.shape: form.meaning for form in forms})


def _prefixes() -> str:
    return _words("before a claim", {form.shape: form.meaning for form in PREFIXES})


def _facts() -> str:
    return _words("fact", {f"#id {fact.shape}": fact.meaning for fact in FACTS.values()})


def _metrics() -> str:
    return _words("metric", {name: meaning for name, (_, meaning) in METRICS.items()})


def _settings() -> str:
    rows = [(_code(name), _prose(one.kind), _prose(one.meaning)) for name, one in SETTINGS.items()]
    return _table(("setting", "value", "meaning"), rows)


def _limits() -> str:
    rows = [(_code(name), f"{low} to {high:,}") for name, (low, high) in LIMITS.items()]
    return _table(("limit", "may be set to"), rows)


def _colours() -> str:
    rows = [
        (_code(face), _code(letter), name)
        for face, letter, name in zip(FACES, DEFAULT.letters, DEFAULT.names, strict=True)
    ]
    return _table(("face of the solved cube", "letter", "name"), rows)


def _rules() -> str:
    # two columns, as a third would leave no room for the sentence on a narrow screen
    rows = {name: f"{kind}: {meaning}" for name, (kind, meaning) in RULES.items()}
    return _words("rule", rows)


def _bounds() -> str:
    rows = [
        ("layers of a cube each way", f"{SMALLEST} to {LARGEST}"),
        ("turns in one block, counts carried out", f"{MOST_TURNS:,}"),
        ("turns in all blocks of a page together", f"{MOST_PAGE_TURNS:,}"),
        ("stickers in all pictures of a page together", f"{MOST_DRAWN:,}"),
        ("turns of a named sequence of which it is shown what it does", f"{LONGEST_NAMED:,}"),
        ("brackets within one another", f"{DEEPEST:,}"),
        ("digits of a count or a layer", f"{MOST_DIGITS:,}"),
        ("named sequences of a page, and of a site", f"{MOST_SEQUENCES:,}"),
        ("named sequences, and brackets with them, within one another", f"{DEEPEST_NAMES:,}"),
        ("claims of a block", f"{MOST_CLAIMS:,}"),
        ("turns of all its `same as` together", f"{MOST_TURNS:,}"),
        ("places ringed in a block", f"{MOST_MARKS:,}"),
        ("turns of moves that repairs are looked for in", f"{repair.LONGEST:,}"),
        ("slips tried in them", f"{repair.MOST_TRIED:,}"),
        ("changed blocks judged in full for a repair", f"{repair.MOST_JUDGED:,}"),
        ("slips tried two by two where no single one explains it", f"{repair.MOST_PAIRED:,}"),
        ("pairs of them judged in full", f"{repair.MOST_PAIRS_JUDGED:,}"),
        ("notes and cautions within one another", f"{DEEPEST_BOXES:,}"),
        ("cells of a table's row", "as many as in its head"),
        ("files of a content folder, pages among them", f"{folder.MOST_FILES:,}"),
        ("folders within one another", f"{folder.DEEPEST_FOLDERS:,}"),
        ("bytes of a file that is copied", f"{folder.LONGEST_FILE:,}"),
        ("bytes of a name, as it is published", f"{names.LONGEST_NAME:,}"),
        ("bytes of the settings", f"{folder.LONGEST_SETTINGS:,}"),
        ("characters of a page", f"{LONGEST_PAGE:,}"),
        ("characters between the lines at its top", f"{plain_yaml.LONGEST:,}"),
        ("opening brackets and list marks there", f"{plain_yaml.DEEPEST:,}"),
    ]
    return _table(("what", "at most"), rows)


def _reasons() -> str:
    text = english().text
    return _words("reason", {reason: text(f"impossible.{reason}") for reason in REASONS})


def _said() -> str:
    """The sections of the theme's table of words, each with the comment above it."""
    said = (DEFAULT_THEME / "words.toml").read_text("utf-8")
    found = re.findall(r"\n\n((?:# .*\n)+)(\[\w+\])\n", said)
    return _words("section", {name: about.replace("\n# ", " ")[2:-2] for about, name in found})


def _commands() -> str:
    return _words("command", {f"sitegen {name}": one.help for name, one in COMMANDS.items()})


def _reports() -> str:
    return _words("format", {name: report.meaning for name, report in REPORTS.items()})


def _broken_page() -> str:
    """The broken page as it is typed, in a fence that nothing reads."""
    return f"````text\n{PAGE.read_text('utf-8')}````\n"


def _message() -> str:
    return f"![{alternative()}]({PICTURE.name})\n"


TABLES: Final[dict[str, Callable[[], str]]] = {
    "keys": _keys,
    "shown": lambda: _words("word", SHOWN),
    "folds": lambda: _words("word", FOLDS),
    "reasons": _reasons,
    "claims": _claims,
    "prefixes": _prefixes,
    "facts": _facts,
    "metrics": _metrics,
    "classes": lambda: _words("class", CLASSES),
    "said": _said,
    "colours": _colours,
    "frontkeys": lambda: _words("key", FRONT_KEYS),
    "settings": _settings,
    "limits": _limits,
    "commands": _commands,
    "reports": _reports,
    "bounds": _bounds,
    "rules": _rules,
    "broken": _broken_page,
    "message": _message,
}
"""Every table by the name it stands under in a page; the last two are no tables."""


def tables_in(text: str) -> dict[str, str]:
    """The tables that a page holds, by name, as they stand there."""
    return {found["name"]: found["table"].strip("\n") + "\n" for found in _MARKED.finditer(text)}


def with_tables(text: str) -> str:
    """A page with its tables written anew."""

    def anew(found: re.Match[str]) -> str:
        name = found["name"]
        return f"[begin {name}]: #{name}\n\n{TABLES[name]()}\n[end {name}]: #{name}"

    return _MARKED.sub(anew, text)


def main() -> None:
    """Write the tables anew into every page that holds one, and the picture."""
    PICTURE.write_text(picture(), "utf-8")
    for path in sorted(CONTENT.rglob("*.md")):
        text = path.read_text("utf-8")
        renewed = with_tables(text)
        if renewed != text:
            path.write_text(renewed, "utf-8")
            sys.stdout.write(f"{path.relative_to(CONTENT)}: tables written anew\n")


if __name__ == "__main__":
    main()

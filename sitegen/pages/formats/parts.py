"""Figures, boxes and moves set in HTML with the theme: all that stands in a page's text.

The only door to jinja2.
"""

from __future__ import annotations

import posixpath
import re
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar
from urllib.parse import quote

from jinja2 import (
    BytecodeCache,
    ChoiceLoader,
    Environment,
    FileSystemLoader,
    PrefixLoader,
    StrictUndefined,
    Template,
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
    meta,
    nodes,
    pass_context,
)
from markupsafe import Markup, escape

from sitegen.cube.scheme import DEFAULT, in_words
from sitegen.notation.spoken import spoken
from sitegen.pages.formats.assets import Assets
from sitegen.pages.formats.direction import direction
from sitegen.pages.formats.remarks import set_remark
from sitegen.pages.formats.theme import DEFAULT_THEME, Fault, ThemeError, error_of, files_of, joined
from sitegen.pages.formats.unasked import languages, unasked
from sitegen.pages.formats.words import Phrasebook, fill

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from jinja2.bccache import Bucket
    from jinja2.runtime import Context

    from sitegen.cube.scheme import Scheme
    from sitegen.pages.formats.words import Words
    from sitegen.pages.site import Entry, Failure, Figure, Remark, Trouble, Word

T = TypeVar("T")

_OWN: Final = ("figure.html", "box.html", "inline_moves.html")
"""The templates of what every site may have."""

PARTS: Final = frozenset(
    {*_OWN, "failure.html", "moves.html", "page_troubles.html", "score.html", "troubles.html"}
)
"""All templates that the text of a page is set with; what these ask for is among them."""


class Parts:
    """A theme, ready to set what stands in a page's text; it knows nothing of the whole site.

    Templates are looked for in the site's own theme first, then in the default one, whose files are
    also reachable as `default/NAME`, so that an own template can extend the one it replaces.
    """

    def __init__(
        self, lang: str, own: Path | None, compiled: dict[str, bytes] | None = None
    ) -> None:
        """Open a theme.

        Args:
            lang: the site's language.
            own: the folder of the site's own theme; it need not exist.
            compiled: templates that this program compiled from the same theme, if they are kept;
                others are added. This is code that will be run: it must have come from nowhere
                else.

        Raises:
            ThemeError: its words cannot be read.
        """
        self._lang = lang
        self._own = own if own is not None and own.is_dir() else None
        self._phrasebook = Phrasebook(self._own)
        self._environment = _environment(self._own, {} if compiled is None else compiled)
        self._environment.filters["told"] = self._set_remark
        # the same few moves stand in running text again and again
        self.moves = lru_cache(maxsize=4096)(self._set_moves)

    def load(self) -> None:
        """Read all of the theme, so that what is wrong with it is told though no page needs it.

        Raises:
            ThemeError: the words, own templates or other files of its own cannot be used.
        """
        tags = languages(self._own) if self._own else ()
        trees: dict[Path, nodes.Template | None] = dict.fromkeys(self._own_templates().values())
        work: list[Callable[[], object]] = [
            *(partial(self.words, tag) for tag in ("", *tags)),
            *(partial(self._template, name) for name in _OWN),
            *(partial(self._parse, path, trees) for path in trees),
        ]
        if self._own is not None:
            work.append(partial(Assets, self._own, DEFAULT, ()))
            work.append(partial(_ask_for_all, self._own, trees.values()))
        if faults := joined(map(error_of, work)):
            raise ThemeError(*faults)

    def figure(self, figure: Figure, lang: str) -> str:
        """One moves block, on a page in a language.

        Raises:
            ThemeError: an own template does not work.
        """
        return self._set(self._template("figure.html"), words=self.words(lang), figure=figure)

    def failure(self, failure: Failure, lang: str) -> str:
        """A moves block that has problems, or waits for one that has, in a copy for review.

        Raises:
            ThemeError: an own template does not work.
        """
        template = self._template("failure.html")
        words = self.words(lang)
        return self._set(template, words=words, failure=failure, figure=failure.figure)

    def troubles(self, troubles: tuple[Trouble, ...], lang: str) -> str:
        """What is wrong with a page outside its blocks, in a copy for review.

        Raises:
            ThemeError: an own template does not work.
        """
        template, words = self._template("page_troubles.html"), self.words(lang)
        return self._set(template, words=words, troubles_of_page=troubles)

    def box(self, kind: str, html: str, lang: str) -> str:
        """A `note` or a `caution` around what is HTML already.

        Raises:
            ThemeError: an own template does not work.
        """
        return self._set(self._template("box.html"), words=self.words(lang), kind=kind, html=html)

    def _set_remark(self, remark: Remark, words: Words) -> Markup:
        return set_remark(remark, words, self.moves)

    def _set_moves(self, moves: tuple[Word, ...], words: Words) -> str:
        """Moves in running text, on a page with these words of the theme's.

        Raises:
            ThemeError: an own template does not work.
        """
        return self._set(self._template("inline_moves.html"), moves=moves, words=words)

    def words(self, lang: str) -> Words:
        """What the theme says of its own on a page in a language, "" for the site's."""
        return self._phrasebook.words(lang or self._lang)

    def _parse(self, path: Path, trees: dict[Path, nodes.Template | None]) -> None:
        """Read an own template; those of whole pages have filters that are not there yet."""
        parse = self._environment.parse
        trees[path] = self._with_theme_errors(
            lambda: parse(path.read_text("utf-8"), filename=str(path))
        )

    def _template(self, name: str) -> Template:
        return self._with_theme_errors(lambda: self._environment.get_template(name))

    def _set(self, template: Template, **values: Any) -> str:  # noqa: ANN401 - what templates see
        return self._with_theme_errors(lambda: template.render(values))

    def _with_theme_errors(self, work: Callable[[], T]) -> T:
        """Do `work`; a fault in one of the site's own templates comes out as a `ThemeError`.

        A template is a program: whatever it raises is its author's to mend. What is raised with no
        own template in the course of it is ours, and is let through.
        """
        try:
            return work()
        except Exception as error:
            told = self._theme_error(error)
            if told is None:
                raise
            raise told from error

    def _theme_error(self, error: Exception) -> ThemeError | None:
        if self._own is None:
            return None
        if isinstance(error, TemplateSyntaxError) and error.filename:
            if Path(error.filename).is_relative_to(self._own):
                message = error.message or "this template cannot be read"
                return ThemeError(Fault(Path(error.filename), error.lineno, message))
            return None
        if isinstance(error, UnicodeDecodeError):
            return self._not_utf8()
        place = _innermost(error, self._own) or self._lender_of_macros(error)
        if place is None:
            return None
        return ThemeError(Fault(*place, _in_words(error)))

    def _lender_of_macros(self, error: Exception) -> tuple[Path, int] | None:
        """The own template that lends its macros to the default one that `error` came up in.

        It lacks a macro, or has one that takes other values; the error names no line of it.
        """
        asking = _innermost(error, DEFAULT_THEME)
        if asking is None:
            return None
        own = self._own_templates()
        tree = self._environment.parse(asking[0].read_text("utf-8"))
        named = (one.template for one in tree.find_all(nodes.FromImport))
        lent = (own.get(str(one.value)) for one in named if isinstance(one, nodes.Const))
        return next(((path, 1) for path in lent if path), None)

    def _not_utf8(self) -> ThemeError | None:
        faults = []
        for path in self._own_templates().values():
            data = path.read_bytes()
            try:
                data.decode("utf-8")
            except UnicodeDecodeError as error:
                line = data.count(b"\n", 0, error.start) + 1
                why = "this template is not written in UTF-8; save it as UTF-8"
                faults.append(Fault(path, line, why))
        return ThemeError(*faults) if faults else None

    def _own_templates(self) -> dict[str, Path]:
        """The templates of the site's own theme, by name; one whose name is no text nobody uses."""
        found = files_of(self._own) if self._own else ()
        named = {name: path for name, path in found if path.suffix == ".html" and path.is_file()}
        return {name: path for name, path in named.items() if name.isprintable()}


def _innermost(error: Exception, folder: Path) -> tuple[Path, int] | None:
    """The innermost line of a template of a folder in the course of which an error came up."""
    found = None
    trace = error.__traceback__
    while trace is not None:
        path = Path(trace.tb_frame.f_code.co_filename)
        if path.is_relative_to(folder):
            found = path, trace.tb_lineno
        trace = trace.tb_next
    return found


def _ask_for_all(own: Path, trees: Iterable[nodes.Template | None]) -> None:
    """See that every file of the site's own theme is asked for.

    Raises:
        ThemeError: one is not.
    """
    # one that could not be read, which is told already, may name any
    named = {name for tree in trees for name in (_named_in(tree) if tree else (None,))}
    if faults := unasked(own, named):
        raise ThemeError(*faults)


def _named_in(tree: nodes.Template) -> Iterator[str | None]:
    """The files that a template names; None for one that may be any."""
    for name in meta.find_referenced_templates(tree):
        if name is None or not name.endswith(".html"):
            yield None  # a file of another ending, which is not read here, may name any as well
        else:
            yield posixpath.normpath(name).lstrip("/")  # jinja2 passes over `./`
    for one in tree.find_all((nodes.Filter, nodes.Const)):
        if isinstance(one, nodes.Filter) and one.name == "asset":
            yield one.node.value if isinstance(one.node, nodes.Const) else None
        elif isinstance(one, nodes.Const) and one.value == "asset":
            yield None  # `map("asset")`


def theme_opener(
    own: Path | None, compiled: dict[str, bytes] | None = None
) -> Callable[[str], Parts]:
    """A function that opens a theme for a site in a language, once for each language.

    It raises `ThemeError` each time it is asked for a theme that does not work.

    Args:
        own: the folder of the site's own theme; it need not exist.
        compiled: as `Parts` takes it.
    """
    found: dict[str, Parts | ThemeError] = {}

    def open_for(lang: str) -> Parts:
        if lang not in found:
            try:
                parts = Parts(lang, own, compiled)
                parts.load()
                found[lang] = parts
            except ThemeError as error:
                found[lang] = error
        one = found[lang]
        if isinstance(one, ThemeError):
            raise one
        return one

    return open_for


@lru_cache(maxsize=4096)
def _link(address: str) -> str:
    """An address as a link spells it: colons and question marks in it mean nothing."""
    return quote(address, safe="/")


def _fill(text: str, **values: object) -> str:
    return fill(text, values)


def _set_places(text: str, **places: str) -> Markup:
    """A text with places filled in, set as such."""
    codes = {name: Markup("<code>{}</code>").format(place) for name, place in places.items()}
    return Markup(fill(str(escape(text)), codes))  # noqa: S704 - the text and each place are escaped


def _count(count: int, one: str, many: str) -> str:
    return fill(one if count == 1 else many, {"count": count})


def _each(words: Iterable[Word], macro: Callable[[Word], str]) -> Markup:
    """What a macro sets for words, one after another: most words stand on a site many times."""
    return Markup("".join([_set_word(macro, word) for word in words]))  # noqa: S704 - macros escape


@lru_cache(maxsize=4096)
def _set_word(macro: Callable[[Word], str], word: Word) -> str:
    return str(macro(word))


def _spoken(moves: Iterable[Word], words: Words) -> str:
    """Moves in words."""
    return words.say.text("lists.between").join([spoken(word.text, words.say) for word in moves])


def _names(scheme: Scheme, words: Words) -> tuple[str, ...]:
    """The names of the colours, in the order of `FACES`."""
    return in_words(scheme, words.say).names


@pass_context
def _titled(context: Context, entry: Entry) -> Markup:
    """The title of a page, marked as being in its language where that is not the one around it."""
    lang = _lang(context, entry)
    return Markup("<span{}>{}</span>").format(lang, entry.title) if lang else escape(entry.title)


@pass_context
def _lang(context: Context, entry: Entry) -> Markup:
    """The attributes of what is said in a page's language; none where all around it is."""
    lang = entry.lang or context["site"].lang
    if lang == context["lang"]:
        return Markup("")
    return Markup(' lang="{}" dir="{}"').format(lang, direction(lang))


class _Compiled(BytecodeCache):
    """Templates compiled before; jinja2 sees that each is of the source that stands there now."""

    def __init__(self, compiled: dict[str, bytes]) -> None:
        self._compiled = compiled

    def load_bytecode(self, bucket: Bucket) -> None:
        if known := self._compiled.get(bucket.key):
            bucket.bytecode_from_string(known)

    def dump_bytecode(self, bucket: Bucket) -> None:
        self._compiled[bucket.key] = bucket.bytecode_to_string()


def _environment(own: Path | None, compiled: dict[str, bytes]) -> Environment:
    default = FileSystemLoader(DEFAULT_THEME)
    own_first = [] if own is None else [FileSystemLoader(own)]
    environment = Environment(
        loader=ChoiceLoader([PrefixLoader({"default": default}), *own_first, default]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        bytecode_cache=_Compiled(compiled),
    )
    environment.filters["link"] = _link
    environment.filters["direction"] = direction
    environment.filters["each"] = _each
    environment.filters["spoken"] = _spoken
    environment.filters["names"] = _names
    environment.filters["fill"] = _fill
    environment.filters["set"] = _set_places
    environment.filters["count"] = _count
    environment.filters["titled"] = _titled
    environment.filters["lang"] = _lang
    return environment


_NO_FIELD: Final = re.compile(r"'sitegen\.[\w.]*\.(\w+) object' has no attribute '(\w+)'")
"""What is said of a value of this program: a template's author knows no classes."""


def _in_words(error: Exception) -> str:
    if isinstance(error, TemplateNotFound):
        return f"there is no template `{error.message}`, here or in the default theme"
    if isinstance(error, RecursionError):
        return "this template includes or extends itself; the default's are at `default/NAME`"
    if isinstance(error, TemplateError):
        message = error.message or "this template does not work"
        return _NO_FIELD.sub(lambda found: f"`{found[1].lower()}` has no `{found[2]}`", message)
    return f"{type(error).__name__}: {error}"

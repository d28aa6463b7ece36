"""A theme's templates, and what goes wrong in a site's own told at its line.

The only door to jinja2.
"""

from __future__ import annotations

import posixpath
import re
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

from jinja2 import (
    BytecodeCache,
    ChoiceLoader,
    Environment,
    FileSystemLoader,
    PrefixLoader,
    StrictUndefined,
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
    meta,
    nodes,
    pass_context,
)

from sitegen.pages.formats.filters import FILTERS, FILTERS_OF_CONTEXT
from sitegen.pages.formats.theme import DEFAULT_THEME, Fault, ThemeError, files_of, raise_all
from sitegen.wording import meant_or_known

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from jinja2 import Template
    from jinja2.bccache import Bucket

T = TypeVar("T")


class Templates:
    """The templates of a theme.

    They are looked for in the site's own theme first, then in the default one, whose files are also
    reachable as `default/NAME`, so that an own template can extend the one it replaces.
    """

    def __init__(self, own: Path | None, compiled: dict[str, bytes]) -> None:
        """Open them.

        Args:
            own: the folder of the site's own theme, if there is one.
            compiled: templates that this program compiled from the same theme, if they are kept;
                others are added. This is code that will be run: it must have come from nowhere
                else.
        """
        self._own = own
        default = FileSystemLoader(DEFAULT_THEME)
        own_first = [] if own is None else [FileSystemLoader(own)]
        self._environment = Environment(
            loader=ChoiceLoader([PrefixLoader({"default": default}), *own_first, default]),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            auto_reload=False,
            bytecode_cache=_Compiled(compiled),
        )
        self._environment.filters.update(FILTERS)
        self._environment.filters.update(
            {name: pass_context(one) for name, one in FILTERS_OF_CONTEXT.items()}
        )

    def add_filter(self, name: str, function: Callable[..., object]) -> None:
        """Give all templates a filter more."""
        self._environment.filters[name] = function

    def add_globals(self, **values: object) -> None:
        """Give all templates values, in place of those that they had by these names."""
        self._environment.globals.update(values)

    def get(self, name: str) -> Template:
        """A template.

        Raises:
            ThemeError: an own one, or one that it asks for, cannot be read.
        """
        return self._with_theme_errors(lambda: self._environment.get_template(name))

    def set(self, name: str, **values: object) -> str:
        """A template filled in.

        Raises:
            ThemeError: an own template does not work.
        """
        return self._with_theme_errors(lambda: self._environment.get_template(name).render(values))

    def own(self) -> dict[str, Path]:
        """The templates of the site's own theme, by name; one whose name is no text nobody uses."""
        found = files_of(self._own) if self._own else ()
        named = {name: path for name, path in found if path.suffix == ".html" and path.is_file()}
        return {name: path for name, path in named.items() if name.isprintable()}

    def named_in(self, path: Path) -> frozenset[str | None]:
        """The files that an own template names; None stands for one that may be any.

        Raises:
            ThemeError: it cannot be read.
        """
        parse = self._environment.parse  # those of whole pages have filters that are not there yet
        return self._with_theme_errors(
            lambda: frozenset(_named_in(parse(path.read_text("utf-8"), filename=str(path))))
        )

    def see_blocks(self, path: Path) -> None:
        """See that an own template fills no block but those of the one that it extends.

        Jinja2 passes over any other: what stands in it is set nowhere.

        Args:
            path: the template; one that cannot be read, which is told, fills none.

        Raises:
            ThemeError: it does.
        """
        try:
            tree = self._environment.parse(path.read_text("utf-8"))
            above = self._extended_by(tree)
        except (TemplateError, UnicodeDecodeError):
            return
        if not above:
            return
        known = {block.name for one in above for block in one.find_all(nodes.Block)}
        asked = {*known, *chain.from_iterable(map(_set_by_name, (tree, *above)))}
        if None in asked:
            return
        raise_all(
            Fault(
                path,
                block.lineno,
                f"the template that this extends has no block `{block.name}`, so nothing asks for "
                f"this; {meant_or_known(block.name, sorted(known), 'its blocks are')}",
            )
            for block in _outermost_blocks(tree)
            if block.name not in asked
        )

    def _extended_by(self, tree: nodes.Template) -> tuple[nodes.Template, ...]:
        """The templates that one extends, each extending the next.

        None of them where it depends on what is set which these are, or where they go in a circle.
        """
        above: list[nodes.Template] = []
        names = set()
        while extended := list(tree.find_all(nodes.Extends)):
            named = extended[0].template if extended[0] in tree.body else None
            name = named.value if isinstance(named, nodes.Const) else None
            if name is None or name in names or self._environment.loader is None:
                return ()
            names.add(name)
            source, _, _ = self._environment.loader.get_source(self._environment, name)
            tree = self._environment.parse(source)
            above.append(tree)
        return tuple(above)

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
        own = self.own()
        tree = self._environment.parse(asking[0].read_text("utf-8"))
        named = (one.template for one in tree.find_all(nodes.FromImport))
        lent = (own.get(str(one.value)) for one in named if isinstance(one, nodes.Const))
        return next(((path, 1) for path in lent if path), None)

    def _not_utf8(self) -> ThemeError | None:
        faults = []
        for path in self.own().values():
            data = path.read_bytes()
            try:
                data.decode("utf-8")
            except UnicodeDecodeError as error:
                line = data.count(b"\n", 0, error.start) + 1
                why = "this template is not written in UTF-8; save it as UTF-8"
                faults.append(Fault(path, line, why))
        return ThemeError(*faults) if faults else None


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


def _outermost_blocks(node: nodes.Node) -> Iterator[nodes.Block]:
    """The blocks below a node that stand in no other."""
    for child in node.iter_child_nodes():
        if isinstance(child, nodes.Block):
            yield child
        else:
            yield from _outermost_blocks(child)


def _set_by_name(tree: nodes.Template) -> Iterator[str | None]:
    """The blocks of a template that are set by name, in it or below: `{{ self.name() }}`.

    None where it may be any, since `self` is asked for what is worked out, or handed on.
    """
    known = 0
    for one in tree.find_all(nodes.Getattr):
        if _is_self(one.node):
            known += 1
            yield one.attr
    for item in tree.find_all(nodes.Getitem):
        if _is_self(item.node) and isinstance(item.arg, nodes.Const):
            known += 1
            yield item.arg.value
    if known < sum(map(_is_self, tree.find_all(nodes.Name))):
        yield None


def _is_self(node: nodes.Node) -> bool:
    return isinstance(node, nodes.Name) and node.name == "self"


class _Compiled(BytecodeCache):
    """Templates compiled before; jinja2 sees that each is of the source that stands there now."""

    def __init__(self, compiled: dict[str, bytes]) -> None:
        self._compiled = compiled

    def load_bytecode(self, bucket: Bucket) -> None:
        if known := self._compiled.get(bucket.key):
            bucket.bytecode_from_string(known)

    def dump_bytecode(self, bucket: Bucket) -> None:
        self._compiled[bucket.key] = bucket.bytecode_to_string()


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

"""Links to pages, files and headings that are not there."""

from __future__ import annotations

import posixpath
import unicodedata
from functools import cached_property
from typing import TYPE_CHECKING, Final
from urllib.parse import unquote

from msgspec import Struct

from sitegen.pages.around import FRONT_PAGE, anchors
from sitegen.pages.files import SETTINGS_FILE, is_hidden
from sitegen.pages.moved import by_former_address
from sitegen.pages.names import folded
from sitegen.pages.page import is_outside
from sitegen.pages.page_names import (
    LONGEST_NAME,
    Near,
    called_now,
    candidates,
    link_to,
    page_asked,
    page_named,
    page_now,
)
from sitegen.problem import Problem
from sitegen.wording import begun_alike, meant, with_odd_signs

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator, Mapping

    from sitegen.pages.folder import Folder
    from sitegen.pages.listed import Listed
    from sitegen.pages.page import Page
    from sitegen.pages.settings import Settings

MOST_ANCHORS: Final = 500
"""Of a page with more anchors, none are held against one that is not there."""

_DRAFT: Final = (
    "a draft, which is not published; take `draft` out at the top of that page, or leave this out "
    "until then"
)

_SHOWN_FROM_OUTSIDE: Final = (
    "`{}` is no file of the site, and its pages show nothing else; put the file into the content "
    "folder"
)


class Targets(Struct, frozen=True, dict=True):
    """What links may lead to.

    Attributes:
        pages: the pages that could be read.
        anchors_of: what can be linked to on one of them.
        ours: the addresses of what the program writes of its own.
        others: what is no page of the content's, with its anchors; None where any will do.
        broken: the pages that could not be read, of which that is told already.
    """

    pages: Mapping[str, Listed]
    anchors_of: Callable[[str], Collection[str]]
    ours: Collection[str]
    others: Mapping[str, frozenset[str] | None]
    broken: frozenset[str]

    @cached_property
    def some_pages(self) -> Callable[[], list[str]]:
        """Gives the pages that a link to none is held against."""
        return candidates(self.pages)

    @cached_property
    def by_fold(self) -> dict[str, str]:
        """Each file by its name in small letters, as some systems know it."""
        return {folded(file): file for file in (*self.others, *self.pages)}

    @cached_property
    def by_former_address(self) -> dict[str, str]:
        """The pages that were renamed, by the addresses they had, in small letters."""
        return by_former_address(self.pages.values())

    def leaves_out(self, target: str, file: str) -> bool:
        """Whether readers of a page would not find another, which is a draft."""
        return self.pages[target].draft and not self.pages[file].draft


def targets(
    folder: Folder,
    settings: Settings,
    pages: Mapping[str, Listed],
    anchors_of: Callable[[str], Collection[str]],
) -> Targets:
    """What the links of a folder may lead to.

    Args:
        folder: what it holds.
        settings: its settings.
        pages: its pages, those that could be read.
        anchors_of: what can be linked to on one of them.
    """
    published = [page for page in pages.values() if not page.draft]
    ours = anchors(settings, published, folder.others)
    copied = dict.fromkeys(folder.others)  # nobody reads what may be linked to in these
    broken = frozenset(folder.pages).difference(pages)
    return Targets(pages, anchors_of, ours.keys(), ours | copied, broken)


def link_problems(page: Page, known: Targets) -> Iterator[Problem]:
    """What is wrong with a page's links, and with the pages that it says it needs."""
    near_page = Near(page.file, known.some_pages)

    def near(path: str) -> str:
        is_page = posixpath.splitext(path)[1] in ("", ".md")
        return near_page(path) if is_page else ""

    told = set()  # a label that many links name is defined once
    for link in page.links:
        if message := _why_dead(page.file, link.address, known, near):
            problem = link.problem(message)
            if problem not in told:
                told.add(problem)
                yield problem
    for name, line, column in page.front.needs:
        if message := _why_not_needed(page.file, name, known, near):
            message = with_odd_signs(message, name)
            yield Problem(page.file, line, column, len(name), "link", message)


def any_problem(page: Listed, links: Iterable[str], known: Targets) -> bool:
    """Whether there is anything to tell of a page's links, by their addresses alone."""
    return any(_why_dead(page.file, address, known, lambda _: "") for address in links) or any(
        _why_not_needed(page.file, one.name, known, lambda _: "") for one in page.needs
    )


def _why_not_needed(file: str, name: str, known: Targets, near: Callable[[str], str]) -> str:
    """What is wrong with a name in `needs`; "" if it names a page to read before this one."""
    target = page_named(file, name)
    if target == file:
        return f"`needs` names `{name}`, which is this page; take it out"
    if target in known.pages:
        return f"`needs` names `{name}`, {_DRAFT}" if known.leaves_out(target, file) else ""
    if target in known.broken:
        return ""
    hint = _called_now(file, target, known) or near(name.partition("#")[0])
    return f"`needs` names `{name}`, and there is no such page{hint}"


def _why_dead(file: str, address: str, known: Targets, near: Callable[[str], str]) -> str:
    """Why a link leads nowhere; "" if it leads somewhere."""
    if is_outside(address):
        return _SHOWN_FROM_OUTSIDE.format(address)
    path, _, anchor = address.partition("#")
    path, anchor = path.partition("?")[0], unquote(anchor)
    target = page_asked(file, path)
    typed = unquote(address)
    if path.startswith("/"):
        relative = "links are relative to the page, so the site can move"
        from_here = posixpath.relpath(target, f"/{posixpath.dirname(file)}")
        return f"`{typed}` begins with `/`; {relative}{near(from_here)}"
    if target.split("/")[0] == "..":
        return f"`{typed}` leads out of the content folder"
    if target == ".":
        target = FRONT_PAGE if FRONT_PAGE in known.others else "index.md"
    if target in known.broken:
        return ""
    if target in known.pages:
        if known.leaves_out(target, file):
            return f"`{typed}` leads to {_DRAFT}"
        there: Collection[str] | None = known.anchors_of(target) if anchor else None
        what = f"no heading and no block of `{target}` has the anchor"
    elif target in known.others:
        there, what = known.others[target], f"`{target}` has no anchor"
    else:
        return _file_hint(file, typed, target, known) or (
            f"`{typed}` leads nowhere: there is no file `{target}`"
            f"{_called_now(file, target, known) or near(unquote(path))}"
        )
    if anchor and there is not None and anchor not in there:
        return f"{what} `#{anchor}`{_anchor_hint(anchor, there)}"
    return ""


def _anchor_hint(anchor: str, there: Collection[str]) -> str:
    """Which anchor was probably meant; "" if none comes near."""
    if len(anchor) > LONGEST_NAME or len(there) > MOST_ANCHORS:
        return ""
    wanted = anchor.casefold()  # as ids made from headings are
    some = [one for one in begun_alike(wanted, sorted(there)) if len(one) <= LONGEST_NAME]
    beginning = (one for one in some if one.casefold().startswith(wanted))
    near = next(beginning, "") or meant(wanted, some)
    return f"; did you mean `#{near}`?" if near else ""


def _called_now(file: str, target: str, known: Targets) -> str:
    """What a page is called that says it was once called so; "" if none does."""
    now = page_now(target, known.by_former_address)
    draft = ", and is a draft" if now and known.leaves_out(now, file) else ""
    return called_now(file, target, known.by_former_address) + draft


def _file_hint(file: str, typed: str, target: str, known: Targets) -> str:
    """Of a link to no file of the site, what is plainly meant by it; "" if nothing is."""
    if target == SETTINGS_FILE or is_hidden(target.split("/")):
        return (
            f"`{typed}` leads nowhere: `{SETTINGS_FILE}`, names that begin with a dot and what "
            "editors leave behind, such as `page.md~`, are not published"
        )
    if near := known.by_fold.get(folded(target)):
        if unicodedata.normalize("NFC", near) == unicodedata.normalize("NFC", target):
            return (
                f"`{typed}` leads nowhere: the file is called so, but its accents are written in "
                "another way (Unicode has letters with accents, and accents alone); rename it as "
                "the link has it, or copy its name into the link"
            )
        return (
            f"`{typed}` leads nowhere: there is no file `{target}`; did you mean "
            f"`{link_to(near, file)}`?"
        )
    as_page = target.removesuffix(".html") + ".md"
    if target.endswith(".html") and as_page in known.pages:
        return f"a link names a page by its file, not by its address: `{link_to(as_page, file)}`"
    return ""

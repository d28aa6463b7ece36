"""Pages that were renamed: the addresses they had before, and what is wrong with those."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen.pages.around import is_taken
from sitegen.pages.names import folded, folders_of, published_as, unfit
from sitegen.pages.page_names import page_named
from sitegen.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Iterator, Mapping, Sequence

    from sitegen.pages.listed import Listed


def former_address(file: str, name: str) -> str:
    """The address that a page's old name stands for, relative to the site's root.

    It may begin with `../` where the name leads out of the content folder.
    """
    return published_as(page_named(file, name))


def by_former_address(pages: Iterable[Listed]) -> dict[str, str]:
    """The pages that were renamed, by the addresses they had, in small letters.

    Args:
        pages: all pages, in order.
    """
    return {folded(address): page.file for page in pages for address in page.former_addresses}


def moved_problems(pages: Mapping[str, Listed], others: Sequence[str]) -> Iterator[Problem]:
    """Old addresses at which nothing can stand, since something else does, or since they are none.

    Args:
        pages: all pages by their files.
        others: the paths of all other files of the content folder.
    """
    taken = {
        folded(page.address): f"the page `{file}` stands there" for file, page in pages.items()
    }
    taken |= dict.fromkeys(map(folded, others), "a file of that name stands there")
    folders = {folder for address in taken for folder in folders_of(address)}
    for file, page in pages.items():
        for (name, line, column), address in zip(page.formerly, page.former_addresses, strict=True):
            why = _why_not_free(name, address, taken, folders)
            if why:
                message = f"`formerly` names `{name}`, but {why}"
                yield Problem(file, line, column, len(name), "front-matter", message)
            taken.setdefault(folded(address), f"`{file}` names it as its own")
            folders.update(folders_of(folded(address)))


def _why_not_free(
    name: str, address: str, taken: Mapping[str, str], folders: Container[str]
) -> str:
    """Why nothing that leads on can be put at an address; "" if it can."""
    if not name.endswith((".md", ".html")):
        return "an old address ends in `.md` or `.html`, as the page's file or its address did"
    if name.startswith("/") or address.startswith("../"):
        return "it leads out of the content folder; old addresses are relative to the page"
    if folded(address) in taken:
        return taken[folded(address)]
    if is_taken(folded(address)):
        return "the program writes a page of its own there"
    if file := next((one for one in folders_of(folded(address)) if one in taken), ""):
        return f"`{file}` is a file, in which nothing can stand"
    if folded(address) in folders:
        return "a folder of that name stands there"
    if not address.isprintable():
        return "it holds what is no printable text"
    why = next(filter(None, map(unfit, address.split("/"))), "")
    return why.partition(";")[0]  # what to do about a file is nothing that helps here

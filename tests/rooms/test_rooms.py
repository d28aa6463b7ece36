"""The rooms of the program, as the developers' page lists them: who may import whom, and what."""

from __future__ import annotations

import ast
import re
import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parents[2]
FILES = {
    path.relative_to(ROOT / "sitegen").as_posix(): ast.parse(path.read_text("utf-8"))
    for path in sorted((ROOT / "sitegen").rglob("*.py"))
}


def imported(tree: ast.Module, *, types: bool) -> Iterator[str]:
    """The modules that a file imports anywhere; with `types` those too that it takes types from."""
    kept = [node for node in tree.body if types or not _is_for_types(node)]
    for node in (inner for one in kept for inner in ast.walk(one)):
        if isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
        elif isinstance(node, ast.Import):
            yield from (name.name for name in node.names)


def _is_for_types(node: ast.stmt) -> bool:
    return isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"


def test_imports_run_down_the_list_of_rooms() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    table = page.partition("| room |")[2].partition("\n\n")[0]
    rows = re.findall(r"^\| (`.+?) \|", table, re.MULTILINE)
    floors = {
        room.strip("`/").removesuffix(".py"): floor
        for floor, row in enumerate(rows)
        for room in row.split(", ")
    }
    known = {Path(file).parts[0].removesuffix(".py") for file in FILES}
    assert known - {"__init__", "__main__"} == floors.keys()
    upwards = {
        (file, module)
        for file, tree in FILES.items()
        if (room := Path(file).parts[0].removesuffix(".py")) in floors
        for module in imported(tree, types=True)
        if module.startswith("sitegen.") and floors[module.split(".")[1]] < floors[room]
    }
    assert upwards == set()


def test_files_below_pages_import_one_another_in_no_circle() -> None:
    rooms = ("cube/", "notation/", "draw/", "block/")
    files = {
        f"sitegen.{file.removesuffix('.py').replace('/', '.')}": tree
        for file, tree in FILES.items()
        if file.startswith(rooms)
    }
    left = {module: {*imported(tree, types=True)} & {*files} for module, tree in files.items()}
    while lowest := [module for module, below in left.items() if not below & {*left}]:
        for module in lowest:
            del left[module]
    assert sorted(left) == []


def test_an_outside_package_has_one_door() -> None:
    doors: dict[str, set[str]] = {}
    for file, tree in FILES.items():
        for module in imported(tree, types=False):
            package = module.split(".")[0]
            if package not in {"sitegen", "msgspec", *sys.stdlib_module_names}:
                doors.setdefault(package, set()).add(file)
    assert doors == {
        "jinja2": {"pages/formats/templates.py", "preview/overlay.py"},
        "markdown_it": {"pages/markdown.py"},
        "markupsafe": {"pages/formats/filters.py", "pages/formats/remarks.py"},
        "mdit_py_plugins": {"pages/markdown.py"},
        "starlette": {"preview/server.py"},
        "svgwrite": {"draw/ink.py"},
        "uvicorn": {"preview/server.py"},
        "watchfiles": {"preview/watch.py"},
        "yaml": {"pages/plain_yaml.py"},
    }


def test_no_class_is_called_as_another() -> None:
    names = Counter(
        node.name
        for tree in FILES.values()
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert [name for name, count in names.items() if count > 1] == []

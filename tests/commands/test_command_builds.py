"""Two builds of the same content are the same bytes, wherever and whoever builds; and the wheel."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
import zipfile
from typing import TYPE_CHECKING

import pytest

from case_copies import copy_good
from commands.command_running import ROOT, clean_environment
from folders import tree
from sitegen.report.table import REPORTS

if TYPE_CHECKING:
    from pathlib import Path

    from commands.command_running import Program

ELSEWHERE = [
    {},
    {"LANG": "C", "LC_ALL": "C", "TZ": "UTC", "PYTHONHASHSEED": "0"},
    {"LANG": "tr_TR.UTF-8", "LC_ALL": "tr_TR.UTF-8", "TZ": "Pacific/Kiritimati"},
    {"LC_ALL": "C.UTF-8", "TZ": "America/St_Johns", "PYTHONHASHSEED": "4711"},
    {"LC_ALL": "POSIX", "PYTHONHASHSEED": "1"},
]


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A site of the good pages and of one whose name, words and file are not English."""
    folder = tmp_path / "one" / "content"
    copy_good(folder)
    (folder / "site.toml").write_text('title = "Würfel – İstanbul"\n', "utf-8")
    (folder / "iğne.md").write_text("# İğne und Öl\n\n`R U` ’tis\n", "utf-8")
    return folder


def test_two_builds_are_the_same_bytes(sitegen: Program, site: Path, tmp_path: Path) -> None:
    copy = tmp_path / "another" / "deeper" / "content"
    shutil.copytree(site, copy)
    for path in copy.rglob("*"):
        os.utime(path, (0, 0))
    built = []
    for number, variables in enumerate(ELSEWHERE):
        content, out = (site, copy)[number % 2], tmp_path / "built" / str(number)
        here = (tmp_path, content, out.parent.parent)[number % 3]
        arguments = ("build", os.path.relpath(content, here), "--out", out)
        done = sitegen(*arguments, cwd=here, **variables)
        assert done.returncode == 0, done.stdout + done.stderr
        built.append(tree(out))
    assert len(built[0]) > 15
    for other in built[1:]:
        assert other.keys() == built[0].keys()
        assert [name for name in other if other[name] != built[0][name]] == []


def test_a_second_build_into_the_same_folder_is_the_same(
    sitegen: Program, site: Path, tmp_path: Path
) -> None:
    assert sitegen("build", site).returncode == 0
    first = tree(tmp_path / "out")
    (site / "extra.md").write_text("# Extra\n")
    assert sitegen("build", site).returncode == 0
    assert tree(tmp_path / "out").keys() - first.keys() == {"extra.html"}
    (site / "extra.md").unlink()
    assert sitegen("build", site).returncode == 0
    assert tree(tmp_path / "out") == first


@pytest.mark.parametrize("form", REPORTS)
def test_a_build_in_which_nothing_changed_is_told_as_the_first(
    sitegen: Program, content: Path, form: str
) -> None:
    first, again = (sitegen("build", content, "--format", form) for _ in range(2))
    assert (again.returncode, again.stdout) == (0, first.stdout)


def test_nothing_of_the_machine_is_in_the_output(
    sitegen: Program, site: Path, tmp_path: Path
) -> None:
    assert sitegen("build", site).returncode == 0
    for name, data in tree(tmp_path / "out").items():
        assert str(tmp_path).encode() not in data, name
        assert str(ROOT).encode() not in data, name


def test_reports_are_the_same_anywhere(sitegen: Program, site: Path) -> None:
    (site / "wrong.md").write_text("# Größe\n\n```moves\nmoves: İ R\n```\n", "utf-8")
    said = {sitegen("check", site, cwd=None, **variables).stdout for variables in ELSEWHERE}
    assert len(said) == 1
    assert "`İ`" in said.pop()


@pytest.mark.parametrize("form", ["text", "json"])
def test_an_output_that_knows_no_letters_but_english_ones_is_no_failure(
    sitegen: Program, site: Path, form: str
) -> None:
    (site / "wrong.md").write_text("# Größe\n\n```moves\nmoves: İ R\n```\n", "utf-8")
    done = sitegen("check", site, "--format", form, PYTHONIOENCODING="ascii")
    assert (done.returncode, done.stderr) == (1, "")
    assert "wrong.md" in done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built_wheel(tmp_path_factory.mktemp("wheel"))


def built_wheel(folder: Path, project: Path = ROOT) -> Path:
    """The wheel, built without the net: the build backend has to be here."""
    if importlib.util.find_spec("hatchling") is None:
        pytest.skip("hatchling is missing")
    subprocess.run(
        [
            *(sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps"),
            *("--no-build-isolation", "--no-index", "--wheel-dir", str(folder), str(project)),
        ],
        check=True,
    )
    (built,) = folder.glob("sitegen-*.whl")
    return built


def test_the_wheel_carries_all_that_the_package_has(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as opened:
        held = {name for name in opened.namelist() if name.startswith("sitegen/")}
    package = ROOT / "sitegen"
    wanted = {
        path.relative_to(ROOT).as_posix()
        for path in package.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert held == wanted
    assert {f"sitegen/{kind}" for kind in ("theme/base.html", "py.typed")} <= held


def test_the_wheel_built_again_is_the_same_to_the_byte(wheel: Path, tmp_path: Path) -> None:
    """From a checkout made at another time, at another place."""
    project = tmp_path / "project"
    project.mkdir()
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, project)
    shutil.copytree(
        ROOT / "sitegen", project / "sitegen", ignore=shutil.ignore_patterns("__pycache__")
    )
    for path in project.rglob("*"):
        os.utime(path, (1_000_000_000, 1_000_000_000))
    assert built_wheel(tmp_path / "built", project).read_bytes() == wheel.read_bytes()


def test_the_wheel_builds_a_site_from_another_folder(wheel: Path, tmp_path: Path) -> None:
    installed = tmp_path / "installed"
    with zipfile.ZipFile(wheel) as opened:
        opened.extractall(installed)

    def run(*arguments: str) -> str:
        done = subprocess.run(
            [sys.executable, "-P", "-m", "sitegen", *arguments],
            cwd=tmp_path,
            env={**clean_environment(), "PYTHONPATH": str(installed)},
            capture_output=True,
            encoding="utf-8",
            check=False,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    run("start", "club")
    assert "everything holds" in run("build", "club/content", "--out", "club/out")
    assert {"index.html", "first-lesson.html"} <= tree(tmp_path / "club" / "out").keys()

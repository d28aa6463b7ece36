"""Lines of a file changed, every other byte as it was; the file replaced at once."""

from __future__ import annotations

import stat
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitegen.pages.rewrite import Edit, NotAsRead, rewritten, write_over

if TYPE_CHECKING:
    from pathlib import Path

# a line: what a container puts first, what is changed, spaces after it
_LINES = st.tuples(
    st.sampled_from(["", "> ", "\t", "  > \t", "- é "]),
    st.sampled_from(["R U", "GGG", "F:  W.W", "x // ’"]),
    st.sampled_from(["", " ", "\t"]),
    st.sampled_from(["\n", "\r\n", "\r"]),
)


@given(
    st.lists(_LINES, min_size=1, max_size=6),
    st.booleans(),
    st.booleans(),
    st.data(),
)
def test_only_the_edit_changes(
    lines: list[tuple[str, str, str, str]], marked: bool, ended: bool, data: st.DataObject
) -> None:
    at = data.draw(st.integers(0, len(lines) - 1))
    pieces = [[*line] for line in lines]
    # "\r" before a line that begins with "\n" cannot happen: no line here is empty
    if not ended:
        pieces[-1][3] = ""
    mark = b"\xef\xbb\xbf" if marked else b""
    before = mark + "".join(map("".join, pieces)).encode()
    old = pieces[at][1]
    pieces[at][1] = "NEW"
    after = mark + "".join(map("".join, pieces)).encode()
    assert rewritten(before, [Edit(at + 1, old, "NEW")]) == after


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_put_below_begin_and_end_as_their_line_does(end: str) -> None:
    page = f"a{end}> \tafter: {end}b{end}"
    edit = Edit(2, "after:", "after:", ("  WW", "  GG"))
    wanted = f"a{end}> \tafter: {end}> \t  WW{end}> \t  GG{end}b{end}"
    assert rewritten(page.encode(), [edit]) == wanted.encode()


def test_the_last_line_may_have_no_end() -> None:
    edit = Edit(2, "after:", "after:", ("  W",))
    assert rewritten(b"a\r\nafter:", [edit]) == b"a\r\nafter:\r\n  W"


@pytest.mark.parametrize("edit", [Edit(1, "U", "R"), Edit(9, "R", "U"), Edit(1, "", "U")])
def test_a_line_that_is_not_as_read_is_refused(edit: Edit) -> None:
    with pytest.raises(NotAsRead):
        rewritten(b"R\n", [edit])


def test_a_file_is_replaced_with_its_mode_and_nothing_left_beside(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_bytes(b"old")
    page.chmod(0o640)
    write_over(page, b"old", b"new")
    assert page.read_bytes() == b"new"
    assert stat.S_IMODE(page.stat().st_mode) == 0o640
    assert list(tmp_path.iterdir()) == [page]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.md").write_bytes(b"old")
    link = tmp_path / "page.md"
    link.symlink_to("real.md")
    write_over(link, b"old", b"new")
    assert link.is_symlink()
    assert (tmp_path / "real.md").read_bytes() == b"new"


def test_a_changed_file_is_not_replaced(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_bytes(b"theirs")
    with pytest.raises(NotAsRead):
        write_over(page, b"old", b"new")
    assert page.read_bytes() == b"theirs"
    assert list(tmp_path.iterdir()) == [page]

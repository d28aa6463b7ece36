"""What blocks would notice, held against whole pages: each slip written into one and checked.

The lists of slips here are made anew, turn by turn, for moves of face turns on a 3x3.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest

from sitegen.block import blind
from sitegen.commands.slips import slips_report, slips_value, try_slips
from sitegen.make import make

if TYPE_CHECKING:
    from pathlib import Path

    from sitegen.block.blind import Sight
    from sitegen.made import Made

STATED = (
    "check: order 6",
    "check: turns 4 STM",
    "after:\n  F: ...\n     ..W\n     ...",
    "after:\n  U: ..O\n     ...\n     W..\n  F: GG.\n     ..W\n     ...",
    "to: solved\nbefore:\n  U: RG.\n     ...\n     ..R\n  F: ...\n     ..W\n     ...",
    "check:\n  only layer R layer U changed\n  not corners solved",
    "check: not solved",
    "check: same as [R, U]",
    "to: U\ncheck: same as [R, U]",
    "from: [U, R]\ncheck: solved",
    "check: cycles (UBL RUB BUL BUR LUB UBR)(UFR RDF RUF DFR FUR FDR)(UB FR UR)",
)


def made_of(folder: Path, page: str) -> Made:
    folder.mkdir(exist_ok=True)
    (folder / "page.md").write_text(page, "utf-8")
    return make(folder, lambda _done, _total: None)


def page_of(moves: str, stated: str) -> str:
    return f"# Page\n\n```moves one\nmoves:\n  {moves}\n{stated}\n```\n"


def sight_of(folder: Path, moves: str, stated: str) -> Sight:
    made = made_of(folder, page_of(moves, stated))
    assert made.holds, made.problems
    return try_slips(made, lambda _file: True).seen[0].sight


AXES = {"R": "x", "U": "y", "F": "z"}
"""The rotation in the direction of a face (WCA Regulations, 12a4)."""


def slips_by_hand(moves: str) -> set[str]:
    """Every text that one slip makes of face turns on a 3x3."""
    words = moves.split()
    found = set()
    for i, word in enumerate(words):
        face, amount = word[0], word[1:]
        others = [face + other for other in ("", "2", "'") if other != amount]
        others += [other + amount for other in "URFLDB" if other != face]
        others += [AXES[face] + amount] if face in AXES else []
        others += [f"{face}w{amount}", f"2{face}{amount}", f"{word} {word}"]
        found |= {" ".join([*words[:i], other, *words[i + 1 :]]) for other in others}
        found.add(" ".join(words[:i] + words[i + 1 :]))
        if i:
            found.add(" ".join([*words[: i - 1], word, words[i - 1], *words[i + 1 :]]))
    return found - {moves}


@pytest.mark.parametrize(
    ("turn", "unseen"),
    [
        # five other faces have order 4 too
        ("R", "R' Rw 2R x U F L D B"),
        ("x", "x' R y z"),
        ("M", "M' E S"),
    ],
)
def test_one_turn_counted_by_hand(tmp_path: Path, turn: str, unseen: str) -> None:
    # a half turn, the turn twice and nothing at all have another order
    seen = sight_of(tmp_path, turn, "check: order 4")
    assert {slip.changes[0].new for slip in seen.unseen} == {*unseen.split()}
    assert (seen.tried, seen.noticed, seen.left) == (len(seen.unseen) + 3, 3, 0)
    whole = sight_of(tmp_path, turn, f"from: solved\nto: {turn}")
    assert (whole.tried, whole.unseen) == (seen.tried, ())


def test_a_whole_net_notices_everything(tmp_path: Path) -> None:
    net = "from: solved\nto: R U"
    seen = sight_of(tmp_path, "R U", net)
    assert seen.unseen == ()
    assert seen.tried == len(slips_by_hand("R U"))


def test_what_changes_no_sticker_is_no_slip(tmp_path: Path) -> None:
    # R L is the same as L R
    seen = sight_of(tmp_path, "L R", "check: order 4")
    assert seen.tried == len(slips_by_hand("L R")) - 1


@pytest.mark.parametrize("stated", STATED)
def test_every_slip_is_judged_as_its_page_would_be(tmp_path: Path, stated: str) -> None:
    moves = "R U R' U'"
    seen = sight_of(tmp_path, moves, stated)
    plain = made_of(tmp_path, page_of(moves, stated)).replays["page.md", 0]
    unseen, tried = set(), 0
    for text in slips_by_hand(moves):
        made = made_of(tmp_path, page_of(text, stated))
        done = made.replays["page.md", 0]
        if (done.before, done.after) != (plain.before, plain.after):
            tried += 1
            unseen |= {text} if made.holds else set()
    assert seen.tried == tried
    assert {slip.changes[0].new for slip in seen.unseen} == unseen
    assert seen.noticed > 0


def test_brackets_and_lines_are_looked_into(tmp_path: Path) -> None:
    page = page_of("[R, U]2   // twice\n  F", "check: turns 9 STM")
    made = made_of(tmp_path, page)
    assert made.holds, made.problems
    unseen = try_slips(made, lambda _file: True).seen[0].sight.unseen
    for slip in unseen:
        changed = page
        for line in slip.changes:
            assert line.old in changed
            changed = changed.replace(line.old, line.new, 1)
        assert made_of(tmp_path, changed).holds, slip
    texts = {slip.changes[0].new.split("  ")[0] for slip in unseen}
    assert {"[R', U]2", "[R, D]2", "[R, U]2'"} <= texts
    # a prime at the bracket does not change how long the moves are, a count does
    assert "[R, U]3" not in texts


def test_a_turn_and_a_bracket_are_swapped_whole(tmp_path: Path) -> None:
    # F alone brings red there, before U or after it
    seen = sight_of(tmp_path, "F (U)", "after:\n  D: .R.\n     ...\n     ...")
    assert "(U) F" in {slip.changes[0].new for slip in seen.unseen}


def test_a_line_that_goes_with_its_only_turn_is_missed(tmp_path: Path) -> None:
    # of one line, no claim can speak of the second
    seen = sight_of(tmp_path, "R\n  U", "check: after line 2 not solved")
    assert seen.noticed >= 2
    assert blind.LEFT_OUT not in {slip.what for slip in seen.unseen}


def test_moves_worked_backwards_from_their_end(tmp_path: Path) -> None:
    stated = "to: solved\nbefore:\n  F: ..Y\n     ..Y\n     ..Y"
    seen = sight_of(tmp_path, "R'", stated)
    # the same column of F comes from Rw' and x' as well, and from nothing else
    assert {slip.changes[0].new for slip in seen.unseen} == {"Rw'", "x'"}


def test_work_is_bounded_and_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blind, "MOST_WORK", 1000)
    seen = sight_of(tmp_path, "R U R' U'", "check: order 6")
    assert seen.left > 0
    made = made_of(tmp_path, page_of("R U R' U'", "check: order 6"))
    assert f"{seen.left} more were not tried" in slips_report(made, lambda _file: True)


PAGES = """# Page

```moves blind
moves:
  R    // the right side
check: order 4
```

```moves broken
moves: R
check: order 5
```

```moves waits
from: last
moves: U
check: order 4
```

```moves still
from: R
```
"""


def test_the_report_names_the_page_the_block_and_the_turn(tmp_path: Path) -> None:
    text = slips_report(made_of(tmp_path, PAGES), lambda _file: True)
    assert text.startswith(
        "page.md: 3 of 12 slips would be noticed\n"
        "in all: 3 of 12 slips would be noticed\n"
        "2 blocks are left out"
    )
    assert "page.md:3 [blind]: 3 of 12 slips would be noticed" in text
    shown = re.search(r"\n    5 - (.*)\n      \+ (.*)\n( +\^+)\n", text)
    assert shown
    assert shown[1] == "R    // the right side"
    assert shown[2] == "R'    // the right side"
    assert shown[3] == " " * 8 + "^^"
    assert text.endswith("and 6 more")


def test_the_blocks_that_notice_least_and_each_kind_of_slip_come_first(tmp_path: Path) -> None:
    sharp = page_of("R U", "check: order 105")
    page = f"{sharp}\n{page_of('R U F D', 'check: not solved').replace('moves one', 'moves two')}"
    text = slips_report(made_of(tmp_path, page), lambda _file: True)
    assert re.findall(r"^page\.md:\d+ \[(\w+)\]", text, re.MULTILINE) == ["two", "one"]
    kinds = re.findall(r"would pass unseen \((.*)\)", text)[:3]
    assert len(set(kinds)) == 3


@pytest.mark.parametrize(("moves", "is_said"), [("(U {four})'", True), ("U R", False)])
def test_what_names_stand_for_is_said_to_be_left_out(
    tmp_path: Path, moves: str, is_said: bool
) -> None:
    page = page_of(moves, "check: not solved")
    front = "---\nsequences:\n  four: R U R' U'\n---\n"
    text = slips_report(made_of(tmp_path, front + page), lambda _file: True)
    assert ("what it stands for" in text) == is_said


def test_the_report_for_a_machine_is_whole(tmp_path: Path) -> None:
    value = json.loads(json.dumps(slips_value(made_of(tmp_path, PAGES), lambda _file: True)))
    assert (value["tried"], value["noticed"], value["unjudged"]) == (12, 3, 2)
    (block,) = value["blocks"]
    assert (block["file"], block["line"], block["block"]) == ("page.md", 3, "blind")
    assert len(block["unseen"]) == 9


@pytest.mark.parametrize(
    ("moves", "stated", "says"),
    [
        ("// nothing", "from: R\nto: R", "no block that holds has moves"),
        ("R", "from: solved\nto: R", "{0}: 12 of {1}\nin all: 12 of {1}"),
        ("R", "check: order 5", "no block that holds has moves\n1 block is left out: {2}"),
    ],
    ids=["without-turns", "notices-all", "fails"],
)
def test_there_is_little_to_say_of_one_block_that(
    tmp_path: Path, moves: str, stated: str, says: str
) -> None:
    text = slips_report(made_of(tmp_path, page_of(moves, stated)), lambda _file: True)
    left_out = "what does not hold, or waits, notices nothing yet"
    assert text == says.format("page.md", "12 slips would be noticed", left_out)


def test_only_what_is_asked_for_is_looked_at(tmp_path: Path) -> None:
    text = slips_report(made_of(tmp_path, PAGES), lambda _file: False)
    assert text == "no block that holds has moves"


def test_a_slip_between_two_given_positions_is_mended(tmp_path: Path) -> None:
    made = made_of(tmp_path, page_of("U'", "from: R\nto: R U"))
    (problem,) = made.problems
    assert problem.rule == "to-mismatch"
    assert problem.repairs[0].moves == "U"


def test_a_bracket_over_several_lines_is_tried_like_any_other(tmp_path: Path) -> None:
    """Taking it out takes ends of lines with it, which cannot be shown line by line."""
    made = made_of(tmp_path / "content", page_of("R (U\n  D)2 R'", "check: turns 6 STM"))
    assert made.holds
    (seen,) = try_slips(made, lambda _file: True).seen
    assert seen.sight.tried > 0
    assert "would be noticed" in slips_report(made, lambda _file: True)

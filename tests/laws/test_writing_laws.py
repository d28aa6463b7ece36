"""What is written is read again as the same; and written moves are the turns they stand for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import given
from hypothesis import strategies as st

from laws.chance import Written, positions, sizes, written_moves
from sitegen.cube.scheme import DEFAULT, FACES
from sitegen.cube.textnet import compare, read_net, write_cross
from sitegen.notation.read import read_moves
from sitegen.notation.setting import MoveSetting
from sitegen.notation.spell import spell
from sitegen.notation.tree import MoveTree, Name, Node, all_nodes, nodes_of
from sitegen.notation.tree import Written as Word
from sitegen.notation.write import write_moves

if TYPE_CHECKING:
    from sitegen.problem import Wrong

numbered_moves = sizes.flatmap(lambda n: st.tuples(st.just(n), written_moves(n)))


def read(text: str) -> MoveTree:
    faults: list[Wrong] = []
    moves = read_moves(text, faults)
    assert not faults, faults
    return moves


def shape(node: Node) -> object:
    """A node without its places."""
    if isinstance(node, Word):
        return node.word
    if isinstance(node, Name):
        return node.name, node.count, node.undone
    return node.mark, [list(map(shape, part)) for part in node.parts], node.count, node.undone


def shapes(moves: MoveTree) -> list[list[object]]:
    return [list(map(shape, phrase.nodes)) for phrase in moves.phrases]


@given(numbered_moves)
def test_moves_are_the_turns_they_stand_for(drawn: tuple[int, Written]) -> None:
    n, moves = drawn
    for text in (moves.text, moves.text.replace(" ", "\n"), moves.text.replace("'", "’")):
        faults: list[Wrong] = []
        steps = spell(nodes_of(read(text).phrases), MoveSetting(n), faults)
        assert not faults
        assert tuple(step.turn for step in steps) == moves.turns
        assert all(text[step.start : step.end].strip() for step in steps)


@given(numbered_moves, numbered_moves)
def test_moves_are_written_and_read_again(
    first: tuple[int, Written], second: tuple[int, Written]
) -> None:
    moves = read(f"{first[1].text} // carried away\n\n{second[1].text} {{name-1}}2'")
    again = read(write_moves(moves))
    assert len(moves.phrases) == 2
    assert shapes(again) == shapes(moves)
    assert write_moves(again) == write_moves(moves)


@given(numbered_moves)
def test_each_node_knows_its_place(drawn: tuple[int, Written]) -> None:
    text = drawn[1].text
    for node in all_nodes(read(text).phrases):
        (alone,) = read(text[node.start : node.end]).phrases[0].nodes
        assert shape(alone) == shape(node)


@given(st.data())
def test_a_net_is_written_and_read_again(data: st.DataObject) -> None:
    n = data.draw(sizes)
    position = data.draw(positions(n))
    letters = "".join("WOGRBY"[colour] for colour in position.colours)
    rows = ["".join(row) for row in zip(*[iter(letters)] * n, strict=True)]
    faces = "\n".join(f"{f}: " + "\n".join(rows[i * n : i * n + n]) for i, f in enumerate(FACES))
    spread = "\n".join(" ".join(line) for line in write_cross(position, DEFAULT))
    for text in ("\n".join(write_cross(position, DEFAULT)), spread, faces):
        faults: list[Wrong] = []
        net = read_net(text, n, DEFAULT, faults)
        assert net
        assert not faults
        assert net.position(n) == position
        assert compare(net, position, DEFAULT) is None


@given(st.data())
def test_one_wrong_letter_of_a_net_is_noticed_where_it_stands(data: st.DataObject) -> None:
    n = data.draw(sizes)
    position = data.draw(positions(n))
    text = "\n".join(write_cross(position, DEFAULT))
    at = data.draw(st.sampled_from([i for i, letter in enumerate(text) if letter.isalpha()]))
    for letter in set("WOGRBY.") - {text[at]}:
        net = read_net(f"{text[:at]}{letter}{text[at + 1 :]}", n, DEFAULT, [])
        assert net
        found = compare(net, position, DEFAULT)
        if letter == ".":
            assert found is None
        else:
            assert found
            assert found[0] <= at < found[1]
            assert sum(map(len, found[2].marks)) == 1

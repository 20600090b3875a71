"""A little of each abuse; ``python -m tests.abuse`` does the rest."""

from __future__ import annotations

import sys
from random import Random

import pytest

from labkit.circuits.circuit_file import load_circuit
from labkit.solving.bulk import solve_many
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError

from .__main__ import ROWS
from .bombs import rings_of_relays
from .markup import Viewer
from .tally import Tally, in_child


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_nothing_comes_of_it_but_sentences(row) -> None:
    _, abuse, _, few = row
    tally = abuse(Random(3), few)
    assert tally.tried >= min(few, 1)
    assert tally.failures == []


def test_relays_that_chase_one_another_for_ever_are_called_chattering(tmp_path):
    path = tmp_path / "rings.toml"
    path.write_text(rings_of_relays((3, 4, 5, 7)), encoding="utf-8")
    circuit = load_circuit(path)
    point = solve(circuit)
    assert len(point.chattering) == len(circuit.parts) - 1
    assert solve_many([circuit]).chattering.all()


# -- the tally itself: it must be able to find something ------------------------------------------


def test_a_traceback_is_counted_and_a_sentence_is_not():
    def refuse():
        raise CircuitError(["boat.toml: title: is missing; write one"])

    tally = Tally()
    tally.attempt("a", lambda: 1 / 0)
    tally.attempt("b", refuse)
    tally.attempt("c", lambda: tally.sentences("c", ["ValueError: x\ny"]))
    assert tally.tried == 3
    assert [text[:2] for text in tally.failures] == ["a:", "c:"]


def test_a_child_that_takes_too_long_or_too_much_is_counted(tmp_path):
    assert "no end within" in in_child("timeit", "-n1", "while True: pass", seconds=2).failures[0]
    if sys.platform != "win32":
        code = "from tests.abuse.tally import bound_memory as b; b(); bytearray(1 << 31)"
        found = in_child("timeit", "-n1", "-r1", code, seconds=30).failures
        assert "MemoryError" in found[0]


def test_an_element_or_a_listener_that_comes_to_life_is_seen():
    viewer = Viewer()
    viewer.page("harmless", "<p>words</p>")
    viewer.learning = False
    viewer.page("a", "<p>&lt;script&gt;</p>")
    assert viewer.tally.failures == []
    viewer.page("b", "<p><script>x</script></p>")
    viewer.page("c", "<p onclick=x></p>")
    assert viewer.tally.failures == ["b: <script> came to life", "c: <p onclick> came to life"]

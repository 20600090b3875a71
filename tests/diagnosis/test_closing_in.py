"""Suspects near the complaint by name, the others as one: the same beliefs to 1 % of belief.

The oracle is a diagnosis of the whole boat.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.diagnosis import Diagnosis, parse_seen, rank
from labkit.diagnosis.closing_in import ELSEWHERE, close_in, in_near, named_in
from labkit.diagnosis.faults import Candidate, candidates
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.ranking import adviser_for
from tests.boats import EXERCISES
from tests.large_boats import large_boat

BOAT = large_boat(8)
GROUPED = large_boat(12, panels=3)


def few(circuit: Circuit) -> tuple[Candidate, ...]:
    """Suspects few enough for the whole boat to be reasoned about in no time."""
    return tuple(
        c for c in candidates(circuit)
        if c.faults[0].mode in ("open", "blown")
        or c.name in ("X1 resistance", "F900 resistance", "X5 resistance", "X932 resistance")
    )  # fmt: skip  # rows that a reader compares


FEW = few(BOAT)


def believed(circuit: Circuit, texts: list[str], near: bool) -> Diagnosis:
    evidence = [parse_seen(text, circuit) for text in texts]
    boat = close_in(circuit, named_in(evidence)) if near else circuit
    return Diagnosis(boat, in_near(few(circuit), boat)).see(*evidence)


@pytest.mark.parametrize(
    ("boat", "texts"),
    [
        (BOAT, ["E1 look is dark"]),
        (BOAT, ["E1 look is dim", "panel DC- volts 12.6 V"]),
        (BOAT, ["E1 look is dim", "E2 look is bright S2=on", "X1:1 X1:2 volts 3.1 V"]),
        (GROUPED, ["E1 look is dark"]),
        (GROUPED, ["E1 look is dim", "panel DC- volts 12.6 V", "E1:2 DC- volts 2.4 V"]),
    ],
)
def test_beliefs_are_those_of_the_whole_boat_to_one_percent(
    boat: Circuit, texts: list[str]
) -> None:
    near, whole = believed(boat, texts, near=True), believed(boat, texts, near=False)
    assert len(near.circuit.parts) < len(whole.circuit.parts)
    all_of_it = whole.by_name
    for name, belief in near.by_name.items():
        if name != ELSEWHERE:
            assert belief == pytest.approx(all_of_it.pop(name), abs=0.01), name
    assert near.by_name[ELSEWHERE] == pytest.approx(sum(all_of_it.values()), abs=0.01)


def test_beliefs_on_the_shipped_whole_boat_are_the_same_to_one_percent() -> None:
    boat = load_circuit(EXERCISES / "whole-boat" / "curlew.toml")
    evidence = [parse_seen("E2 look is dark S4=on", boat)]
    near = close_in(boat, named_in(evidence))
    listed = [c for c in candidates(boat) if c.faults[0].mode in ("open", "blown")]
    some = [c for n, c in enumerate(listed) if c.faults[0].part in near.parts or n % 9 == 0]
    closed = Diagnosis(near, in_near(some, near)).see(*evidence).by_name
    whole = Diagnosis(boat, some).see(*evidence).by_name
    for name, belief in closed.items():
        if name != ELSEWHERE:
            assert belief == pytest.approx(whole.pop(name), abs=0.01), name
    assert len(near.parts) < 30
    assert closed[ELSEWHERE] == pytest.approx(sum(whole.values()), abs=0.01)


def test_a_current_that_nothing_near_explains_leaves_something_elsewhere() -> None:
    listed = [c for c in candidates(BOAT) if c.faults[0].mode in ("leak", "open")]
    evidence = [parse_seen("G1:+ clamp 0.412 A S1=off", BOAT)]
    boat = close_in(BOAT, {"E1"})
    found = Diagnosis(boat, in_near(listed, boat)).see(*evidence)
    assert found.by_name[ELSEWHERE] > 0.5


def test_what_the_evidence_names_is_suspected_by_name() -> None:
    evidence = [parse_seen("E1 look is dark", BOAT)]
    assert not any(n.startswith("X7") for n in adviser_for(BOAT, FEW, (), {"E1"}).start.known.names)
    more = (*named_in(evidence), "X7:1")
    assert "X7 open" in adviser_for(BOAT, FEW, (), more).start.known.names


def test_advice_comes_from_near_and_may_move_a_far_switch() -> None:
    boat = BOAT.with_fault("X1 resistance 30 ohm")
    seen = parse_seen("E1 look is dark S7=on", BOAT)
    best = rank(replace(boat, faults=()), [seen], FEW, top=3)
    assert best
    observe = Observer(boat)
    assert all(observe(found.measurement) for found in best)


def test_a_sentence_says_where_to_look_when_all_lies_elsewhere() -> None:
    adviser = adviser_for(BOAT, FEW)
    assert "Look at each load" in adviser.beside(adviser.start)
    sure = adviser_for(BOAT, FEW, (), {"E1"})
    dark = sure.start.copy().see(parse_seen("E1 look is dark", BOAT))
    assert sure.beside(dark) == ""


def test_four_times_the_circuits_are_no_more_to_weigh() -> None:
    few, many = (
        adviser_for(large_boat(circuits), named={"E1"}).start.belief.size for circuits in (15, 60)
    )
    assert many <= few

"""A clamp that wanders until it is zeroed, and one zeroed where current flowed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.circuits.circuit_file import circuit_from, load_circuit
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.logbook import asked, evidence_of
from labkit.hunts.next_time import place
from labkit.measuring.clamp import NOT_ZEROED, ON_CURRENT
from labkit.parts import Battery, Cable, Resistor
from labkit.text.messages import CircuitError
from labkit.widgets.offers import offers
from tests.boats import played_again


def boat(drift: float = 0.4, ohms: float = 40.0) -> Circuit:
    """A small current in one wire."""
    made = build_circuit(
        "a small drain",
        run("DC-", "plus", Battery("G1", emf="12 V")),
        run(
            "plus",
            "DC-",
            Cable("W1", size="16 AWG", length="1 m"),
            Resistor("R1", resistance=f"{ohms} ohm"),
        ),
    )
    return replace(made, clamp_drift=drift)


def test_it_is_off_until_it_is_zeroed_and_wanders_again() -> None:
    bench = Bench(boat())
    truth = 12 / 40
    before = bench.read("W1:1", function="clamp")
    assert 0.2 <= abs(float(before.display.split()[0]) - truth) <= 0.41
    bench.zero()
    right = float(bench.read("W1:1", function="clamp").display.split()[0])
    assert right == pytest.approx(truth, abs=0.02)
    bench.wait("2 h")
    later = float(bench.read("W1:1", function="clamp").display.split()[0])
    assert abs(later - truth) > 0.15


def test_a_shipped_drain_is_of_the_size_by_which_its_clamp_wanders() -> None:
    leaks = load_circuit("exercises/circuits/bonded.toml").with_fault("X1:2 leak bond 90 ohm")
    bench = Bench(leaks)
    before = bench.read("G1:-", function="clamp")
    bench.zero()
    after = bench.read("G1:-", function="clamp")
    assert (before.void, after.void) == (NOT_ZEROED, "")
    assert abs(float(before.display.split()[0]) - 0.14) > 0.08
    assert float(after.display.split()[0]) == pytest.approx(0.14, abs=0.02)


def test_the_truth_lies_within_what_it_says_of_itself() -> None:
    bench = Bench(boat())
    for act in (lambda: None, bench.zero, lambda: bench.wait("1 h"), lambda: bench.zero("W1:1")):
        act()
        reading = bench.read("W1:1", function="clamp")
        assert reading.low <= 12 / 40 <= reading.high


def test_zeroed_round_a_wire_it_takes_that_current_for_nothing() -> None:
    bench = Bench(boat(drift=0.0, ohms=4.0))
    assert bench.zero("W1:1").shows == "0.00 A"
    assert bench.read("W1:1", function="clamp").display == "0.00 A"
    bench.zero()
    assert bench.read("W1:1", function="clamp").display == "2.98 A"


def test_only_what_it_shows_just_after_zeroing_is_evidence() -> None:
    circuit = boat()
    bench = Bench(circuit)
    bench.read("W1:1", function="clamp")
    bench.zero()
    bench.read("W1:1", function="clamp")
    assert [item.void for item in asked(bench.log, circuit)] == [NOT_ZEROED, ""]
    assert len(evidence_of(bench.log, circuit)) == 1
    wrong = Bench(boat(ohms=4.0))
    wrong.zero("W1:1")
    wrong.read("W1:2", function="clamp")
    assert [item.void for item in asked(wrong.log, circuit)] == [ON_CURRENT]


def test_one_that_does_not_drift_needs_no_zero() -> None:
    circuit = boat(drift=0.0)
    bench = Bench(circuit)
    bench.wait("1 h")
    assert bench.read("W1:1", function="clamp").display == "0.30 A"
    assert not [item.void for item in asked(bench.log, circuit) if item.void]
    assert "zero" not in [offer.action for offer in offers(bench, circuit, [])]


def test_zeroing_is_offered_logged_advised_and_played_again() -> None:
    circuit = boat()
    bench = Bench(circuit)
    bench.zero()
    bench.read("W1:1", function="clamp")
    assert str(bench.log[0]) == "1. zero : 0.00 A (0.2 min)"
    assert "zero" in [offer.action for offer in offers(bench, circuit, [])]
    assert "zeroed just before" in place(Measurement("clamp", "W1:1"), circuit)
    assert played_again(bench, circuit).readings == bench.readings


@pytest.mark.parametrize("found", ["5 A", "0.3 V", "much"])
def test_a_drift_that_is_none_is_refused_in_a_sentence(found: str) -> None:
    parts = [{"id": "G1", "is": "battery", "emf": "12 V"}]
    table = {
        "title": "t",
        "clamp_drift": found,
        "run": [{"from": "DC-", "to": "plus", "parts": parts}],
    }
    with pytest.raises(CircuitError, match="clamp_drift: "):
        circuit_from(table)

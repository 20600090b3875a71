"""Readings of many pairs of points at once are what the meter shows when it is really there."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from random import Random

import numpy as np
import pytest

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.circuits.circuit_file import load_circuit
from labkit.measuring.meter import COUNTS, FUNCTIONS, LOW_Z_RESISTANCE, VOLTS_RESISTANCE, read
from labkit.measuring.readings import readings
from labkit.parts import Battery, Diode, Electronics, Indicator, Joint, Resistor, Switch
from tests.benchmarks.boats import boat, states
from tests.boats import CIRCUITS, share
from tests.generators import disturb, sound_circuit
from tests.solving.random_circuits import random_state

RESISTANCES = {"volts": VOLTS_RESISTANCE, "low-z": LOW_Z_RESISTANCE}


def assert_reads_alike(circuits: list[Circuit], pairs: list[tuple[str, str]]) -> None:
    """Compare with the meter, circuit by circuit and pair by pair: to a twentieth of a count."""
    for function, resistance in RESISTANCES.items():
        many = readings(circuits, pairs, resistance)
        assert not many.unsolved
        for n, circuit in enumerate(circuits):
            for m, (red, black) in enumerate(pairs):
                alone, found = read(circuit, red, black, function), many.volts[n, m]
                where = f"{function} of {circuit!r} from {red} to {black}: {alone}, bulk {found}"
                if alone.value is None:
                    assert math.isnan(found), where
                    continue
                full = next(f for f in FUNCTIONS[function].ranges if abs(alone.value) < f)
                assert abs(found - alone.value) < 0.05 * full / COUNTS, where
                assert many.floating[n, m] == alone.floating, where


@pytest.mark.parametrize("path", share(CIRCUITS, 2, first=1), ids=lambda path: path.stem)
def test_every_circuit_in_random_states_reads_as_the_meter_does(path: Path) -> None:
    rng, boat = Random(path.stem), load_circuit(path)
    circuits = [random_state(boat, rng) for _ in range(5)]
    points = list(boat.node_of)
    assert_reads_alike(circuits, [(rng.choice(points), rng.choice(points)) for _ in range(16)])


@pytest.mark.parametrize("seed", range(25))
def test_any_boat_reads_as_the_meter_does(seed: int) -> None:
    assert_any_boat_reads_alike(Random(seed))


_HALVED = "electronics fed through 10 megohm chatter; the meter halves what they get: they rest"
SEEN = {
    1888: _HALVED,
    2336: _HALVED,
    2659: f"{_HALVED}, at a third",
    2757: _HALVED,
    3246: _HALVED,
    3375: "across an LED that is off, 90 nV and 0 V taken for two readings: nothing passes",
    3485: _HALVED,
    1130: "low-z tips which of two fuses in line opens first",
    2394: "low-z moves a motor by less than a millivolt, and the reading by more than allowed",
    2806: "low-z takes a supply beyond the current it is limited to",
}
"""Seeds of boats that read otherwise in bulk once, found by `search_readings`, and what it was."""


@pytest.mark.parametrize("seed", SEEN)
def test_a_boat_that_once_read_otherwise_in_bulk_reads_as_the_meter_does(seed: int) -> None:
    assert_any_boat_reads_alike(Random(seed))


def assert_any_boat_reads_alike(rng: Random) -> None:
    boat = sound_circuit(rng, 25)
    circuits = [disturb(rng, boat) for _ in range(3)]
    points = list(boat.node_of)
    assert_reads_alike(circuits, [(rng.choice(points), rng.choice(points)) for _ in range(10)])


def ghosts() -> Circuit:
    return build_circuit(
        "ghosts",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run("stud", "far", Joint("X1"), Switch("S1", position="on"), Joint("X2")),
        run("far", "DC-", Switch("S2"), Resistor("R1", resistance="6 ohm")),
        run("far", "lit", Diode("V1"), Joint("X3")),
        run("lit", "DC-", Switch("S3"), Indicator("P1")),
        run("far", "off", Electronics("A1", power="20 W"), Joint("X4")),
        run("off", "DC-", Switch("S4"), Joint("X5")),
    )


def test_a_ghost_through_a_megohm_is_loaded_by_the_meter() -> None:
    boat = ghosts().with_fault("X1 resistance 1 Mohm", "A1 open")
    many = readings([boat], [("far", "DC-"), ("stud", "far"), ("far", "stud")])
    # From far to DC- the meter draws its own current through the megohm; across it, none.
    assert many.volts[0] == pytest.approx([12.6 * 10 / 11, 0.0, 0.0], abs=1e-4)
    assert_reads_alike([boat], [("far", "DC-"), ("stud", "far"), ("far", "stud")])


def test_behind_a_diode_that_is_off_the_meter_itself_turns_it_on() -> None:
    boat = ghosts()
    many = readings([boat], [("lit", "DC-"), ("far", "lit")])
    assert many.volts[0, 0] == pytest.approx(12.6 - 0.36, abs=0.02)
    assert many.volts[0, 1] < 0.1
    assert_reads_alike([boat], [("lit", "DC-"), ("far", "lit")])


def test_a_meter_that_joins_two_islands_may_wake_what_lies_between() -> None:
    boat = ghosts()
    many = readings([boat, boat.with_position(S4="on")], [("off", "DC-")])
    assert math.isnan(many.volts[0, 0])
    assert many.volts[1, 0] == pytest.approx(0.0, abs=0.01)
    assert_reads_alike([boat, boat.with_position(S4="on")], [("off", "DC-"), ("off", "far")])


def test_electronics_that_a_meter_starts_behind_a_bad_joint_may_stay_on() -> None:
    boat = ghosts().with_fault("A1 resistance 100 kohm")
    low_z = readings([boat], [("off", "DC-")], LOW_Z_RESISTANCE).volts
    # On, below 9.6 V, 20 W are 9.6^2 / 20 ohm; they and the joint stand above the cut-out.
    assert low_z == pytest.approx(12.6 * 3e3 / (3e3 + 100e3 + 9.6**2 / 20), abs=1e-4)
    assert np.isnan(readings([boat], [("off", "DC-")]).volts).all()
    assert_reads_alike([boat], [("off", "DC-"), ("far", "off"), ("stud", "off")])


def test_a_point_between_two_radios_in_series_that_are_on_does_not_float() -> None:
    boat = build_circuit(
        "in series",
        run("DC-", "stud", Battery("G1", emf="25 V", resistance="10 mohm")),
        run("stud", "middle", Electronics("A1", power="20 W")),
        run("middle", "DC-", Electronics("A2", power="20 W")),
    )
    assert not read(boat, "middle").floating
    assert_reads_alike([boat], [("middle", "DC-"), ("stud", "middle")])


def test_nothing_flows_through_a_meter_between_two_islands_so_it_reads_nothing() -> None:
    boat = ghosts().with_fault("X1 open", "A1 open", "V1 open")
    many = readings([boat], [("far", "DC-"), ("X2:1", "far"), ("X2:1", "X2:1")])
    assert np.all(many.volts == 0.0)
    assert many.floating.all()


def test_behind_each_of_two_diodes_that_are_off_the_meter_reads_what_it_does_alone() -> None:
    boat = ghosts().with_position(S1="on")
    circuits = [
        boat,
        boat.with_fault("P1 reversed"),
        boat.with_fault("V1 reversed"),
        boat.with_fault("X1 resistance 2 ohm"),
        boat.with_fault("G1 reversed"),
        boat.with_position(S3="on"),
        boat.with_fault("X3 resistance 1 Mohm"),
    ]
    points = ["stud", "far", "lit", "V1:2", "P1:1", "A1:2", "DC-"]
    assert_reads_alike(circuits, [(a, b) for a in points for b in points])


@pytest.mark.parametrize("function", ["volts", "ohms", "amps"])
def test_a_later_reading_of_a_circuit_is_what_a_first_would_be(function: str) -> None:
    """The first starts cold, later ones from where the circuit is without the meter."""
    rng = Random(5)
    for circuit in states(boat(20), 10, seed=7):
        points = sorted(circuit.node_of)
        for red, black in [rng.sample(points, 2) for _ in range(4)]:
            first = read(replace(circuit), red, black, function)
            later = read(circuit, red, black, function)
            assert later.display == first.display
            assert later.opened == first.opened
            if first.value is not None:
                assert later.value == pytest.approx(first.value, rel=1e-7, abs=1e-9)

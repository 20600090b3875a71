"""Many circuits at once say exactly what each says alone."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings

from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.circuits.circuit_file import load_circuit
from labkit.diagnosis.faults import candidates
from labkit.parts import (
    Battery,
    Electronics,
    Fuse,
    Indicator,
    Joint,
    MotorLoad,
    Relay,
    Resistor,
    Supply,
    Switch,
)
from labkit.solving.bulk import OperatingPoints, solve_many
from labkit.solving.solver import OperatingPoint, solve
from tests.boats import CIRCUITS, share
from tests.generators import disturb, seeds, sound_circuit
from tests.solving.random_circuits import random_state


def assert_same(many: OperatingPoints, n: int, alone: OperatingPoint) -> None:
    """Compare every number and word of one column with the circuit solved by itself."""
    circuit = alone.circuit
    for name, least in (("volts", 1e-11), ("amps", 1e-9), ("speeds", 1e-11)):
        rows, values = getattr(many, name), getattr(alone, name)
        for key, value in values.items():
            found = rows[key][n]
            if value is None:
                assert math.isnan(found), (circuit, name, key, found)
            else:
                assert abs(found - value) <= least * max(1.0, abs(value)), (circuit, name, key)
    assert {k: many.states[k][n] for k in alone.states} == dict(alone.states), circuit
    floating = {m for m, label in circuit.node_of.items() if label in alone.floating}
    assert {m for m in circuit.node_of if many.floating[m][n]} == floating, circuit
    assert {id for id, row in many.opened.items() if row[n]} == set(alone.opened), circuit
    assert many.chattering[n] == bool(alone.chattering), circuit


@pytest.mark.parametrize("path", CIRCUITS, ids=lambda path: path.stem)
def test_every_circuit_in_a_random_state_is_solved_alike_in_bulk_and_alone(path: Path) -> None:
    rng, boat = Random(path.stem), load_circuit(path)
    circuits = [random_state(load_circuit(path), rng) for _ in range(4)]  # each a boat of its own
    circuits += [random_state(boat, rng) for _ in range(24)]
    many = solve_many(circuits)
    assert not many.unsolved
    for n, circuit in enumerate(circuits):
        assert_same(many, n, solve(circuit))


def test_a_sweep_of_ohms_is_solved_alike_in_bulk_and_alone() -> None:
    boat = load_circuit(CIRCUITS[0])
    joints = [id for id, part in boat.parts.items() if part.kind in ("joint", "cable")][:3]
    circuits = [
        boat.with_fault(*(f"{id} {mode} {0.01 * 1.3**n:.6g} ohm" for id in joints[: 1 + n % 3]))
        for n in range(40)
        for mode in ("resistance", "leak", "short")
    ]
    many = solve_many(circuits)
    for n, circuit in enumerate(circuits):
        assert_same(many, n, solve(circuit))


@pytest.mark.parametrize("path", share(CIRCUITS, 2), ids=lambda path: path.stem)
def test_all_that_can_be_wrong_with_one_part_is_solved_alike_in_bulk_and_alone(path: Path) -> None:
    # Of a diode the wrong way round, one that is open and one with resistance, none has what
    # another has, and there is no sound one among them.
    boat, rng = load_circuit(path), Random(path.stem)
    wrong: dict[str, list[Circuit]] = {}
    for candidate in candidates(boat):
        (part,) = {fault.part for fault in candidate.faults}
        wrong.setdefault(part, []).append(replace(boat, faults=candidate.faults))
    for circuits in wrong.values():
        many = solve_many(circuits)
        for n in rng.sample(range(len(circuits)), min(4, len(circuits))):
            assert_same(many, n, solve(circuits[n]))


def chattering_boat() -> Circuit:
    """A relay whose own load pulls its coil's supply down, behind a joint; a fused motor beside."""
    return build_circuit(
        "buzzer",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run("stud", "panel", Fuse("F1", rating="40 A"), Joint("X1")),
        run("panel", "DC-", Switch("S1", position="on"),
            Via(Relay("K1", coil="90 ohm", pull_in="4 V", drop_out="3 V"), "86-85")),
        run("panel", "DC-", Via("K1", "30-87"), Resistor("R1", resistance="0.4 ohm")),
        run("panel", "DC-", Fuse("F2", rating="10 A"),
            MotorLoad("M1", voltage="12 V", current="7 A", resistance="0.35 ohm")),
        run("panel", "DC-", Electronics("A1", power="20 W")),
    )  # fmt: skip  # rows that a reader compares


def test_a_relay_that_buzzes_in_one_circuit_leaves_its_neighbours_settled() -> None:
    boat = chattering_boat()
    circuits = [boat, boat.with_fault("X1 resistance 3 ohm"), boat.with_fault("M1 seized"),
                boat.with_fault("K1 welded"), boat.with_position(S1="off"),
                boat.with_fault("X1 resistance 3 ohm", "F1 open")]  # fmt: skip  # in rows
    many = solve_many(circuits)
    assert many.chattering.tolist() == [False, True, False, False, False, False]
    assert many.states["K1"][1] == "chattering"
    assert math.isnan(many.volts["panel"][1])
    assert many.volts["stud"][0] == pytest.approx(12.3, abs=0.3)
    assert many.opened["F2"].tolist() == [False, False, True, False, False, False]
    for n, circuit in enumerate(circuits):
        assert_same(many, n, solve(circuit))


def test_a_fuse_does_not_wait_for_a_relay_that_buzzes() -> None:
    boat = build_circuit(
        "buzzer beside a short",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run("stud", "panel", Joint("X1")),
        run(
            "panel", "DC-", Via(Relay("K1", coil="90 ohm", pull_in="4 V", drop_out="3 V"), "86-85")
        ),
        run("panel", "DC-", Via("K1", "30-87"), Resistor("R1", resistance="0.4 ohm")),
        run("stud", "DC-", Fuse("F1", rating="10 A"), Resistor("R2", resistance="4 ohm")),
    )
    buzzing = boat.with_fault("X1 resistance 3 ohm")
    circuits = [boat, buzzing, buzzing.with_fault("R2 short 0.05 ohm")]
    many = solve_many(circuits)
    assert many.chattering.tolist() == [False, True, True]
    assert many.opened["F1"].tolist() == [False, False, True]
    for n, circuit in enumerate(circuits):
        assert_same(many, n, solve(circuit))


def test_of_two_overloaded_fuses_the_worst_opens_first_and_saves_the_other() -> None:
    boat = build_circuit(
        "two fuses in line",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run("stud", "panel", Fuse("F1", rating="15 A")),
        run("panel", "DC-", Fuse("F2", rating="5 A"), Resistor("R1", resistance="4 ohm")),
    )
    shorts = [boat.with_fault(f"R1 short {ohms} ohm") for ohms in (0.1, 0.5, 2.0, 100.0)]
    many = solve_many([boat, *shorts])
    assert many.opened["F2"].tolist() == [False, True, True, True, False]
    assert not many.opened["F1"].any()


def test_a_relay_with_a_dead_contact_first_in_line_does_not_hold_the_others_shut() -> None:
    boat = chattering_boat()
    circuits = [boat.with_fault("K1 dead contact"), boat.with_fault("K1 coil open"), boat]
    many = solve_many(circuits)
    assert many.states["K1"].tolist() == ["pulled in", "at rest", "pulled in"]
    assert abs(many.amps["R1"][:2]).max() == 0.0
    for n, circuit in enumerate(circuits):
        assert_same(many, n, solve(circuit))


def test_electronics_fitted_the_wrong_way_round_settle_by_their_own_terminals() -> None:
    boat = chattering_boat()
    circuits = [boat.with_fault("A1 reversed"), boat, boat.with_fault("G1 reversed"),
                boat.with_fault("G1 reversed", "A1 reversed")]  # fmt: skip  # in rows
    many = solve_many(circuits)
    for n, circuit in enumerate(circuits):
        assert_same(many, n, solve(circuit))


def test_a_seized_motor_and_a_free_one_have_their_own_speeds() -> None:
    boat = chattering_boat().without_faults()
    circuits = [boat.with_fault("F2 wrong fuse 60 A"),
                boat.with_fault("F2 wrong fuse 60 A", "M1 seized"),
                boat.with_fault("F2 wrong fuse 60 A", "M1 reversed")]  # fmt: skip  # in rows
    speeds = solve_many(circuits).speeds["M1"]
    assert speeds[0] == pytest.approx(1.0, abs=0.1)
    assert speeds[1] == 0.0
    assert speeds[2] == pytest.approx(-speeds[0])


def test_a_charger_limits_its_current_where_the_battery_is_low_and_only_there() -> None:
    boat = build_circuit(
        "charging",
        run("DC-", "stud", Battery("G1", emf="12.8 V", resistance="20 mohm")),
        run("DC-", "stud", Supply("G2", voltage="14.4 V", resistance="5 mohm", limit="30 A")),
        run("stud", "DC-", Indicator("P1")),
    )
    circuits = [boat.with_fault("G1 low 0 %"), boat.with_fault("G1 resistance 1 ohm"),
                boat.with_fault("G2 open")]  # fmt: skip  # rows that a reader compares
    many = solve_many(circuits)
    assert many.states["G2"].tolist() == ["limiting", "constant voltage", ""]
    assert abs(many.amps["G2"]) == pytest.approx([30.0, 1.6 / 1.017, 0.0], abs=0.01)


def test_an_island_is_flagged_in_its_own_column_alone() -> None:
    boat = chattering_boat()
    many = solve_many([boat, boat.with_fault("F2 open", "M1 open")])
    assert many.floating["F2:2"].tolist() == [False, True]
    assert math.isnan(many.volts["F2:2"][1])
    assert not many.floating["panel"].any()


def test_of_two_fuses_alike_in_line_the_one_met_first_opens_in_bulk_and_alone() -> None:
    boat = build_circuit(
        "alike",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run("stud", "DC-", Fuse("F1", rating="10 A"), Joint("X1"), Fuse("F2", rating="10 A"),
            Resistor("R1", resistance="0.31 ohm")),
    )  # fmt: skip  # rows that a reader compares
    circuits = [boat, boat.with_fault("X1 resistance 0.1 ohm")]
    assert [solve(c).opened for c in circuits] == [("F1",), ("F1",)]
    assert solve_many(circuits).opened["F1"].all()


def test_electronics_between_two_islands_see_no_voltage() -> None:
    boat = build_circuit(
        "two islands",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run("stud", "DC-", Resistor("R1", resistance="10 ohm")),
        run("low", "high", Battery("G2", emf="12.6 V", resistance="10 mohm")),
        run("low", "high", Resistor("R2", resistance="10 ohm")),
        run("high", "far", Electronics("A1", power="20 W")),
        run("far", "DC-", Switch("S1"), Joint("X1")),
        run("low", "DC-", Switch("S2"), Joint("X2")),
    )
    for circuit in (boat, boat.with_position(S2="on")):
        alone = solve(circuit)
        assert alone.states["A1"] == "off"
        assert_same(solve_many([circuit, boat.with_position(S1="on", S2="on")]), 0, alone)


@settings(max_examples=15)
@given(seeds)
def test_any_boat_in_several_states_is_solved_alike_in_bulk_and_alone(seed: int) -> None:
    rng = Random(seed)
    boat = sound_circuit(rng, 20)
    circuits = [disturb(rng, boat) for _ in range(4)]
    many = solve_many(circuits)
    assert not many.unsolved
    for n, circuit in enumerate(circuits):
        assert_same(many, n, solve(circuit))


def test_no_circuits_at_all_give_no_points() -> None:
    many = solve_many([])
    assert many.size == 0
    assert many.volts == {}
    assert isinstance(many.chattering, np.ndarray)

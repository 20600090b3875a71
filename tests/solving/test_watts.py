"""Heat in every part: what its sources give, less what leaves as work."""

from __future__ import annotations

import dataclasses
from random import Random

import pytest
from hypothesis import assume, given

from labkit.circuits.circuit import Circuit
from labkit.parts import MotorLoad
from labkit.parts.cells import Cell
from labkit.parts.charging_laws import GivenOn, OneWay, Photo
from labkit.parts.laws import Floats, Limited, Linear
from labkit.solving.solver import OperatingPoint, solve
from tests.boats import pump, resistors, shipped
from tests.generators import random_circuit, seeds


def given_and_worked(circuit: Circuit, point: OperatingPoint) -> tuple[float, float]:
    """What the sources' EMFs give, and what motors turn into work. [W]"""
    drive = work = 0.0
    for id, part in circuit.parts.items():
        for branch in part.model(circuit.state_of(id)).branches:
            if branch.role not in ("main", "reversed", "trio"):
                continue
            if point.states.get(id) == "not excited":
                continue
            ends = [f"{id}:{end}" for end in (branch.first, branch.second)]
            if not all(end in point.volts for end in ends):  # a way that nothing is wired to
                continue
            first, second = (point.volts[end] for end in ends)
            assert first is not None
            assert second is not None
            across = first - second
            law = branch.law
            if isinstance(law, GivenOn):  # what a converter takes in less that is heat as a whole
                continue
            if isinstance(law, OneWay | Photo) and branch.role != "trio":
                # Solved for and steered: what its model begins with says nothing.
                own = point.amps[id] or 0.0
                own -= shorted(circuit, point, id) if len(part.ways()) == 1 else 0.0
                own *= 1 if branch.role == "main" else -1
                ohms = law.series if isinstance(law, Photo) else 1 / law.conductance
                drive += (own * ohms - across) * own
            elif isinstance(law, Limited):
                amps, _ = law.at(across, True, Floats)
                drive += (amps / law.conductance - across) * amps
            elif isinstance(law, Cell):
                own = (point.amps[id] or 0.0) - shorted(circuit, point, id)
                drive += law.emf * own * (1 if branch.role == "main" else -1)
            elif isinstance(law, Linear) and law.source:
                emf = law.source / law.conductance
                drive += emf * (law.conductance * across + law.source)
            elif isinstance(part, MotorLoad):
                amps, _ = law.at(across, True, Floats)
                speed = law.speed(across, Floats)
                work += law.emf * speed * (amps - law.brake * speed)  # what brakes is heat
    return drive, work


def shorted(circuit: Circuit, point: OperatingPoint, id: str) -> float:
    """Current of a part from its first terminal to its last that a short beside it carries. [A]"""
    total = 0.0
    for branch in circuit.parts[id].model(circuit.state_of(id)).branches:
        if branch.role.startswith("short"):
            across = point.volt(f"{id}:{branch.first}", f"{id}:{branch.second}")
            assert across is not None
            assert isinstance(branch.law, Linear)
            total += branch.law.conductance * across
    return total


def test_a_corroded_splice_is_a_soldering_iron() -> None:
    circuit = shipped("washdown").with_position(S2="on").with_fault("X1 resistance 1.6 ohm")
    point = solve(circuit)
    assert point.watts["X1"] == pytest.approx(18.75, abs=0.01)
    assert point.watts["X1"] == pytest.approx(point.amps["X1"] ** 2 * 1.6005)  # type: ignore[operator]


def test_what_a_pump_does_to_the_water_is_not_heat() -> None:
    point = solve(pump())
    volts, amps = point.volt("M1:1", "M1:2"), point.amps["M1"]
    assert volts is not None
    assert amps is not None
    assert point.watts["M1"] == pytest.approx(amps * amps * 0.4)
    assert point.watts["M1"] < volts * amps


def test_a_seized_motor_turns_everything_into_heat() -> None:
    point = solve(pump().with_fault("M1 seized", "F1 wrong fuse 80 A"))
    volts, amps = point.volt("M1:1", "M1:2"), point.amps["M1"]
    assert point.watts["M1"] == pytest.approx(volts * amps)  # type: ignore[operator]


def test_a_battery_is_warmed_by_its_resistance_alone() -> None:
    point = solve(resistors(5.0, internal="1 ohm"))
    assert point.watts["G1"] == pytest.approx(4.0)
    assert point.watts["R1"] == pytest.approx(20.0)


def test_a_leak_warms_the_wire_it_leaves() -> None:
    point = solve(pump().with_fault("W1:1 leak 12 ohm"))
    volts = point.volts["W1:1"]
    assert point.watts["W1"] > volts * volts / 12.0  # type: ignore[operator]


@given(seeds)
def test_heat_is_what_the_sources_give_less_work(seed: int) -> None:
    circuit = dataclasses.replace(random_circuit(Random(seed)), bridges=())
    point = solve(circuit)
    assume(not point.chattering and not point.floating)
    assert all(watts is not None and watts >= -1e-9 for watts in point.watts.values())
    drive, work = given_and_worked(circuit, point)
    heat = sum(watts for watts in point.watts.values() if watts is not None)
    scale = max(heat, abs(drive), 1.0)  # the current of an ideal source is rounded
    assert heat == pytest.approx(drive - work, abs=1e-4 * scale)


def test_what_chatters_has_no_number_for_its_heat() -> None:
    heater = shipped("cabin-heater").with_position(S1="on", S2="on")
    point = solve(heater.with_fault("X1 resistance 3 ohm"))
    assert point.chattering == ("K1",)
    assert point.watts["E1"] is None

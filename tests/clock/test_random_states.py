"""A few of the courses that ``python -m tests.clock.random_states`` plays."""

from __future__ import annotations

from labkit.circuits.circuit import build_circuit, run
from labkit.clock.course import Course
from labkit.clock.program import parse_program
from labkit.parts import Battery, Charger, Fuse, MotorLoad, Resistor
from tests.clock.random_states import campaign


def test_no_random_boat_is_without_an_answer_while_time_passes() -> None:
    states, found = campaign(range(12))
    assert states > 500
    assert found == []


def test_a_motor_that_coasts_is_a_source_where_there_is_no_other() -> None:
    # Its charger switched off, a fan turns on and drives what else hangs on its wires.
    circuit = build_circuit(
        "coasting",
        run("DC-", "plus", Charger("G1", limit="20 A")),
        run("plus", "DC-", MotorLoad("M1", current="4 A")),
        run("plus", "DC-", Resistor("R1", resistance="20 ohm")),
    )
    course = Course(circuit, parse_program(["10 s G1=off"], circuit), show=("plus",)).play(12.0)
    seconds, volts = course.chronicle.series("volts", "plus")
    coasting = [v for t, v in zip(seconds, volts, strict=True) if 10.001 < t < 10.05 and v]
    assert coasting
    assert max(coasting) < 12.0
    assert coasting == sorted(coasting, reverse=True)
    assert coasting[0] > 3.0


def test_a_fuse_that_somebody_has_bridged_opens_once() -> None:
    circuit = build_circuit(
        "a nail across the fuse",
        run("DC-", "plus", Battery("G1", emf="12 V")),
        run("plus", "DC-", Fuse("F1", rating="5 A"), Resistor("R1", resistance="0.5 ohm")),
    ).with_fault("F1 short 0.05 ohm")
    course = Course(circuit, show=("F1",)).play(10.0)
    assert [event.state for event in course.chronicle.events].count("open") == 1
    assert (course.point.amps["F1"] or 0.0) > 20.0

"""The volts above rest of a lead battery after charging, against an integrator too."""

from __future__ import annotations

import pytest
from scipy.integrate import solve_ivp

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.clock.bodies import SELF_DISCHARGE
from labkit.clock.course import Course
from labkit.clock.program import parse_program
from labkit.clock.surface import surfaces_of
from labkit.parts import Battery, Charger, Lampholder, PartState, Switch
from labkit.parts.cells import EVENS_OUT, NEAR, Cell
from labkit.parts.laws import Floats

HOUR = 3600.0


def charged(chemistry: str = "flooded", second: bool = False) -> Circuit:
    """A battery on a charger, and lamps of 10 A."""
    battery = Battery("G1", charge="80 %", capacity="100 Ah", chemistry=chemistry)
    beside = [run("DC-", "stud", Battery("G3", charge="50 %", capacity="60 Ah"))] if second else []
    return build_circuit(
        "charged",
        run("DC-", "stud", battery),
        *beside,
        run("DC-", "stud", Charger("G2", limit="20 A", absorption="24 h")),
        run("stud", "DC-", Switch("S1", position="off"), Lampholder("E1", power="120 W")),
    )


def played(circuit: Circuit, hours: float, *deeds: str) -> Course:
    return Course(circuit, parse_program(deeds, circuit), show=("stud", "G1")).play(hours * HOUR)


def volts_at(course: Course, hours: float) -> float:
    times, volts = course.chronicle.series("volts", "stud")
    return next(v for t, v in zip(times, volts, strict=True) if t >= hours * HOUR and v)


def test_the_surface_falls_for_hours_as_an_integrator_finds() -> None:
    course = played(charged(), 11.0, "8 h G2=off")
    before = Course(charged(), show=("stud",)).play(8 * HOUR)
    near, bulk = before.world.bodies["G1"].state
    at_first = surfaces_of(before.world.look())["G1"]
    battery = charged().parts["G1"]

    def rates(_: float, y: list[float]) -> list[float]:
        (branch,) = battery.model(PartState(12.0, memory={"near": y[0]}, dt=1.0)).branches
        law = branch.law
        assert isinstance(law, Cell)
        still = Cell(**{**vars(law), "held": 0.0})
        taken = -still.at(-law.emf - y[2], False, Floats)[0]
        over = EVENS_OUT * (y[1] - y[0])
        lost = SELF_DISCHARGE / 86400
        return [(over - lost) / NEAR, -over / (1 - NEAR), -taken / law.held]

    right = solve_ivp(rates, (0.0, 3 * HOUR), [near, bulk, at_first], "LSODA", rtol=1e-8, atol=1e-9)
    assert right.y[2, -1] < at_first / 2
    assert course.world.surfaces["G1"] == pytest.approx(right.y[2, -1], abs=0.02)


def test_volts_at_rest_are_too_high_for_hours_after_charging() -> None:
    course = played(charged(), 35.0, "8 h G2=off")
    rest = volts_at(course, 34.9)
    above = [volts_at(course, 8 + after) - rest for after in (1 / 60, 1.0, 3.0, 10.0)]
    assert above == sorted(above, reverse=True)
    assert above[0] > 1.2
    assert 0.3 < above[2] < 0.7
    assert above[3] < 0.15


def test_a_minute_of_lamps_takes_most_of_it_away() -> None:
    left = volts_at(played(charged(), 9.0, "8 h G2=off"), 8.9)
    lit = volts_at(played(charged(), 9.0, "8 h G2=off", "8.1 h S1=on", "8.12 h S1=off"), 8.9)
    rest = volts_at(played(charged(), 35.0, "8 h G2=off"), 34.9)
    assert lit - rest < 0.5 * (left - rest)


def test_a_lithium_battery_has_none() -> None:
    course = played(charged("lifepo4"), 9.0, "8 h G2=off")
    assert volts_at(course, 8.01) == pytest.approx(volts_at(course, 8.9), abs=0.02)


def test_of_two_side_by_side_the_fuller_gives_the_other_its_surface() -> None:
    alone = volts_at(played(charged(), 3.5, "3 h G2=off"), 3.4)
    both = played(charged(second=True), 3.5, "3 h G2=off")
    assert volts_at(both, 3.4) < alone - 0.1
    assert both.steps < 400


def test_a_recorder_at_the_posts_sees_it_fall() -> None:
    bench = Bench(charged())
    bench.wait("8 h")
    bench.switch("G2", "off")
    least, most = (
        float(part.split()[1]) for part in bench.record("stud", "DC-", "1 h").shows.split(", ")[:2]
    )
    assert most > 13.5
    assert least < most - 0.4

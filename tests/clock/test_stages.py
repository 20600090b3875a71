"""Chargers go through their stages, and combiners wait, while batteries fill."""

from __future__ import annotations

from itertools import pairwise

import pytest

from labkit.circuits.circuit import Via, build_circuit, run
from labkit.clock.course import Course
from labkit.clock.program import parse_program
from labkit.parts import Combiner, Resistor, Supply

from ..parts import test_charging as boats


def told(course: Course, part: str) -> list[tuple[str, float]]:
    return [(e.state, e.seconds) for e in course.chronicle.events if e.part == part]


def test_a_charger_floats_after_its_time_and_holds_less_then() -> None:
    course = Course(boats.shore(absorption="1 h", float="13.4 V"), show=("G1", "G2")).play(8 * 3600)
    (state, seconds), *rest = told(course, "G2")
    assert (state, rest) == ("float", [])
    bulk = 0.5 * 200 / 25 * 3600  # all of what is missing at 25 A: it holds its voltage before
    assert 3600 < seconds < bulk
    assert (course.point.volt("stud") or 0) == pytest.approx(13.4, abs=0.02)
    charge = course.world.bodies["G1"].charge
    assert 0.75 < charge < 1.0


def test_a_charger_that_was_off_begins_anew() -> None:
    circuit = boats.shore(absorption="1 h")
    deeds = parse_program(["6 h G2=off", "6.1 h G2=on"], circuit)
    course = Course(circuit, deeds, show=("G2",)).play(7 * 3600)
    assert [state for state, _ in told(course, "G2")] == ["float", "off", "absorption", "on"]


def test_a_charger_stuck_in_float_fills_a_battery_more_slowly() -> None:
    sound, stuck = (
        Course(circuit, show=("G1",)).play(6 * 3600).world.bodies["G1"].charge
        for circuit in (boats.shore(), boats.shore().with_fault("G2 stuck in float"))
    )
    assert stuck < sound - 0.02


def test_a_combiner_closes_after_its_delay_and_opens_when_the_engine_stops() -> None:
    circuit = boats.pair(delay="5 s")
    deeds = parse_program(["1 h G2=stopped"], circuit)
    course = Course(circuit, deeds, show=("K1", "G3")).play(4 * 3600)
    events = told(course, "K1")
    assert [state for state, _ in events if state in ("pulled in", "released")] == [
        "pulled in",
        "released",
    ]
    closed = next(seconds for state, seconds in events if state == "pulled in")
    assert 5.0 <= closed < 9.0
    opened = next(seconds for state, seconds in events if state == "released")
    assert opened > 3600 + 5.0
    assert course.world.bodies["G3"].charge > 0.75


def test_a_combiner_that_saws_waits_each_time() -> None:
    # Closed it is pulled down by what hangs on the other side, open the source stands high again.
    circuit = build_circuit(
        "sawing",
        run("DC-", "left", Supply("G1", voltage="14.2 V", limit="5 A")),
        run("left", "right", Combiner("K1", delay="2 s")),
        run("left", "DC-", Via("K1", "30-31")),
        run("right", "DC-", Resistor("R1", resistance="0.5 ohm")),
    )
    course = Course(circuit, show=("K1",)).play(30.0)
    moved = [seconds for _, seconds in told(course, "K1")]
    assert len(moved) > 8
    assert all(1.999 < later - sooner < 3.0 for sooner, later in pairwise(moved))


def test_the_sun_goes_and_the_battery_stops_filling() -> None:
    circuit = boats.sunny()
    deeds = parse_program(["2 h G1=cloud", "3 h G1=dark"], circuit)
    course = Course(circuit, deeds, show=("G2",)).play(4 * 3600)
    # By hand: 6 A for 2 h and a fifth of it for 1 h, of 200 Ah.
    assert course.world.bodies["G2"].charge == pytest.approx(0.5 + 13.2 / 200, abs=0.003)

"""A rush of current comes at every start, and fuses and breakers feel it as at the first."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.clock.course import Course
from labkit.clock.program import parse_program
from labkit.parts import Battery, Breaker, Fuse, Lampholder, MotorLoad, Part, Switch
from labkit.parts.loads import SPIN_UP

ONCE_MORE = ("60 s S1=on", "70 s S1=off", "700 s S1=on", "710 s S1=off", "1400 s S1=on")


def behind(protection: Part, load: Part) -> Circuit:
    """A load behind a fuse and a switch."""
    return build_circuit(
        "invented",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="20 mohm")),
        run("stud", "DC-", protection, Switch("S1", position="off"), load),
    )


def motor() -> MotorLoad:
    return MotorLoad("M1", voltage="12 V", current="7 A", resistance="0.35 ohm")


def lamp() -> Lampholder:
    return Lampholder("E1", power="60 W")


def played(circuit: Circuit, seconds: float, *at: str) -> Course:
    return Course(circuit, parse_program(at, circuit)).play(seconds)


def since(course: Course, part: str, start: float) -> tuple[list[float], list[float]]:
    """Instants since a switch closed and what flows in a part, over the second after it."""
    times, amps = course.chronicle.series("amps", part)
    rows = [(t - start, a) for t, a in zip(times, amps, strict=True) if start <= t <= start + 1.0]
    rows = [(t, a) for t, a in rows if a is not None and (t > 0.0 or a > 0.0)]
    return [t for t, _ in rows], [a for _, a in rows]


class Afresh(Course):
    """A course that follows every rush anew."""

    def _again(self, rush: object) -> bool:
        return False


@pytest.mark.parametrize("load", [motor, lamp])
def test_a_load_started_again_after_it_has_stood_rushes_as_at_first(load) -> None:
    circuit = behind(Fuse("F1", rating="15 A"), load())
    course = played(circuit, 1410.0, *ONCE_MORE)
    anew = Afresh(circuit, parse_program(ONCE_MORE, circuit)).play(1410.0)
    first = since(course, load().id, 60.0)
    assert max(first[1]) > 3 * first[1][-1]
    for start in (700.0, 1400.0):
        times, amps = since(course, load().id, start)
        right = since(anew, load().id, start)
        assert 5 < len(times) < len(right[0])
        assert amps == pytest.approx(list(np.interp(times, *right)), abs=0.03 * amps[0])
        assert amps[-1] == pytest.approx(np.interp(times[-1], *right), rel=0.01)


def test_a_motor_started_again_draws_what_an_integrator_finds() -> None:
    course = played(behind(Fuse("F1", rating="15 A"), motor()), 1410.0, *ONCE_MORE)
    times, amps = since(course, "M1", 1400.0)
    parts = course.world.circuit.parts
    ohms = 0.02 + 0.35 + parts["F1"].own_resistance + parts["S1"].own_resistance
    emf = 12.0 - 7.0 * 0.35

    def current(speed: float) -> float:
        return (12.6 - emf * speed) / ohms

    def rates(_: float, y: list[float]) -> list[float]:
        torque = current(y[0]) - 7.0 * 0.2 - 7.0 * 0.8 * y[0] ** 2  # a fifth of it is friction
        return [torque / (7.0 * SPIN_UP), current(y[0]) ** 2]

    right = solve_ivp(rates, (0.0, 1.0), [0.0, 0.0], rtol=1e-9, atol=1e-9, dense_output=True)
    assert amps[0] == pytest.approx(current(0.0), rel=0.03)  # it is a little warm
    found = [current(float(right.sol(t)[0])) for t in times]
    assert amps == pytest.approx(found, abs=0.07 * amps[0])
    felt = np.trapezoid(np.square(amps), times)
    assert felt == pytest.approx(float(right.sol(times[-1])[1]), rel=0.1)


@pytest.mark.parametrize(
    "guard", [Fuse("F1", rating="4 A", kind="glass"), Breaker("F1", rating="3 A")], ids=str
)
def test_starts_that_follow_one_another_open_what_one_start_does_not(guard: Part) -> None:
    every = [f"{4 + 2 * n} s S1={'off' if n % 2 else 'on'}" for n in range(120)]
    circuit = behind(guard, motor())
    program = parse_program(every, circuit)
    opened = [
        next(
            e.seconds
            for e in kind(circuit, program).play(244.0).chronicle.events
            if e.state == "open"
        )
        for kind in (Course, Afresh)
    ]
    assert opened[0] > 10.0
    assert opened[0] == pytest.approx(opened[1], abs=0.02)


def test_a_load_started_while_it_still_turns_rushes_less_and_leaves_no_mark() -> None:
    at = ["20 s S1=on", "40 s S1=off", "40.2 s S1=on", "60 s S1=off", "80 s S1=on"]
    course = played(behind(Fuse("F1", rating="15 A"), motor()), 100.0, *at)
    first, soon, later = (max(since(course, "M1", start)[1]) for start in (20.0, 40.2, 80.0))
    assert soon < 0.9 * first
    assert later == pytest.approx(first, rel=0.01)

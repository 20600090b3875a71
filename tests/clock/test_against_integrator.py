"""A course of events against an integrator of differential equations, which knows no steps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.circuits.water import Water
from labkit.clock import copper
from labkit.clock.bodies import (
    WINDING_TIME,
    Body,
    ContactBody,
    Flow,
    ProtectionBody,
    WindingBody,
    WireBody,
)
from labkit.clock.course import Course
from labkit.clock.world import World
from labkit.parts import Battery, Cable, Float, Fuse, Joint, MotorLoad, Resistor, Switch
from labkit.parts.conductors import resistivity
from labkit.text.messages import NoConvergenceError
from tests.benchmarks.boats import boat, states
from tests.boats import shipped
from tests.outside.heat import time_constant


def slopes(world: World, body: Body, flow: Flow) -> list[float]:
    """Rates of a body's state, written out from its differential equations."""
    if isinstance(body, WireBody):
        made = flow.squared * resistivity(body.state[0]) / body.area
        lost = copper.loss(body.area, body.insulation) * (body.state[0] - body.ambient)
        return [(made - lost) / (copper.HEAT_OF_COPPER * body.area)]
    if isinstance(body, WindingBody):
        return [(body.ambient + body.rise * flow.watts - body.state[0]) / WINDING_TIME]
    assert isinstance(body, ContactBody | ProtectionBody)
    wires = world._wires[body.id]
    wire = sum(w.state[0] for w in wires) / len(wires) if wires else body.ambient
    here, beside = body.state[-2:]
    spot = body.spot
    near, far = spot.fins / 0.25, spot.fins / 0.75
    over, lost = near * (here - beside), spot.shed(here, body.ambient)
    found = [
        (flow.watts - lost - over) / (spot.own_heat + 0.05 * spot.fin_heat),
        (over - far * (beside - wire)) / (0.5 * spot.fin_heat),
    ]
    if isinstance(body, ProtectionBody):
        ends = body.melting.targets(flow.squared / body.rated**2)
        times = (body.melting.tau_quick, body.melting.tau_slow)
        heat = [(e - h) / t for e, h, t in zip(ends, body.heat, times, strict=True)]
        return [*heat, *found]
    return found


def integrated(circuit: Circuit, seconds: float) -> dict[str, tuple[float, ...]]:
    """States of all bodies after a time, by LSODA; the circuit solved at every instant it asks."""
    world = World(circuit)
    sizes = {id: len(body.state) for id, body in world.bodies.items()}

    def put(y: np.ndarray) -> None:
        place = 0
        for id, size in sizes.items():
            world.bodies[id].state = tuple(float(v) for v in y[place : place + size])
            place += size

    def rates(_: float, y: np.ndarray) -> list[float]:
        put(y)
        flows = world.flows(world.look())
        return [r for id, body in world.bodies.items() for r in slopes(world, body, flows[id])]

    begin = [v for body in world.bodies.values() for v in body.state]
    found = solve_ivp(rates, (0.0, seconds), begin, "LSODA", rtol=1e-8, atol=1e-8)
    put(found.y[:, -1])
    return {id: body.state for id, body in world.bodies.items()}


def heated() -> Circuit:
    """A resistor behind a fuse, a thin wire and a poor joint, more than they can bear."""
    return build_circuit(
        "everything warms",
        run("DC-", "stud", Battery("G1", emf="12.4 V", resistance="20 mohm")),
        run("stud", "DC-", Fuse("F1", rating="20 A"), Cable("W1", size="16 AWG", length="6 m"),
            Joint("X1", resistance="80 mohm"), Cable("W2", size="14 AWG", length="6 m"),
            Resistor("R1", resistance="0.6 ohm")),
    )  # fmt: skip  # rows that a reader compares


def seized() -> Circuit:
    return shipped("washdown").with_position(S2="on").with_fault("M1 seized")


@pytest.mark.parametrize("made", [heated, seized])
@pytest.mark.parametrize("seconds", [5.0, 60.0, 400.0])
def test_warmth_is_what_an_integrator_finds(made: Callable[[], Circuit], seconds: float) -> None:
    circuit = made()
    right = integrated(circuit, seconds)
    course = Course(circuit, tolerance=0.002, running=True, heat_only=True).play(seconds)
    for id, body in course.world.bodies.items():
        rise = [abs(v - body.ambient) for v in right[id]]
        assert body.state == pytest.approx(right[id], abs=1e-4 * max(*rise, 10.0)), id


def test_a_pump_cycles_as_an_integrator_finds() -> None:
    water = {"float": "S1", "pump": "M1", "leak": "2 l/min", "flow": "24 l/min"}
    circuit = build_circuit(
        "bilge",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="5 mohm")),
        run("stud", "DC-", Cable("W1", size="18 AWG", length="9 m"), Float("S1", position="on"),
            MotorLoad("M1", current="6 A", resistance="0.5 ohm")),
    )  # fmt: skip  # rows that a reader compares
    full = Water.model_validate({**water, "start": "40 l"})
    world = World(circuit)

    def rates(_: float, y: np.ndarray) -> list[float]:
        world.bodies["W1"].state, world.bodies["M1"].state = (float(y[0]),), (float(y[1]),)
        look = world.look()
        flows = world.flows(look)
        warm = [slopes(world, world.bodies[id], flows[id])[0] for id in ("W1", "M1")]
        return [*warm, full.leak - full.flow * world.speed(look, "M1")]

    def empty(_: float, y: np.ndarray) -> float:
        return float(y[2]) - full.off

    empty.terminal = True  # type: ignore[attr-defined]
    right = solve_ivp(
        rates, (0.0, 3600.0), [25.0, 25.0, full.start], "LSODA", rtol=1e-9, atol=1e-10, events=empty
    )
    course = Course(replace(circuit, water=full), tolerance=0.002, running=True).play(600.0)
    first = next(e for e in course.chronicle.events if e.part == "S1")
    assert first.seconds == pytest.approx(right.t[-1], rel=1e-4)


def test_no_random_state_is_without_an_answer() -> None:
    small = boat(20)
    for number, circuit in enumerate(states(small, 12, seed=3)):
        try:
            course = Course(circuit, show=("DC-",)).play(30.0)
        except NoConvergenceError as error:
            pytest.fail(f"state {number}, {circuit}: {error}")
        assert course.seconds == 30.0


def test_what_is_warm_goes_on_from_there_when_something_is_switched() -> None:
    circuit = build_circuit(
        "a switched load",
        run("DC-", "stud", Battery("G1", emf="12 V", resistance="5 mohm")),
        run("stud", "DC-", Switch("S1", position="on"), Cable("W1", size="14 AWG", length="5 m"),
            Resistor("R1", resistance="0.6 ohm")),
    )  # fmt: skip  # rows that a reader compares
    course = Course(circuit).play(300.0)
    warm = course.world.celsius("W1")
    course.change(circuit.with_position(S1="off"))
    course.play(40.0)
    share = (course.world.celsius("W1") - 25.0) / (warm - 25.0)
    assert share == pytest.approx(np.exp(-40.0 / time_constant(2.08e-6)), rel=0.02)

"""A battery on a charger for four hours, against scipy's integrator and its root finder."""

from __future__ import annotations

import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from labkit.circuits.circuit import build_circuit, run
from labkit.clock.bodies import SELF_DISCHARGE
from labkit.clock.course import Course
from labkit.parts import Battery, Charger, PartState
from labkit.parts.cells import EVENS_OUT, NEAR
from labkit.parts.laws import Floats

LIMIT, HOLDS, OHMS = 25.0, 14.4, 0.010  # of the charger [A, V, ohm]
AMP_HOURS, HOURS = 200.0, 4.0


def amps_into(battery: Battery, near: float) -> float:
    """Current of a charger into a battery: where its line meets the battery's law."""
    law = battery.model(PartState(12.0, memory={"near": near})).branches[0].law

    def surplus(amps: float) -> float:
        # What the cells would take in, behind their resistance, less what the charger gives.
        posts = HOLDS - amps * OHMS
        taken = brentq(
            lambda i: i + law.at(-(posts - i * law.series), True, Floats)[0], -5000.0, 5000.0,
            xtol=1e-12,
        )  # fmt: skip  # rows that a reader compares
        return taken - amps

    return min(brentq(surplus, 0.0, 400.0, xtol=1e-11), LIMIT)


def test_a_charge_from_half_agrees_with_an_integrator() -> None:
    battery = Battery("G1", charge="50 %", capacity=f"{AMP_HOURS} Ah")

    def rates(_: float, y: list[float]) -> list[float]:
        near, bulk = y
        share = amps_into(battery, near) / (AMP_HOURS * 3600) - SELF_DISCHARGE / 86400
        over = EVENS_OUT * (bulk - near)
        return [(share + over) / NEAR, -over / (1 - NEAR)]

    found = solve_ivp(rates, (0.0, HOURS * 3600), [0.5, 0.5], "LSODA", rtol=1e-6, atol=1e-7)
    near, bulk = found.y[:, -1]
    circuit = build_circuit(
        "charging",
        run("DC-", "stud", battery),
        run("DC-", "stud", Charger("G2", limit=f"{LIMIT} A", absorption="24 h")),
        system="12 V",
    )
    course = Course(circuit, show=("G1",), tolerance=0.003).play(HOURS * 3600)
    charge = course.world.bodies["G1"].charge
    assert charge == pytest.approx(NEAR * near + (1 - NEAR) * bulk, abs=1e-4)

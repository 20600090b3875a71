"""A wire warms as one mass of copper, exactly while its current is held."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from labkit.clock.copper import HEAT_OF_COPPER, MELTS, loss, settled, warmed
from labkit.parts.conductors import awg_area, resistivity
from tests.outside.heat import time_constant


@given(st.floats(0.3e-6, 120e-6), st.floats(0.0, 1.2), st.floats(1.0, 1e4))
def test_a_step_is_what_an_integrator_finds(area: float, share: float, seconds: float) -> None:
    amps = share * 30.0 * (area * 1e6) ** 0.6

    def slope(_: float, t: list[float]) -> list[float]:
        made = amps**2 * resistivity(t[0]) / area
        return [(made - loss(area) * (t[0] - 30.0)) / (HEAT_OF_COPPER * area)]

    found = solve_ivp(slope, (0.0, seconds), [40.0], method="LSODA", rtol=1e-9, atol=1e-9)
    if found.y[0, -1] < MELTS:
        step = warmed(40.0, amps**2, seconds, area, 30.0)
        assert step - 30.0 == pytest.approx(found.y[0, -1] - 30.0, rel=1e-5, abs=1e-5)


def test_too_much_current_runs_away() -> None:
    area = awg_area(18)
    assert settled(200.0**2, area, 30.0) == math.inf
    assert warmed(30.0, 200.0**2, 3600.0, area, 30.0) > 1e6


def test_thick_wires_take_longer() -> None:
    times = [time_constant(awg_area(gauge)) for gauge in (18, 12, 6, 0, -3)]
    assert times == sorted(times)
    assert 15 < times[0] < 25
    assert 600 < times[-1] < 700


@given(st.floats(0.05e-6, 500e-6), st.floats(2.6, 5.0))
def test_a_much_thicker_wire_loses_more(area: float, thicker: float) -> None:
    assert loss(area * thicker) >= loss(area)

"""A joint warms as two nodes do, within a few per cent of the fin's differential equation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from labkit.clock.copper import HEAT_OF_COPPER, MELTS, loss
from labkit.clock.hot_spot import CONDUCTIVITY, HotSpot


def two_nodes(spot: HotSpot, watts: float, seconds: float) -> float:
    """The same two nodes by an integrator, its radiation as it is at every instant. [C]"""
    c1, c2 = spot.own_heat + 0.05 * spot.fin_heat, 0.5 * spot.fin_heat
    near, far = spot.fins / 0.25, spot.fins / 0.75

    def slope(_: float, t: list[float]) -> list[float]:
        lost = spot.shed(t[0], 30.0)
        over = near * (t[0] - t[1])
        return [(watts - lost - over) / c1, (over - far * (t[1] - 30.0)) / c2]

    found = solve_ivp(slope, (0.0, seconds), [30.0, 30.0], "LSODA", rtol=1e-10, atol=1e-9)
    return float(found.y[0, -1])


def fins(area: float, watts: float, seconds: float, pieces: int = 120) -> float:
    """A lug and the two wires it ends on, each a long fin cut into pieces. [C]"""
    spot, h = HotSpot((area, area)), loss(area)
    dx = 4 * np.sqrt(CONDUCTIVITY * area / h) / pieces
    between, heat = 2 * CONDUCTIVITY * area / dx, 2 * HEAT_OF_COPPER * area * dx

    def slope(_: float, t: np.ndarray) -> np.ndarray:
        flow = between * (t[:-1] - t[1:])
        rise = np.zeros_like(t)
        rise[0] = (watts - flow[0] - spot.shed(t[0], 30.0)) / spot.own_heat
        rise[1:-1] = (flow[:-1] - flow[1:] - 2 * h * dx * (t[1:-1] - 30.0)) / heat
        return rise

    begin = np.full(pieces + 1, 30.0)
    found = solve_ivp(slope, (0.0, seconds), begin, "LSODA", rtol=1e-6, lband=1, uband=1)
    return float(found.y[0, -1])


@given(st.floats(1e-6, 80e-6), st.floats(0.01, 1.0), st.floats(0.1, 5e3))
def test_a_step_is_what_an_integrator_finds(area: float, share: float, seconds: float) -> None:
    spot = HotSpot((area, area))
    watts = share * spot.watts(600.0, 30.0, 30.0)
    step, _ = spot.after((30.0, 30.0), watts, seconds, 30.0, 30.0)
    assert step - 30.0 == pytest.approx(two_nodes(spot, watts, seconds) - 30.0, rel=1e-4, abs=1e-3)


@pytest.mark.parametrize(("area", "watts"), [(1.31e-6, 6.0), (3.31e-6, 18.7), (67.4e-6, 380.0)])
@pytest.mark.parametrize("seconds", [3.0, 10.0, 30.0, 100.0, 600.0])
def test_two_nodes_follow_the_fins(area: float, watts: float, seconds: float) -> None:
    found, _ = HotSpot((area, area)).after((30.0, 30.0), watts, seconds, 30.0, 30.0)
    assert found - 30.0 == pytest.approx(fins(area, watts, seconds) - 30.0, rel=0.07)


@given(st.floats(0.0, 400.0), st.floats(20.0, 60.0))
def test_it_comes_to_what_its_watts_hold(watts: float, wire: float) -> None:
    spot = HotSpot((3.31e-6, 8.37e-6))
    end = spot.settled(watts, 25.0, wire)
    assert spot.watts(end, 25.0, wire) == pytest.approx(watts, abs=1e-6)
    there, _ = spot.after((25.0, 25.0), watts, 1e6, 25.0, wire)
    assert there == pytest.approx(min(end, MELTS), abs=0.05)  # copper that melts is no hotter

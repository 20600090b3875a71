"""The formulas of the parts, each against values worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from labkit.parts.cells import Cell, settle_wells
from labkit.parts.filament import COLD, Filament, Lamp, voltage_share
from labkit.parts.laws import Floats, Junction, Law, Limited, Linear, Power
from labkit.parts.rotor import Motor, Rotor


def current(law: Law, v: float) -> float:
    return float(law.at(v, False, Floats)[0])


# -- lamp: I = I_rated u / r(u), r = ((c^4 + u^1.8) / (c^4 + 1))^(1/4), c = 1/13 --------------


@pytest.mark.parametrize(
    ("volts", "amps"),
    [
        (12.0, 2.0),
        (6.0, 1.366011),  # c^4 = 3.50128e-5, 0.5^1.8 = 0.287175: r = 0.287200^0.25 = 0.732055
        (-6.0, -1.366011),
        (14.4, 2.210959),  # 1.2^1.8 = 1.388443: r = 1.388430^0.25 = 1.085500
        (0.6, 0.384270),  # 5 %: 0.05^1.8 = 4.55138e-3: r = 4.58623e-3^0.25 = 0.260234
        (0.012, 0.02530957),  # 0.1 %: 0.001^1.8 = 3.98107e-6: r = 3.89925e-5^0.25 = 0.0790217
        (0.0, 0.0),
    ],
)
def test_a_lamp_draws_its_rated_current_over_what_its_filament_has_warmed_to(
    volts: float, amps: float
) -> None:
    assert current(Lamp(voltage=12.0, current=2.0), volts) == pytest.approx(amps, rel=3e-6)


def test_a_cold_lamp_is_a_thirteenth_of_the_hot_one() -> None:
    _, slope = Lamp(voltage=12.0, current=2.0).at(0.0, False, Floats)
    assert 1 / slope == pytest.approx(6.0 / 13, rel=1e-4)


@given(st.floats(1e-6, 3.0))
def test_the_voltage_of_a_lamp_follows_from_its_current(u: float) -> None:
    amps = current(Lamp(voltage=1.0, current=1.0), u)
    assert voltage_share(amps) == pytest.approx(u, rel=1e-9)


@given(st.floats(0.01, 2.0), st.sampled_from((COLD, 0.4, 1.0)))
def test_a_filament_given_time_settles_on_the_lamps_law(u: float, before: float) -> None:
    lamp = Lamp(voltage=12.0, current=2.0)
    warming = Filament(voltage=12.0, current=2.0, lag=1e-9, before=before)
    assert current(warming, 12 * u) == pytest.approx(current(lamp, 12 * u), rel=1e-6)
    at_once = Filament(voltage=12.0, current=2.0, lag=1e9, before=before)
    assert current(at_once, 12 * u) == pytest.approx(2 * u / before, rel=1e-5)


# -- motor: V = I R + E s, I = steady + brake s + fan s^2 ------------------------------------

PUMP = {"emf": 12 - 7 * 0.35, "resistance": 0.35, "steady": 1.4, "fan": 5.6}


def test_a_motor_at_rated_voltage_runs_at_rated_speed_and_current() -> None:
    pump = Motor(**PUMP)
    assert pump.speed(12.0, Floats) == pytest.approx(1.0)
    assert current(pump, 12.0) == pytest.approx(7.0)


def test_a_motor_at_half_voltage_solves_its_quadratic() -> None:
    # 0.35 * 7 * 0.8 s^2 + 9.55 s - (6 - 0.35 * 1.4) = 0
    # s = (-9.55 + sqrt(91.2025 + 4 * 1.96 * 5.51)) / 3.92 = (-9.55 + 11.594287) / 3.92
    pump = Motor(**PUMP)
    s = (-9.55 + math.sqrt(91.2025 + 43.1984)) / 3.92
    assert s == pytest.approx(0.521, abs=5e-4)
    assert pump.speed(6.0, Floats) == pytest.approx(s)
    assert current(pump, 6.0) == pytest.approx(7 * (0.2 + 0.8 * s * s))
    assert pytest.approx(current(pump, 6.0) * 0.35 + 9.55 * s) == 6.0


def test_a_motor_stalls_below_its_friction() -> None:
    pump = Motor(**PUMP)  # 0.2 * 7 A * 0.35 ohm = 0.49 V
    assert current(pump, 0.4) == pytest.approx(0.4 / 0.35)
    assert pump.speed(0.4, Floats) == 0.0
    assert current(pump, 0.49) == pytest.approx(1.4)
    assert pump.speed(0.6, Floats) > 0


def test_a_seized_motor_is_its_winding() -> None:
    seized = Motor(**{**PUMP, "steady": math.inf})
    assert current(seized, 12.0) == pytest.approx(12 / 0.35)
    assert seized.speed(12.0, Floats) == 0.0


def test_a_dry_pump_spins_faster_and_draws_less() -> None:
    # 0.35 * 7 * 0.8 * 0.3 s^2 + 9.55 s - 11.51 = 0: s = (-9.55 + sqrt(118.2739)) / 1.176
    dry = Motor(**{**PUMP, "fan": 0.3 * 5.6})
    s = (-9.55 + math.sqrt(9.55**2 + 4 * 0.588 * 11.51)) / 1.176
    assert dry.speed(12.0, Floats) == pytest.approx(s)
    assert s > 1
    assert current(dry, 12.0) == pytest.approx(7 * (0.2 + 0.24 * s * s))
    assert current(dry, 12.0) < 7


def test_a_motor_the_wrong_way_round_runs_backwards_at_the_same_current() -> None:
    pump = Motor(**PUMP)
    assert pump.speed(-9.0, Floats) == -pump.speed(9.0, Floats)
    assert current(pump, -9.0) == -current(pump, 9.0)


def test_a_motor_of_friction_alone_draws_its_rated_current_at_any_speed() -> None:
    winch = Motor(**{**PUMP, "steady": 7.0, "fan": 0.0})
    assert current(winch, 12.0) == pytest.approx(7.0)
    assert current(winch, 8.0) == pytest.approx(7.0)
    assert winch.speed(8.0, Floats) == pytest.approx((8 - 2.45) / 9.55)


def test_a_motor_without_friction_draws_with_the_square_of_its_speed() -> None:
    # 0.35 * 5.6 s^2 + 9.55 s - 6 = 0: s = (-9.55 + sqrt(91.2025 + 47.04)) / 3.92
    free = Motor(**{**PUMP, "steady": 0.0})
    s = (-9.55 + math.sqrt(91.2025 + 47.04)) / 3.92
    assert free.speed(6.0, Floats) == pytest.approx(s)
    assert current(free, 6.0) == pytest.approx(5.6 * s * s)
    # Straight from 0 V to a thousandth of rated voltage, (9.55 + 0.35 * 5.6) V = 11.51 mV.
    assert current(free, 0.005755) == pytest.approx(current(free, 0.01151) / 2, rel=1e-12)
    assert free.at(0.0, False, Floats)[1] == pytest.approx(current(free, 0.01151) / 0.01151)


def test_turns_shorted_in_the_winding_brake_it() -> None:
    # A tenth of them: E = 9.55 * 0.95 V, R = 0.35 * 0.95 ohm, 0.1 * 9.55 / 0.35 / 0.95 A a speed;
    # 0.3325 * 5.8947 s^2 + (9.0725 + 0.3325 * 2.8722) s - (12 - 0.3325 * 1.47368) = 0
    s = (-10.0275 + math.sqrt(10.0275**2 + 4 * 1.96 * 11.51)) / 3.92
    law = Motor(
        emf=9.0725, resistance=0.3325, steady=1.4 / 0.95, fan=5.6 / 0.95, brake=0.955 / 0.3325
    )
    assert law.speed(12.0, Floats) == pytest.approx(s, rel=1e-6)
    assert s == pytest.approx(0.97, abs=5e-3)
    assert current(law, 12.0) == pytest.approx((12 - 9.0725 * s) / 0.3325, rel=1e-6)


def test_a_rotor_given_time_settles_and_in_an_instant_keeps_its_speed() -> None:
    pump, slow = Motor(**PUMP), Rotor(**PUMP, inertia=1e9, before=0.5)
    assert current(Rotor(**PUMP, inertia=1e-9, before=0.5), 12.0) == pytest.approx(
        current(pump, 12.0), rel=1e-6
    )
    assert slow.speed(12.0, Floats) == pytest.approx(0.5, rel=1e-6)
    assert current(slow, 12.0) == pytest.approx((12 - 9.55 * 0.5) / 0.35, rel=1e-5)
    assert current(slow, 2.0) < 0  # it generates


# -- diode: I = Is (exp(V / nVt) - 1), Vt = 25.85 mV -----------------------------------------


@pytest.mark.parametrize(
    ("volts", "amps"),
    [
        (0.5356964, 1e-3),  # 25.85 mV * ln(1e9) = 25.85 mV * 20.723266
        (0.6547401, 0.1),  # 25.85 mV * ln(1e11) = 25.85 mV * 25.328436
        (0.01791791, 1e-12),  # 25.85 mV * ln 2
        (0.0, 0.0),
        (-0.05, -0.855448e-12),  # exp(-1.934236) - 1
        (-12.0, -1e-12),
    ],
)
def test_a_diode_follows_shockley(volts: float, amps: float) -> None:
    assert current(Junction(), volts) == pytest.approx(amps, rel=1e-4, abs=1e-18)


def test_ideality_stretches_the_voltage() -> None:
    led = Junction(saturation=1e-18, emission=2 * 0.02585)
    assert current(led, 2 * 0.02585 * math.log(1e16)) == pytest.approx(0.01)


# -- electronics, sources -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("volts", "amps"),
    [(12.0, 2.0), (8.0, 3.0), (6.0, 4.0), (3.0, 2.0), (0.0, 0.0), (-12.0, 0.0)],
)
def test_electronics_draw_constant_power_above_a_floor_and_are_a_resistance_below(
    volts: float, amps: float
) -> None:
    assert current(Power(power=24.0, floor=6.0), volts) == pytest.approx(amps, abs=1e-12)


@pytest.mark.parametrize(
    ("volts", "amps"), [(-14.0, 0.0), (-13.9, 10.0), (-13.8, 20.0), (-5.0, 20.0), (-14.1, -10.0)]
)
def test_a_limited_source_holds_voltage_then_current(volts: float, amps: float) -> None:
    source = Limited(conductance=100.0, emf=14.0, amps=20.0)
    assert current(source, volts) == pytest.approx(amps, abs=1e-9)


def test_a_source_drives_current_through_its_resistance() -> None:
    law = Linear.emf(12.0, 0.5)
    assert law.conductance * -11.0 + law.source == pytest.approx(2.0)


# -- batteries ------------------------------------------------------------------------------------


def test_a_cells_posts_rise_as_current_goes_in_and_fall_as_it_is_drawn() -> None:
    cells = Cell(emf=12.2, layer=500.0, taking=6.0, bend=0.5, gas=0.01, gas_bend=0.5)
    # 6 sinh(0.8 / 0.5) + 0.01 (e^1.6 - 1) = 6 * 2.375568 + 0.01 * 3.953032
    assert current(cells, -13.0) == pytest.approx(-14.292938, rel=1e-6)
    assert current(cells, -12.2) == pytest.approx(0.0, abs=1e-12)
    assert current(cells, -12.0) == pytest.approx(100.0)  # 0.2 V of 500 S


@given(st.floats(0, 1), st.floats(0, 1), st.floats(-1e-4, 1e-4), st.floats(0, 1e5))
def test_charge_moves_between_the_wells_and_none_is_lost(
    near: float, bulk: float, share: float, seconds: float
) -> None:
    after = settle_wells(near, bulk, share, seconds)
    halfway = settle_wells(*settle_wells(near, bulk, share, seconds / 2), share, seconds / 2)
    assert after == pytest.approx(halfway, rel=1e-9, abs=1e-9)
    whole = 0.445 * near + 0.555 * bulk + share * seconds
    assert 0.445 * after[0] + 0.555 * after[1] == pytest.approx(whole, rel=1e-9, abs=1e-9)


# -- all of them ------------------------------------------------------------------------------

LAWS: list[Law] = [
    Lamp(voltage=12.0, current=2.0),
    Filament(voltage=12.0, current=2.0, lag=3.0, before=0.3),
    Motor(**PUMP),
    Motor(**{**PUMP, "steady": math.inf}),
    Motor(**{**PUMP, "steady": 0.0}),
    Motor(**{**PUMP, "fan": 0.0}),
    Motor(**PUMP, brake=9.0),
    Rotor(**PUMP, inertia=20.0, before=0.4),
    Cell(emf=12.2, layer=500.0, taking=6.0, gas=0.01),
    Cell(emf=12.2, layer=500.0, taking=6.0, gas=0.01, held=40.0, before=0.3),
    Junction(),
    Limited(),
]


@pytest.mark.parametrize("law", LAWS, ids=lambda law: type(law).__name__)
@given(a=st.floats(-20, 20), b=st.floats(-20, 20))
def test_more_voltage_never_means_less_current(law: Law, a: float, b: float) -> None:
    low, high = sorted((a, b))
    one, other = current(law, low), current(law, high)
    assert one <= other + 1e-12 * abs(other)


@pytest.mark.parametrize("law", [*LAWS, Power()], ids=lambda law: type(law).__name__)
@given(v=st.floats(-20, 20))
def test_the_slope_is_that_of_the_current(law: Law, v: float) -> None:
    if isinstance(law, Junction):
        v = max(min(v / 20, 0.8), -0.7)
    step = 1e-6
    before, after = current(law, v - step), current(law, v + step)
    here, slope = law.at(v, True, Floats)
    left, right = (here - before) / step, (after - here) / step
    if abs(left - right) > 1e-3 * (1 + abs(left) + abs(right)):
        return  # at a corner: both sides are right
    assert slope == pytest.approx((after - before) / (2 * step), rel=1e-4, abs=2e-8)


@pytest.mark.parametrize("law", [*LAWS, Power()], ids=lambda law: type(law).__name__)
@given(volts=st.lists(st.floats(-30, 30), min_size=1, max_size=5))
def test_rows_are_as_single_voltages(law: Law, volts: list[float]) -> None:
    row: Any = np.array(volts)
    with np.errstate(all="ignore"):
        amps, slopes = law.at(row, np.zeros(len(volts), bool), np)
    for n, v in enumerate(volts):
        one = law.at(v, False, Floats)
        assert np.broadcast_to(amps, row.shape)[n] == pytest.approx(one[0], rel=1e-12, abs=1e-24)
        assert np.broadcast_to(slopes, row.shape)[n] == pytest.approx(one[1], rel=1e-12)

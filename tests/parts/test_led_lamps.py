"""LED lamps: constant power or a string of junctions, and what they show."""

from __future__ import annotations

import pytest

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.measuring.senses import sensed
from labkit.parts import Battery, LedLamp, Resistor
from labkit.solving.solver import solve


def lamp(ohms: str, driver: bool = True) -> Circuit:
    return build_circuit(
        "led",
        run("DC-", "plus", Battery("G1", emf="12.6 V", resistance="1 mohm")),
        run("plus", "DC-", Resistor("R1", resistance=ohms),
            LedLamp("E1", power="6 W", driver=driver)),
    )  # fmt: skip


def test_with_a_driver_the_current_rises_as_the_voltage_falls() -> None:
    # 12.6 V behind 4.001 ohm feed 6 W: V^2 - 12.6 V + 24.006 = 0, V = 10.2603 V, 0.585 A
    point = solve(lamp("4 ohm"))
    assert point.volt("E1:1", "E1:2") == pytest.approx(10.2603, abs=1e-3)
    assert point.amps["E1"] == pytest.approx(6 / 10.2603, rel=1e-3)
    assert sensed(lamp("4 ohm"), point)["E1"] == "is bright"


def test_without_one_it_draws_its_rated_current_at_its_rated_voltage() -> None:
    point = solve(lamp("1.199 ohm", driver=False))
    assert point.volt("E1:1", "E1:2") == pytest.approx(12.0, abs=1e-3)
    assert point.amps["E1"] == pytest.approx(0.5, rel=1e-3)


def test_a_leak_of_milliamperes_makes_a_string_glow_and_a_driver_start_and_stop() -> None:
    for driver, word in ((False, "glows"), (True, "flickers")):
        circuit = lamp("1.2 kohm", driver=driver)
        assert sensed(circuit, solve(circuit))["E1"] == word


@pytest.mark.parametrize("driver", [True, False])
def test_the_wrong_way_round_it_is_dark(driver: bool) -> None:
    circuit = lamp("1 ohm", driver).with_fault("E1 reversed")
    point = solve(circuit)
    assert point.amps["E1"] == pytest.approx(0.0, abs=1e-9)
    assert sensed(circuit, point)["E1"] == "is dark"

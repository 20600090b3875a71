"""LED lamps: constant power or a string of junctions, and what they show."""

from __future__ import annotations

import pytest

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.measuring.senses import sensed
from labkit.parts import Battery, LedLamp, Resistor
from labkit.solving.bulk import solve_many
from labkit.solving.solver import solve


def lamp(ohms: str, driver: bool = True) -> Circuit:
    return build_circuit(
        "led",
        run("DC-", "plus", Battery("G1", emf="12.6 V", resistance="1 mohm")),
        run("plus", "DC-", Resistor("R1", resistance=ohms),
            LedLamp("E1", power="6 W", driver=driver)),
    )  # fmt: skip  # rows that a reader compares


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


def test_a_line_passes_no_more_than_a_quarter_of_its_short_circuit_power() -> None:
    # 12.6 V behind 0.5 ohm: V^2 / 4 R = 79.4 W at most; 40 W settles at 10.737 V and 3.725 A.
    def behind_a_line(watts: str) -> Circuit:
        return build_circuit(
            "line",
            run("DC-", "plus", Battery("G1", emf="12.6 V", resistance="100 mohm")),
            run("plus", "DC-", Resistor("R1", resistance="400 mohm"), LedLamp("E1", power=watts)),
        )

    point = solve(behind_a_line("40 W"))
    assert point.volt("E1:1", "E1:2") == pytest.approx(10.737, abs=5e-4)
    assert point.amps["E1"] == pytest.approx(3.725, abs=5e-4)
    too_much = behind_a_line("85 W")
    assert sensed(too_much, solve(too_much))["E1"] == "flickers"
    both = solve_many([behind_a_line("40 W"), behind_a_line("40 W").with_fault("R1 open")])
    assert both.volts["E1:1"][0] == pytest.approx(point.volts["E1:1"], abs=1e-9)


def test_one_that_nothing_feeds_is_dark_though_it_has_no_voltage_to_speak_of() -> None:
    circuit = lamp("4 ohm").with_parted("E1:1", "E1:2")
    assert sensed(circuit, solve(circuit))["E1"] == "is dark"

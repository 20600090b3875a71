"""The load test at the bench, by the table of its limits."""

from __future__ import annotations

import pytest

from labkit.aboard.bench import Bench
from labkit.aboard.load_testing import LIMITS, limit, load_test
from labkit.circuits.circuit import build_circuit, run
from labkit.parts import Battery, Resistor
from labkit.text.messages import CircuitError
from tests.boats import shipped


@pytest.mark.parametrize(("celsius", "least"), LIMITS)
def test_limits_are_those_of_the_table_and_between_them_straight(
    celsius: float, least: float
) -> None:
    # US Army TM 5-4210-230-14&P-1, table 5: 9.6, 9.5, ... 8.5 V from 21 C down to -18 C.
    assert limit(celsius) == least
    assert limit(celsius, 24.0) == 2 * least
    assert limit(30.0) == 9.6
    assert limit(13.0) == pytest.approx(9.45)


@pytest.mark.parametrize("celsius", [21, -1, -18])
def test_a_sound_battery_passes_in_any_weather_and_a_worn_one_fails(celsius: int) -> None:
    keys = {"charge": "100 %", "capacity": "70 Ah", "cca": "525 A", "temperature": f"{celsius} C"}
    sound = load_test(Battery("G1", **keys), (), 12.0)
    assert sound.amps == 262.5
    assert sound.word == "passes"
    assert load_test(Battery("G1", health="55 %", **keys), (), 12.0).word == "fails"


def test_a_plain_source_falls_by_ohms_law() -> None:
    found = load_test(Battery("G1", emf="12.7 V", resistance="8 mohm"), (), 12.0)
    assert found.amps == 300.0  # three amperes for each of the usual 100 Ah
    assert found.volts == pytest.approx(12.7 - 2.4, abs=1e-6)


@pytest.mark.parametrize(
    ("fault", "word"),
    [
        ("G1 weak 0.02 ohm", "fails"),
        ("G1 low 20 %", "is too low to test"),
        ("G1 dead cell", "is too low to test"),
        ("G1 open", "is too low to test"),
        ("W1 open", "passes"),
    ],
)
def test_the_bench_tells_how_it_comes_out_and_spends_the_minutes(fault: str, word: str) -> None:
    bench = Bench(shipped("engine-start").with_fault(fault))
    entry = bench.load_test("G1")
    assert entry.shows.endswith(f": {word}")
    assert entry.minutes >= 8.0
    assert not entry.hazards


def test_who_takes_a_battery_off_while_it_is_charged_is_told_so() -> None:
    bench = Bench(shipped("two-batteries"))
    battery = next(id for id, p in bench.circuit.parts.items() if isinstance(p, Battery))
    bench.switch("S2", "on")
    assert "source dropped" in {h.kind for h in bench.load_test(battery).hazards}


def test_what_is_no_lead_battery_is_not_tested() -> None:
    bench = Bench(
        build_circuit(
            "lithium",
            run("DC-", "plus", Battery("G1", charge="80 %", chemistry="lifepo4")),
            run("plus", "DC-", Resistor("R1", resistance="10 ohm")),
        )
    )
    for id, says in (("G1", "G1 is a lithium battery"), ("R1", "R1 is a resistor")):
        with pytest.raises(CircuitError, match=says):
            bench.load_test(id)


def test_a_test_takes_its_ampere_hours_out_of_the_battery() -> None:
    bench = Bench(shipped("engine-start"))
    shown = [bench.load_test("G1").shows for _ in range(8)]
    volts = [float(text.split(" at rest, ")[1].split(" V")[0]) for text in shown]
    assert volts == sorted(volts, reverse=True)
    # 210 A for 15 s are 0.9 of 70 Ah: eight tests take a tenth of it, that is 0.1 V and some more.
    assert 0.05 < volts[0] - volts[-1] < 0.5

"""The last digits dance while brushes turn, alike whenever a log is played again."""

from __future__ import annotations

import pytest

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.measuring.meter import read
from labkit.parts import Battery, MotorLoad, Switch
from labkit.text.messages import CircuitError
from tests.boats import played_again


def pump(noise: str = "5 mV") -> Circuit:
    return build_circuit(
        "pump",
        run("DC-", "plus", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run("plus", "DC-", Switch("S1", position="off"),
            MotorLoad("M1", current="5 A", noise=noise)),
    )  # fmt: skip  # rows that a reader compares


def test_while_it_turns_readings_differ_from_one_to_the_next_and_lie_about_the_truth() -> None:
    bench = Bench(pump())
    assert len({bench.read("S1:1", "M1:2").display for _ in range(6)}) == 1
    bench.switch("S1", "on")
    shown = [bench.read("S1:1", "S1:2") for _ in range(30)]
    true = read(bench.circuit, "S1:1", "S1:2")
    assert len({r.display for r in shown}) > 10
    for r in shown:
        millivolts = float(r.display.split()[0])
        assert millivolts == pytest.approx(1e3 * (true.value or 0.0), abs=10.2)
        assert r.low <= (true.value or 0.0) <= r.high
        assert r.value == pytest.approx(true.value, rel=1e-9)


def test_a_log_played_again_shows_the_same() -> None:
    bench = Bench(pump())
    bench.switch("S1", "on")
    first = [bench.read("S1:2").display for _ in range(5)]
    again = played_again(bench, pump())
    assert [r.display for r in again.readings] == first


def test_a_motor_that_is_not_said_to_be_noisy_is_still_and_one_cannot_be_a_welder() -> None:
    bench = Bench(pump("0 V"))
    bench.switch("S1", "on")
    assert len({bench.read("S1:1", "S1:2").display for _ in range(5)}) == 1
    with pytest.raises(CircuitError, match="20 mV at most"):
        pump("1 V")

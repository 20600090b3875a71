"""Touch, spot thermometer, nose and patience at the bench."""

from __future__ import annotations

import pytest

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.parts import Battery, Fuse, Resistor
from labkit.text.messages import CircuitError
from tests.boats import played_again, shipped


def corroded() -> Circuit:
    return shipped("washdown").with_fault("X1 resistance 1.6 ohm")


def overloaded() -> Circuit:
    return build_circuit(
        "a tired fuse",
        run("DC-", "stud", Battery("G1", emf="12.9 V", resistance="0 ohm")),
        run("stud", "DC-", Fuse("F1", rating="10 A"), Resistor("R1", resistance="0.99 ohm")),
    )


def kinds(bench: Bench) -> list[str]:
    return [hazard.kind for hazard in bench.log[-1].hazards]


def test_a_corroded_splice_is_cold_until_its_pump_runs() -> None:
    bench = Bench(corroded())
    assert bench.touch("X1").shows == "is not warm"
    bench.switch("S2", "on")
    entry = bench.wait("10 min")
    assert "X1 has become too hot to hold" in entry.shows
    assert entry.minutes == pytest.approx(10.0)
    assert kinds(bench) == ["too hot"]
    assert bench.touch("X1").shows == "burns at a touch"
    assert kinds(bench) == ["too hot"]


def test_a_sound_splice_does_not_warm() -> None:
    bench = Bench(shipped("washdown"))
    bench.switch("S2", "on")
    bench.wait("10 min")
    assert bench.hazards == []
    assert bench.touch("X1").shows == "is not warm"


def test_a_spot_thermometer_finds_the_hot_one() -> None:
    bench = Bench(corroded())
    bench.switch("S2", "on")
    bench.wait("10 min")
    assert 300 < float(bench.infrared("X1").shows.split()[0]) < 400
    assert bench.infrared("X2").shows == "25 C"
    assert kinds(bench) == []


def test_minutes_of_other_acts_warm_it_too() -> None:
    bench = Bench(corroded())
    bench.switch("S2", "on")
    for _ in range(10):
        bench.read("X1:1", "X1:2")
    assert bench.touch("X1").shows == "burns at a touch"


def test_what_is_switched_off_cools() -> None:
    bench = Bench(corroded())
    bench.switch("S2", "on")
    bench.wait("10 min")
    bench.switch("S2", "off")
    bench.wait("30 min")
    assert bench.touch("X1").shows == "is not warm"


def test_a_nose_tells_of_heat_beside_what_a_load_does() -> None:
    bench = Bench(corroded())
    bench.switch("S2", "on")
    assert ";" not in bench.look("M1").shows
    bench.wait("10 min")
    assert bench.look("M1").shows.endswith("; X1 smokes")


def test_waiting_tires_a_fuse_and_says_so() -> None:
    # 12.9 A for ever opens a 10 A blade, though not at once.
    bench = Bench(overloaded())
    assert bench.point.states["F1"] == "intact"
    entry = bench.wait("2 h")
    assert "F1 opens at 12.9 A" in entry.shows
    assert kinds(bench) == ["fuse opened"]
    assert bench.pull("F1").shows == "blown"


def test_the_meter_keeps_least_and_most_at_sea() -> None:
    bench = Bench(shipped("washdown").with_fault("X1 intermittent 1 Mohm"))
    bench.switch("S2", "on")
    still = bench.record("X1:2", "DC-", "10 min")
    assert still.shows.startswith("least 12.3")
    rough = bench.record("X1:2", "DC-", "10 min", "at sea")
    assert rough.minutes > 10.0
    assert " uV" in rough.shows or " mV" in rough.shows or "least 0" in rough.shows
    assert bench.look("M1").shows == "runs as it should"


def test_a_log_with_waiting_is_played_again() -> None:
    bench = Bench(corroded())
    bench.switch("S2", "on")
    bench.wait("10 min")
    bench.touch("X1")
    bench.infrared("X1")
    again = played_again(bench, corroded())
    assert [entry.shows for entry in again.log] == [entry.shows for entry in bench.log]


@pytest.mark.parametrize(
    ("time", "says"), [("10", "without a unit"), ("3 week", "two weeks are the most")]
)
def test_what_cannot_be_waited_is_refused(time: str, says: str) -> None:
    bench = Bench(corroded())
    with pytest.raises(CircuitError, match=says):
        bench.wait(time)
    assert bench.log == []


def test_what_is_no_part_cannot_be_touched() -> None:
    with pytest.raises(CircuitError, match="no part 'X9'"):
        Bench(corroded()).touch("X9")

"""A battery taken off, or a selector turned through off, while an engine or the sun charges it."""

from __future__ import annotations

import pytest

from labkit import Bench
from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.parts import Alternator, Battery, Changeover, Panel, SolarController


def with_selector() -> Circuit:
    return build_circuit(
        "selector",
        run("DC-", "one", Battery("G1", charge="60 %", capacity="100 Ah")),
        run("DC-", "two", Battery("G2", charge="60 %", capacity="100 Ah")),
        run(
            "one", "machine",
            Via(
                Changeover("S1", positions={"one": "1-2", "off": "none", "two": "1-3"},
                           position="one"),
                "2-1",
            ),
        ),
        run("two", "machine", Via("S1", "3-1")),
        run("DC-", "machine", Alternator("G3", limit="60 A", position="cruise")),
        system="12 V",
    )  # fmt: skip  # rows that a reader compares


def sunny() -> Circuit:
    return build_circuit(
        "sun",
        run("DC-", "pv", Panel("G2", power="100 W")),
        run("pv", "stud", SolarController("A1", limit="10 A")),
        run("stud", "DC-", Via("A1", "-")),
        run("DC-", "stud", Battery("G1", charge="60 %", capacity="100 Ah")),
        system="12 V",
    )


def kinds(bench: Bench) -> list[str]:
    return [hazard.kind for hazard in bench.log[-1].hazards]


def test_a_selector_turned_through_off_under_engine_drops_the_battery() -> None:
    bench = Bench(with_selector())
    bench.switch("S1", "two")
    assert "source dropped" in kinds(bench)
    assert "voltage jumps" in " ".join(h.text for h in bench.log[-1].hazards)


@pytest.mark.parametrize("make", [with_selector, sunny])
def test_a_battery_taken_off_while_it_charges_is_dropped(make) -> None:
    bench = Bench(make())
    bench.part("G1:-")
    assert "source dropped" in kinds(bench)


def test_with_the_engine_stopped_a_selector_may_be_turned() -> None:
    bench = Bench(with_selector())
    bench.switch("G3", "stopped")
    assert "source dropped" not in kinds(bench)
    bench.switch("S1", "two")
    assert "source dropped" not in kinds(bench)

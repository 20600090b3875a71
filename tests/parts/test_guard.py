"""A lithium battery's own protection: too low, too high, too cold to charge."""

from __future__ import annotations

import pytest

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.clock.course import Course
from labkit.parts import Battery, Resistor, Supply, Switch
from labkit.solving.bulk import solve_many
from labkit.solving.solver import solve


def pack(
    charge: str, charger: str = "14.2 V", celsius: str = "20 C", ohms: str = "5 ohm"
) -> Circuit:
    return build_circuit(
        "pack",
        run("DC-", "plus", Battery("G1", charge=charge, capacity="100 Ah", chemistry="lifepo4",
                                   temperature=celsius)),
        run("DC-", "plus", Switch("S1", position="off"),
            Supply("G2", voltage=charger, limit="20 A")),
        run("plus", "DC-", Switch("S2", position="on"), Resistor("R1", resistance=ohms)),
    )  # fmt: skip  # rows that a reader compares


def test_a_pack_run_flat_cuts_off_and_a_charger_wakes_it() -> None:
    # Opens at 10 V, closes at 10.5 V: a pack maker's set points (lithiumhub.com).
    course = Course(pack("10 %")).play(6 * 3600.0)
    (event,) = [e for e in course.chronicle.events if e.part == "G1" and e.state == "cut off"]
    assert 3 * 3600 < event.seconds < 5 * 3600  # 10 Ah at 2.6 A
    assert course.point.volts["plus"] == pytest.approx(0.0, abs=1e-6)
    course.change(course.world.circuit.with_position(S1="on"))
    course.play(600.0)
    assert course.point.states["G1"] == "connected"
    assert course.point.amps["G1"] < -10.0


def test_above_its_limit_it_cuts_off_so_that_no_charge_goes_in() -> None:
    point = solve(pack("99 %", "15.6 V").with_position(S1="on"))
    assert point.states["G1"] == "cut off"
    assert point.amps["G1"] == pytest.approx(0.0, abs=1e-9)
    assert point.volts["plus"] == pytest.approx(15.6, abs=0.1)
    assert solve(pack("99 %", "14.2 V").with_position(S1="on")).states["G1"] == "connected"


@pytest.mark.parametrize(("celsius", "takes"), [("-5 C", False), ("20 C", True), ("50 C", False)])
def test_it_takes_charge_between_frost_and_heat_alone(celsius: str, takes: bool) -> None:
    # 0 to 45 C: data sheet of a 12.8 V pack, second-hand.
    charged = solve(pack("50 %", celsius=celsius).with_position(S1="on", S2="off"))
    assert (charged.amps["G1"] < -5.0) is takes
    gives = solve(pack("50 %", celsius=celsius))
    assert gives.amps["G1"] > 2.0


def test_many_packs_are_as_each_alone() -> None:
    on = {"S1": "on"}
    boats = [
        pack("0 %").with_fault("G1 low 0 %"),
        pack("99 %", "15.6 V").with_position(**on),
    ]
    for boat in boats:
        many, alone = solve_many([boat, boat.with_fault("R1 open")]), solve(boat)
        assert many.states["G1"][0] == alone.states["G1"]
        assert many.volts["plus"][0] == pytest.approx(alone.volts["plus"], abs=1e-9)

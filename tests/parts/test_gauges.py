"""Gauges and senders, shunts and panel meters, push buttons and thermal cut-outs."""

from __future__ import annotations

import numpy as np
import pytest

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.clock.course import Course
from labkit.clock.program import parse_program
from labkit.diagnosis.faults import candidates
from labkit.measuring.senses import sensed
from labkit.parts import (
    Battery,
    Button,
    Cable,
    Fuse,
    Gauge,
    Joint,
    Lampholder,
    MotorLoad,
    Sender,
    Shunt,
    ShuntAmmeter,
    Switch,
    ThermalSwitch,
    Voltmeter,
)
from labkit.parts.traits import Now, word_for
from labkit.solving.bulk import solve_many
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError


def tank(scheme: str = "240-33 ohm", volts: str = "12.6 V") -> Circuit:
    gauge = Gauge("P1", sender=scheme)
    return build_circuit(
        "tank",
        run("DC-", "plus", Battery("G1", emf=volts, resistance="5 mohm")),
        run("plus", "dash", Switch("S1", position="on")),
        run("dash", "DC-", Via(gauge, "I-G")),
        run("dash", "DC-", Via("P1", "I-S"), Cable("W1", size="1 mm2", length="4 m"),
            Joint("X1"), Sender("R1", ohms=scheme)),
    )  # fmt: skip  # rows that a reader compares


def needle(circuit: Circuit) -> str:
    return sensed(circuit, solve(circuit))["P1"]


@pytest.mark.parametrize("scheme", ["240-33 ohm", "10-180 ohm"])
@pytest.mark.parametrize("volts", ["11.5 V", "14.2 V"])
def test_a_gauge_tells_the_level_whatever_the_voltage(scheme: str, volts: str) -> None:
    boat = tank(scheme, volts)
    for level in ("full", "half", "empty"):
        assert needle(boat.with_position(R1=level)) == f"points at {level}"


@pytest.mark.parametrize(
    ("scheme", "broken", "grounded"),
    [
        ("240-33 ohm", "points below empty", "points beyond full"),
        ("10-180 ohm", "points beyond full", "points below empty"),
    ],
)
def test_a_broken_sender_wire_and_a_grounded_one_point_to_opposite_ends(
    scheme: str, broken: str, grounded: str
) -> None:
    # The trade's test: take the wire off the sender, then touch it to the negative (from memory).
    boat = tank(scheme)
    assert needle(boat.with_parted("R1:1")) == broken
    assert needle(boat.with_fault("W1 open")) == broken
    assert needle(boat.with_fault("W1 leak 0.01 ohm")) == grounded
    assert needle(boat.with_position(S1="off")) == "lies at rest"
    assert needle(boat.with_fault("X1 resistance 100 ohm")) != "points at half"


def test_a_float_that_has_sunk_tells_of_an_empty_tank() -> None:
    assert needle(tank().with_position(R1="full").with_fault("R1 sunk")) == "points at empty"


def test_what_many_hypotheses_show_is_what_each_shows_alone() -> None:
    boat = tank()
    sets = [c.faults for c in candidates(boat)]
    many = solve_many([boat.with_fault(*faults) for faults in sets])
    part, ends = boat.parts["P1"], ("S", "G")
    across = {f"I-{end}": many.volts["P1:I"] - many.volts[f"P1:{end}"] for end in ends}
    now = Now(12.0, many.amps["P1"], across["I-S"], xp=np, across=across)
    which, size = part.sign(now)
    assert not which
    for faults, bulk in zip(sets, size, strict=True):
        assert word_for(bulk, part.signs[0]) == needle(boat.with_fault(*faults)), faults


def panel(fault: str = "") -> dict[str, str]:
    boat = build_circuit(
        "panel",
        run("DC-", "minus", Shunt("R1", current="100 A", drop="50 mV")),
        run("minus", "plus", Battery("G1", emf="12.6 V", resistance="5 mohm")),
        run("plus", "DC-", Fuse("F1", rating="20 A"), Lampholder("E1", power="120 W")),
        run("DC-", "minus", ShuntAmmeter("P1", current="100 A", drop="50 mV")),
        run("plus", "DC-", Voltmeter("P2")),
    )
    boat = boat.with_fault(fault) if fault else boat
    return sensed(boat, solve(boat))


def test_an_ammeter_across_a_shunt_shows_what_passes_it() -> None:
    # 120 W at 12 V is 10 A, 10.2 A at 12.5 V: 5.1 mV across 0.5 mohm, less the coil's thousandth
    # of a per cent.
    assert panel()["P1"] == "shows 10 A"
    assert panel()["P2"] == "shows 12.5 V"
    assert panel("R1 wrong shunt")["P1"] == "shows 15 A"
    assert panel("P1 open")["P1"] == "shows 0 A"


def horn() -> Circuit:
    return build_circuit(
        "button",
        run("DC-", "plus", Battery("G1", emf="12.6 V", resistance="5 mohm")),
        run("plus", "DC-", Fuse("F1", rating="10 A"), Button("S1", position="off"),
            Lampholder("E1", power="21 W")),
    )  # fmt: skip  # rows that a reader compares


def test_a_button_is_held_while_the_meter_reads_and_springs_back_at_work() -> None:
    bench = Bench(horn())
    bench.switch("S1", "on")
    assert bench.read("E1:1").value == pytest.approx(12.5, abs=0.2)
    assert bench.look("E1").shows == "is bright"
    bench.part("E1:2")
    assert bench.circuit.positions["S1"] == "off"


def hoist(load: str = "") -> Circuit:
    boat = build_circuit(
        "cut-out",
        run("DC-", "plus", Battery("G1", emf="12.7 V", resistance="5 mohm")),
        run("plus", "DC-", Switch("S1", position="on"), ThermalSwitch("B1", of="M1"),
            MotorLoad("M1", current="10 A")),
    )  # fmt: skip  # rows that a reader compares
    return boat.with_fault(load) if load else boat


def test_a_thermal_cut_out_opens_on_a_dragging_motor_and_closes_when_it_is_cool() -> None:
    course = Course(hoist("M1 dragging 150 %")).play(3600.0)
    states = [e.state for e in course.chronicle.events if e.part == "B1"]
    assert states[:3] == ["open", "reset", "open"]
    quiet = Course(hoist()).play(3600.0)
    assert not [e for e in quiet.chronicle.events if e.part == "B1"]


def test_a_jumper_past_a_cut_out_is_a_danger() -> None:
    told = Bench(hoist()).jumper("B1:1", "B1:2").hazards
    assert "interlock bridged" in {hazard.kind for hazard in told}


def test_what_lies_on_no_part_there_is_is_refused() -> None:
    with pytest.raises(CircuitError, match="part B1, of: no part 'M9'"):
        build_circuit(
            "cut-out",
            run("DC-", "plus", Battery("G1", emf="12.7 V")),
            run("plus", "DC-", ThermalSwitch("B1", of="M9"), MotorLoad("M1", current="10 A")),
        )


def test_a_program_may_press_a_button() -> None:
    circuit = horn()
    course = Course(circuit, parse_program(["2 s S1=on", "5 s S1=off"], circuit), ["E1"]).play(8.0)
    amps = np.array([m.amps[0] or 0.0 for m in course.chronicle.moments])
    assert amps.max() > 1.0
    assert amps[-1] == 0.0

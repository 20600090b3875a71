"""The starter solenoid: what its two windings pull together, and when it lets go."""

from __future__ import annotations

import pytest

from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.parts import Battery, MotorLoad, Resistor, Solenoid, Switch
from labkit.solving.bulk import solve_many
from labkit.solving.solver import solve


def starter(ohms: str = "1 mohm", volts: str = "12.6 V", **keys: str) -> Circuit:
    """A starter, its control behind some ohms."""
    return build_circuit(
        "starter",
        run("DC-", "plus", Battery("G1", emf=volts, resistance="5 mohm")),
        run(
            "plus",
            "DC-",
            Via(Solenoid("K1", **keys), "30-45"),
            MotorLoad("M1", voltage="12 V", current="180 A", resistance="25 mohm", load="crank"),
        ),
        run("plus", "DC-", Switch("S1", position="on"), Resistor("R1", resistance=ohms),
            Via("K1", "50-31")),
    )  # fmt: skip  # rows that a reader compares


def test_it_pulls_in_and_its_pull_in_winding_is_shorted_out() -> None:
    point = solve(starter())
    assert point.states["K1"] == "pulled in"
    v50, v45 = point.volts["K1:50"], point.volts["K1:45"]
    assert v50 is not None
    assert v45 is not None
    assert point.amps["K1 50-31"] == pytest.approx(v50 / 1.2)
    assert point.amps["K1 50-45"] == pytest.approx((v50 - v45) / 0.32)
    assert abs(point.amps["K1 50-45"] or 0.0) < 0.3
    assert point.amps["K1"] == pytest.approx(
        (point.amps["K1 50-31"] or 0.0) + (point.amps["K1 50-45"] or 0.0)
    )


def test_both_windings_draw_much_while_it_does_not_move() -> None:
    # 12.6 V over 0.505 ohm and the windings beside one another, the pull-in one behind the motor:
    # 1 / (1 / 1.2 + 1 / 0.345) = 0.26796 ohm, and the switch's 2 mohm: 16.25 A, 4.354 V at 50.
    point = solve(starter("0.5 ohm"))
    assert point.states["K1"] == "at rest"
    assert point.amps["S1"] == pytest.approx(12.6 / (0.5 + 2e-3 + 0.26796 + 5e-3), rel=1e-4)
    assert point.volts["K1:50"] == pytest.approx(4.357, abs=2e-3)


@pytest.mark.parametrize(("ohms", "word"), [("0.05 ohm", "pulled in"), ("0.2 ohm", "at rest")])
def test_tenths_of_an_ohm_in_the_control_decide(ohms: str, word: str) -> None:
    assert solve(starter(ohms)).states["K1"] == word


def test_it_pulls_in_where_the_turns_of_both_windings_are_enough() -> None:
    # 8 V on both: 8 (1 / 1.2 + 1 / 0.32) = 31.67 A; behind r the two draw E / (r + 0.26796).
    for ohms, word in (("0.112 ohm", "pulled in"), ("0.135 ohm", "at rest")):
        assert solve(starter(ohms)).states["K1"] == word


def test_with_the_pull_in_winding_open_it_stays_with_brushes_open_too() -> None:
    held = solve(starter().with_fault("K1 pull-in open"))
    assert held.states["K1"] == "at rest"
    assert held.amps["K1"] == pytest.approx(12.6 / 1.208, rel=1e-3)
    assert solve(starter().with_fault("M1 open winding")).states["K1"] == "at rest"


def test_with_the_hold_in_winding_open_it_chatters() -> None:
    assert solve(starter().with_fault("K1 hold-in open")).chattering == ("K1",)


def test_released_with_its_contact_closed_the_windings_cancel() -> None:
    # From 45 back through the pull-in winding and on through the hold-in one: equal currents, and
    # turns that pull against one another. Welded, so that the contact is made all the same.
    welded = starter().with_position(S1="off").with_fault("K1 welded")
    point = solve(welded)
    assert point.amps["K1"] == pytest.approx(0.0, abs=1e-9)
    assert point.amps["K1 50-31"] == pytest.approx(-(point.amps["K1 50-45"] or 0.0))
    assert point.speeds["M1"] > 0.5


def test_many_starters_are_as_each_alone() -> None:
    base = starter()
    faults = [
        "R1 resistance 0.05 ohm",
        "R1 resistance 0.2 ohm",
        "K1 pull-in open",
        "M1 open",
        "K1 hold-in open",
        "K1 welded",
        "K1 resistance 20 mohm",
        "G1 low 0 %",
    ]
    circuits = [base, *(base.with_fault(fault) for fault in faults)]
    many = solve_many(circuits)
    for n, circuit in enumerate(circuits):
        alone = solve(circuit)
        assert many.states["K1"][n] == alone.states["K1"]
        if not alone.chattering:
            assert many.amps["K1 50-45"][n] == pytest.approx(alone.amps["K1 50-45"], abs=1e-9)
            assert many.volts["K1:50"][n] == pytest.approx(alone.volts["K1:50"], rel=1e-9)

"""Millivolts under load, ghosts, and nets that nothing holds: right to the last digits."""

from __future__ import annotations

from fractions import Fraction

import pytest

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.parts import Battery, Cable, Joint, Resistor, Switch
from labkit.parts.laws import Linear
from labkit.solving.solver import OperatingPoint, solve

from .oracles import exact_volts

METER = Linear.resistor(10e6)


def lamp_circuit(load: str = "6 ohm") -> Circuit:
    """A battery, a switch, a joint, a load that is plain resistance, and wires."""
    return build_circuit(
        "one load, invented",
        run("DC-", "stud", Battery("G1", emf="12.7 V", resistance="8 mohm")),
        run(
            "stud",
            "DC-",
            Switch("S1", position="on"),
            Cable("W1", size="12 AWG", length="5.5 m"),
            Joint("X1"),
            Switch("S2", position="on"),
            Resistor("R1", resistance=load),
            Joint("X2"),
            Cable("W2", size="2.5 mm2", length="5.5 m"),
        ),
        # What else is connected aboard, open somewhere.
        run("stud", "DC-", Switch("S3"), Resistor("R3", resistance="2 ohm"), Switch("S4")),
    )


def metered(point: Circuit, red: str, black: str = "DC-") -> tuple[OperatingPoint, float]:
    """Solve with a meter of 10 megohm in place, and what it sees."""
    solved = solve(point.with_bridge("P9", "voltmeter", red, black, METER))
    seen = solved.volt(red, black)
    assert seen is not None
    return solved, seen


def is_exact(solved: OperatingPoint, tolerance: float = 1e-12) -> bool:
    """Compare every node with exact rational arithmetic."""
    right = exact_volts(solved.circuit, solved.states)
    for member, label in solved.circuit.node_of.items():
        mine, exact = solved.volts[member], right[label]
        assert (mine is None) == (exact is None), f"{member}: {mine}, exactly {exact}"
        if mine is not None and exact is not None:
            assert abs(Fraction(mine) - exact) <= Fraction(tolerance), f"{member}: {mine}"
    return True


def test_a_corroded_joint_reads_full_voltage_with_no_load() -> None:
    point = lamp_circuit().with_fault("X1 resistance 2 ohm").with_position(S2="off")
    solved, seen = metered(point, "X1:2")
    assert seen == pytest.approx(12.7, abs=1e-3)
    assert is_exact(solved)


@pytest.mark.parametrize("ohms", ["0.8 ohm", "100 ohm", "1 kohm"])
def test_no_corrosion_met_aboard_hides_the_voltage_from_a_meter(ohms: str) -> None:
    point = lamp_circuit().with_fault(f"X1 resistance {ohms}").with_position(S2="off")
    assert metered(point, "X1:2")[1] == pytest.approx(12.7, abs=2e-3)


def test_a_corroded_joint_drops_current_times_resistance_under_load() -> None:
    solved, seen = metered(lamp_circuit().with_fault("X1 resistance 2 ohm"), "X1:1", "X1:2")
    current = solved.amps["R1"]
    assert current is not None
    assert current == pytest.approx(12.7 / 8, abs=0.05)
    assert seen == pytest.approx(current * 2.0005, abs=1e-6)
    assert is_exact(solved)


def test_a_tenth_of_a_millivolt_across_a_sound_joint_is_right_to_a_microvolt() -> None:
    # 0.5 mohm at 0.2 A; around it an open switch, an open joint and a parted wire.
    point = lamp_circuit("63.4 ohm").with_fault("X2 leak 1 Mohm", "W1 leak 1 Mohm")
    point = point.with_parted("R3:1")
    solved, seen = metered(point, "X1:1", "X1:2")
    current = solved.amps["R1"]
    assert current is not None
    assert seen == pytest.approx(1e-4, abs=2e-6)
    assert seen == pytest.approx(0.5e-3 * current, abs=1e-9)
    assert is_exact(solved)


@pytest.mark.parametrize(("ohms", "share"), [("1 Mohm", 10 / 11), ("10 Mohm", 1 / 2)])
def test_a_ghost_voltage_is_the_meters_share_of_it(ohms: str, share: float) -> None:
    point = lamp_circuit().with_fault("S1 open", f"S1 resistance {ohms}").with_position(S2="off")
    point = point.with_bridge("R8", "damp", "S1:1", "S1:2", Linear.resistor(float(ohms[:-5]) * 1e6))
    solved, seen = metered(point, "W1:2")
    assert seen == pytest.approx(12.7 * share, abs=1e-6)
    assert is_exact(solved)


def test_a_ghost_dies_under_a_meter_of_low_impedance() -> None:
    point = lamp_circuit().with_fault("S1 open").with_position(S2="off")
    point = point.with_bridge("R8", "damp", "S1:1", "S1:2", Linear.resistor(1e6))
    solved = solve(point.with_bridge("P9", "voltmeter", "W1:2", "DC-", Linear.resistor(3e3)))
    assert solved.volt("W1:2") == pytest.approx(12.7 * 3 / 1003, abs=1e-4)
    assert is_exact(solved)


def test_a_net_held_by_a_meter_alone_reads_exactly_nothing() -> None:
    point = lamp_circuit().with_position(S1="off", S2="off")
    assert solve(point).volts["X1:1"] is None
    solved, seen = metered(point, "X1:1")
    assert seen == 0.0
    assert is_exact(solved)


def test_a_net_held_by_two_meters_stands_between_them() -> None:
    point = lamp_circuit().with_position(S1="off", S2="off")
    point = point.with_bridge("P8", "voltmeter", "stud", "X1:1", METER)
    solved, seen = metered(point, "X1:2")
    assert seen == pytest.approx(12.7 / 2, abs=1e-6)
    assert is_exact(solved)


def test_a_battery_that_a_meter_alone_holds_reads_exactly_nothing() -> None:
    point = build_circuit(
        "a start battery whose negative lead is off, invented",
        run("DC-", "stud", Battery("G1", emf="12.7 V", resistance="8 mohm")),
        run("stud", "DC-", Resistor("R1", resistance="6 ohm")),
        run("DC-", "plus", Joint("X1"), Battery("G2", emf="12.6 V", resistance="0.4 mohm"),
            Joint("X2")),
        run("plus", "minus", Resistor("R2", resistance="1 kohm"), Joint("X3")),
        run("minus", "G2:-", Joint("X4")),
    ).with_fault("X1 open")  # fmt: skip  # rows that a reader compares
    floats = solve(point)
    assert floats.volts["G2:-"] is None
    assert floats.volts["plus"] is None
    assert floats.amps["R2"] == pytest.approx(12.6 / 1000, abs=1e-6)
    solved, seen = metered(point, "G2:-")
    assert seen == 0.0
    assert solved.volt("G2:+", "G2:-") == pytest.approx(12.6, abs=1e-4)
    assert is_exact(solved)


def test_between_two_opens_there_is_nothing_to_read_until_a_meter_comes() -> None:
    point = lamp_circuit().with_fault("W1 open", "X2 open")
    solved = solve(point)
    assert solved.volts["R1:1"] is None
    assert "X1:2" in solved.floating or "W1:2" in solved.floating
    assert metered(point, "R1:1")[1] == 0.0
    assert solved.amps["R1"] == 0.0


def test_a_meter_across_an_open_sees_the_source_and_loads_the_rest() -> None:
    solved, seen = metered(lamp_circuit().with_fault("X1 open"), "X1:1", "X1:2")
    assert seen == pytest.approx(12.7, abs=1e-5)
    assert solved.amps["R1"] == pytest.approx(12.7 / 10e6, rel=1e-5)
    assert is_exact(solved)


@pytest.mark.parametrize("emf", ["12 V", "24 V"])
def test_a_source_of_no_resistance_is_right_to_a_microvolt_with_its_current(emf: str) -> None:
    point = build_circuit(
        "from a textbook",
        run("DC-", "plus", Battery("G1", emf=emf, resistance="0 ohm")),
        run(
            "plus", "DC-", Resistor("R1", resistance="1 mohm"), Resistor("R2", resistance="5 mohm")
        ),
        run("plus", "DC-", Resistor("R3", resistance="4 ohm")),
        system=emf,
    )
    volts = float(emf[:-2])
    solved = solve(point)
    assert solved.volts["plus"] == pytest.approx(volts, abs=5e-6)
    assert solved.volts["R1:2"] == pytest.approx(volts * 5 / 6, abs=5e-6)
    assert solved.amps["G1"] == pytest.approx(volts / 6e-3 + volts / 4, rel=1e-6)


def test_two_sources_of_no_resistance_in_series_have_their_current() -> None:
    point = build_circuit(
        "two ideal sources in series",
        run("DC-", "plus", Battery("G1", emf="12 V", resistance="0 ohm"),
            Battery("G2", emf="1.5 V", resistance="0 ohm")),
        run("plus", "DC-", Resistor("R1", resistance="9 ohm")),
    )  # fmt: skip  # rows that a reader compares
    solved = solve(point)
    assert solved.volts["plus"] == pytest.approx(13.5, abs=1e-6)
    assert solved.volts["G1:+"] == pytest.approx(12.0, abs=1e-6)
    assert solved.amps["G1"] == pytest.approx(1.5, abs=1e-6)
    assert solved.amps["G2"] == pytest.approx(1.5, abs=1e-6)


def test_a_bridge_of_resistors_against_rationals() -> None:
    point = build_circuit(
        "unbalanced bridge",
        run("DC-", "top", Battery("G1", emf="9 V", resistance="0.3 ohm")),
        run("top", "left", Resistor("R1", resistance="3 ohm")),
        run("left", "DC-", Resistor("R2", resistance="7 Mohm")),
        run("top", "right", Resistor("R3", resistance="1 mohm")),
        run("right", "DC-", Resistor("R4", resistance="11 ohm")),
        run("left", "right", Resistor("R5", resistance="470 kohm")),
    )
    assert is_exact(solve(point))

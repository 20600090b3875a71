"""Relays, fuses, cut-outs and current limits come to rest as they would aboard, or say so."""

from __future__ import annotations

import pytest

from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.parts import (
    Battery,
    Breaker,
    Electronics,
    Fuse,
    Heater,
    Joint,
    Relay,
    Resistor,
    Supply,
    Switch,
)
from labkit.solving.solver import solve


def relay_circuit(load: str = "4 ohm", feed: str = "0.5 ohm", **coil: str) -> Circuit:
    """A relay fed through a resistance that its own load pulls down."""
    keys = {"coil": "80 ohm", "pull_in": "8 V", "drop_out": "3 V", **coil}
    return build_circuit(
        "relay",
        run("DC-", "plus", Battery("G1", emf="12 V", resistance="1 mohm"),
            Joint("X1", resistance=feed)),
        run("plus", "DC-", Via(Relay("K1", **keys), "86-85")),
        run("plus", "DC-", Via("K1", "30-87"), Resistor("R1", resistance=load)),
        run("K1:30", "DC-", Via("K1", "30-87a"), Resistor("R2", resistance="1 kohm")),
    )  # fmt: skip  # rows that a reader compares


def volts(circuit: Circuit, point: str) -> float:
    found = solve(circuit).volts[point]
    assert found is not None
    return found


def amps(circuit: Circuit, part: str) -> float:
    found = solve(circuit).amps[part]
    assert found is not None
    return found


# -- relays -------------------------------------------------------------------------------------


def test_a_relay_pulls_in_at_its_pull_in_voltage_and_not_below() -> None:
    def state(emf: str) -> str:
        point = build_circuit(
            "coil", run("DC-", "plus", Battery("G1", emf=emf, resistance="0 ohm")),
            run("plus", "DC-", Via(Relay("K1", pull_in="8 V"), "86-85")),
        )  # fmt: skip  # rows that a reader compares
        return solve(point).states["K1"]

    assert state("7.999 V") == "at rest"
    assert state("8.001 V") == "pulled in"


def test_a_relay_at_rest_feeds_87a_and_pulled_in_87() -> None:
    on, off = relay_circuit(), relay_circuit().with_fault("K1 coil open")
    assert solve(on).states["K1"] == "pulled in"
    assert amps(on, "R1") == pytest.approx(12 / 4.5, rel=0.01)
    assert amps(on, "R2") == 0.0
    assert solve(off).states["K1"] == "at rest"
    assert amps(off, "R1") == 0.0
    assert amps(off, "R2") == pytest.approx(12e-3, rel=0.01)


def test_a_relay_stays_pulled_in_down_to_its_drop_out_voltage() -> None:
    # Its load pulls the feed from 11.9 V down to 6 V: too low to pull in, enough to hold.
    held = relay_circuit(load="0.5 ohm")
    assert 3 < volts(held, "plus") < 8
    assert solve(held).states["K1"] == "pulled in"


def test_a_relay_that_its_own_load_pulls_below_drop_out_chatters() -> None:
    solved = solve(relay_circuit(load="0.1 ohm"))
    assert solved.chattering == ("K1",)
    assert solved.states["K1"] == "chattering"
    assert solved.volts["plus"] is None
    assert solved.volts["G1:-"] == 0.0
    assert solved.amps["R1"] is None


def test_a_relay_of_reversed_coil_pulls_in_all_the_same() -> None:
    point = build_circuit(
        "coil", run("DC-", "plus", Battery("G1", emf="12 V", resistance="1 mohm")),
        run("plus", "DC-", Via(Relay("K1"), "85-86")),
        run("plus", "DC-", Via("K1", "87-30"), Resistor("R1", resistance="4 ohm")),
    )  # fmt: skip  # rows that a reader compares
    solved = solve(point)
    assert solved.states["K1"] == "pulled in"
    assert solved.amps["K1"] == pytest.approx(-12 / 85, rel=1e-3)
    assert solved.amps["K1 30-87"] == pytest.approx(-3.0, rel=1e-2)


@pytest.mark.parametrize(
    ("fault", "load", "coil"),
    [("K1 welded", True, False), ("K1 dead contact", False, True), ("K1 open", False, True),
     ("K1 coil open", False, False), ("K1 short", True, False)],
)  # fmt: skip  # rows that a reader compares
def test_a_relays_contact_and_coil_fail_apart(fault: str, load: bool, coil: bool) -> None:
    point = relay_circuit(feed="1 mohm", pull_in="8 V").with_fault(fault)
    if fault in ("K1 welded", "K1 short"):
        point = point.with_fault("K1 coil open")
    solved = solve(point)
    assert (abs(solved.amps["R1"] or 0) > 2.5) is load
    assert (abs(solved.amps["K1"] or 0) > 0.1) is coil


# -- fuses --------------------------------------------------------------------------------------


def fused(*parts: Fuse | Breaker | Resistor | Heater) -> Circuit:
    return build_circuit(
        "fuses in line",
        run("DC-", "plus", Battery("G1", emf="12 V", resistance="5 mohm")),
        run("plus", "DC-", *parts),
    )


@pytest.mark.parametrize(("ohms", "state"), [("0.75 ohm", "open"), ("0.95 ohm", "intact")])
def test_a_fuse_opens_above_135_percent_of_its_rating(ohms: str, state: str) -> None:
    point = fused(Fuse("F1", rating="10 A", resistance="5 mohm"), Resistor("R1", resistance=ohms))
    solved = solve(point)
    assert solved.states["F1"] == state
    assert solved.opened == (("F1",) if state == "open" else ())


def test_the_most_overloaded_fuse_opens_and_saves_the_others() -> None:
    point = fused(
        Fuse("F1", rating="30 A"), Fuse("F2", rating="10 A"), Breaker("F3", rating="15 A"),
        Resistor("R1", resistance="0.1 ohm"),
    )  # fmt: skip  # rows that a reader compares
    solved = solve(point)
    assert solved.opened == ("F2",)
    assert solved.states == {"F1": "intact", "F2": "open", "F3": "intact"}


def test_of_two_fuses_alike_the_one_met_first_opens() -> None:
    solved = solve(fused(Fuse("F1", rating="10 A"), Fuse("F2", rating="10 A"),
                         Resistor("R1", resistance="0.1 ohm")))  # fmt: skip  # in rows
    assert solved.opened == ("F1",)


def test_fuses_side_by_side_open_one_after_the_other() -> None:
    point = build_circuit(
        "one load through two fuses",
        run("DC-", "plus", Battery("G1", emf="12 V", resistance="5 mohm")),
        run("plus", "load", Fuse("F1", rating="10 A")),
        run("plus", "load", Fuse("F2", rating="15 A")),
        run("load", "DC-", Resistor("R1", resistance="0.3 ohm")),
    )  # fmt: skip  # rows that a reader compares
    solved = solve(point)
    assert set(solved.opened) == {"F1", "F2"}
    assert solved.volts["load"] == 0.0


def test_a_wrong_fuse_holds_where_the_right_one_opens() -> None:
    point = fused(Fuse("F1", rating="10 A"), Resistor("R1", resistance="0.6 ohm"))
    assert solve(point).states["F1"] == "open"
    assert solve(point.with_fault("F1 wrong fuse 30 A")).states["F1"] == "intact"


# -- electronics --------------------------------------------------------------------------------


def radio(ohms: str, emf: str = "12.6 V", **keys: str) -> Circuit:
    thresholds = {"cut_out": "10.5 V", "restart": "11.5 V", **keys}
    return build_circuit(
        "radio behind a corroded joint",
        run("DC-", "plus", Battery("G1", emf=emf, resistance="1 mohm")),
        run(
            "plus",
            "DC-",
            Joint("X1", resistance=ohms),
            Electronics("A1", power="24 W", **thresholds),
        ),
    )


def test_electronics_draw_constant_power() -> None:
    for emf in ("12 V", "13 V", "14 V"):
        solved = solve(radio("10 mohm", emf))
        assert solved.states["A1"] == "on"
        across, current = solved.volt("A1:1", "A1:2"), solved.amps["A1"]
        assert across is not None
        assert current is not None
        assert across * current == pytest.approx(24.0, rel=1e-9)


def test_electronics_below_cut_out_are_off_and_draw_nothing() -> None:
    solved = solve(radio("10 mohm", "10.4 V"))
    assert solved.states["A1"] == "off"
    assert solved.amps["A1"] == 0.0


def test_electronics_that_cut_out_under_load_and_restart_without_it_go_round() -> None:
    solved = solve(radio("1.2 ohm"))  # 12.6 V at no load, below 10.5 V with 2 A
    assert solved.chattering == ("A1",)
    assert solved.states["A1"] == "chattering"


def test_electronics_that_may_not_restart_stay_off() -> None:
    solved = solve(radio("1.2 ohm", restart="12.7 V"))
    assert solved.states["A1"] == "off"
    assert solved.chattering == ()
    assert solved.volts["A1:1"] == pytest.approx(12.6)


def test_electronics_behind_an_open_are_off_on_either_side() -> None:
    for fault in ("X1 open", "G1 open"):
        solved = solve(radio("10 mohm").with_fault(fault))
        assert solved.states["A1"] == "off"
        assert solved.amps["A1"] == 0.0
        assert solved.chattering == ()


def test_electronics_the_wrong_way_round_draw_nothing() -> None:
    solved = solve(radio("10 mohm").with_fault("A1 reversed"))
    assert solved.states["A1"] == "off"
    assert solved.amps["A1"] == 0.0


# -- supplies -----------------------------------------------------------------------------------


def charger(load: str, limit: str = "20 A") -> Circuit:
    return build_circuit(
        "charger alone",
        run("DC-", "plus", Supply("G1", voltage="14 V", resistance="10 mohm", limit=limit)),
        run("plus", "DC-", Switch("S1", position="on", resistance="1 mohm"),
            Resistor("R1", resistance=load)),
    )  # fmt: skip  # rows that a reader compares


def test_a_supply_holds_its_voltage_up_to_its_limit() -> None:
    point = charger("1 ohm")
    assert solve(point).states["G1"] == "constant voltage"
    assert amps(point, "G1") == pytest.approx(14 / 1.011, rel=1e-12)


def test_a_supply_holds_its_current_beyond() -> None:
    point = charger("0.1 ohm")
    assert solve(point).states["G1"] == "limiting"
    assert amps(point, "G1") == pytest.approx(20.0, rel=1e-12)
    assert volts(point, "plus") == pytest.approx(20 * 0.101, rel=1e-12)


def test_a_supply_without_a_load_stands_at_its_voltage() -> None:
    point = charger("0.1 ohm").with_position(S1="off")
    assert volts(point, "plus") == pytest.approx(14.0, rel=1e-12)
    assert solve(point).states["G1"] == "constant voltage"


def test_a_supply_whose_load_a_fuse_takes_away_stands_at_its_voltage() -> None:
    point = build_circuit(
        "charger, fuse and short",
        run("DC-", "plus", Supply("G1", voltage="14 V", resistance="10 mohm", limit="20 A")),
        run("plus", "DC-", Fuse("F1", rating="10 A"), Resistor("R1", resistance="0.1 ohm")),
    )
    solved = solve(point)
    assert solved.opened == ("F1",)
    assert solved.states["G1"] == "constant voltage"
    assert solved.volts["plus"] == pytest.approx(14.0)


def test_two_supplies_share_a_load_and_the_weaker_limits() -> None:
    point = build_circuit(
        "two chargers",
        run("DC-", "plus", Supply("G1", voltage="14.2 V", resistance="10 mohm", limit="10 A")),
        run("DC-", "plus", Supply("G2", voltage="14.0 V", resistance="10 mohm", limit="50 A")),
        run("plus", "DC-", Resistor("R1", resistance="0.5 ohm")),
    )
    solved = solve(point)
    assert solved.states == {"G1": "limiting", "G2": "constant voltage"}
    plus = (14.0 / 0.01 + 10) / (1 / 0.01 + 1 / 0.5)
    assert solved.volts["plus"] == pytest.approx(plus, rel=1e-12)
    assert solved.amps["G1"] == pytest.approx(10.0, rel=1e-12)


def test_a_supply_of_no_resistance_limits_too() -> None:
    point = build_circuit(
        "bench supply",
        run("DC-", "plus", Supply("G1", voltage="12 V", resistance="0 ohm", limit="2 A")),
        run("plus", "DC-", Switch("S1"), Resistor("R1", resistance="3 ohm")),
        run("plus", "DC-", Resistor("R2", resistance="12 ohm")),
    )
    solved = solve(point)
    assert solved.volts["plus"] == pytest.approx(12.0, abs=1e-6)
    assert solved.amps["G1"] == pytest.approx(1.0, rel=1e-6)
    solved = solve(point.with_position(S1="on"))
    assert solved.states["G1"] == "limiting"
    assert solved.amps["G1"] == pytest.approx(2.0, rel=1e-6)

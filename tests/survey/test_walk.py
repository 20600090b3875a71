"""What lies behind what: on small circuits worked by hand, and on boats made at random."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.parts import (
    Battery,
    Cable,
    Diode,
    Fuse,
    Joint,
    Lampholder,
    MotorLoad,
    Relay,
    Supply,
    Switch,
)
from labkit.survey.walk import Wiring, area_now, behind_source, fed_through, thinnest_behind


def wire(id: str, size: str = "2.5 mm2", length: str = "2 m") -> Cable:
    return Cable(id, size=size, length=length)


def lamp(id: str) -> Lampholder:
    return Lampholder(id, power="10 W")


def two_branches() -> Circuit:
    """A main fuse, two branch fuses, and a return that both branches share."""
    return build_circuit(
        "two branches",
        run("DC-", "stud", Battery("G1", emf="12.6 V")),
        run("stud", "panel", wire("W1", "16 mm2", "1.5 m"), Fuse("F1", rating="40 A")),
        run("panel", "shared", Fuse("F2", rating="5 A"), Switch("S1"), wire("W2"), lamp("E1"),
            wire("W3")),
        run("panel", "shared", Fuse("F3", rating="5 A"), wire("W4", "1 mm2"), lamp("E2"),
            wire("W5")),
        run("shared", "DC-", Joint("X1"), wire("W6", "6 mm2")),
    )  # fmt: skip  # rows that a reader compares


def test_the_way_from_a_battery_ends_at_the_first_fuse_and_is_as_long_as_its_wire() -> None:
    zone = behind_source(two_branches(), "G1")
    assert zone.cables == {"W1": 0.0}
    assert zone.protections == {"F1": 1.5}
    assert zone.loads == ()


def test_a_main_fuse_guards_what_lies_before_the_branch_fuses_alone() -> None:
    (zone,) = fed_through(two_branches(), "F1")
    assert zone.wires == ()
    assert set(zone.protections) == {"F2", "F3"}


def test_a_branch_fuse_guards_its_wires_out_and_back_past_an_open_switch() -> None:
    (zone,) = fed_through(two_branches(), "F2")
    assert zone.cables == {"W2": 0.0}
    assert set(zone.returns) == {"W3", "W6"}
    assert zone.loads == ("E1",)


def test_the_other_branch_on_a_shared_return_is_not_behind_this_fuse() -> None:
    (zone,) = fed_through(two_branches(), "F3")
    assert set(zone.wires) == {"W4", "W5", "W6"}


def test_the_thinnest_wire_behind_a_fuse_decides_wherever_it_lies() -> None:
    assert thinnest_behind(two_branches(), "F3") == ("W4", 20.0)  # as 18 AWG
    assert thinnest_behind(two_branches(), "F1") is None


def test_a_thinner_piece_put_in_by_somebody_counts_as_it_is() -> None:
    mended = two_branches().with_fault("W6 too thin 1 mm2")
    assert area_now(mended, "W6") == pytest.approx(1e-6)
    assert thinnest_behind(mended, "F2") == ("W6", 20.0)


def test_a_charge_lead_with_its_fuse_at_the_charger_lies_bare_behind_the_battery() -> None:
    circuit = build_circuit(
        "charge lead",
        run("DC-", "stud", Battery("G1", emf="12.6 V")),
        run("DC-", "charger", Supply("G2", voltage="14.2 V", limit="25 A")),
        run("charger", "stud", Fuse("F1", rating="40 A"), wire("W1", "8 AWG", "3 m")),
        run("stud", "DC-", Fuse("F2", rating="5 A"), lamp("E1")),
    )
    zone = behind_source(circuit, "G1")
    assert zone.cables == {"W1": 0.0}
    assert zone.protections == {"F1": 3.0, "F2": 0.0}
    assert behind_source(circuit, "G2").protections == {"F1": 0.0}
    towards_stud, towards_charger = fed_through(circuit, "F1")
    assert towards_stud.feeders == ("G2",)
    assert towards_charger.feeders == ("G1",)


def test_a_diode_lets_a_short_draw_through_it_one_way_only() -> None:
    circuit = build_circuit(
        "isolating diode",
        run("DC-", "stud", Battery("G1", emf="12.6 V")),
        run("DC-", "charger", Supply("G2", voltage="14.2 V", limit="25 A")),
        run("charger", "stud", wire("W1"), Diode("V1"), wire("W2")),
        run("stud", "DC-", Fuse("F2", rating="5 A"), lamp("E1")),
    )
    assert set(behind_source(circuit, "G1").cables) == {"W2"}
    assert set(behind_source(circuit, "G2").cables) == {"W1", "W2"}


def test_a_relay_s_contact_carries_a_short_and_its_coil_is_a_load() -> None:
    relay = Relay("K1")
    circuit = build_circuit(
        "relay",
        run("DC-", "stud", Battery("G1", emf="12.6 V")),
        run("stud", "feed", Fuse("F1", rating="20 A")),
        run("feed", "DC-", Via(relay, "30-87"), wire("W1"),
            MotorLoad("M1", current="7 A"), wire("W2")),
        run("feed", "DC-", wire("W3"), Via("K1", "86-85"), wire("W4")),
    )  # fmt: skip  # rows that a reader compares
    (zone,) = fed_through(circuit, "F1")
    assert set(zone.cables) == {"W1", "W3"}
    assert set(zone.returns) == {"W2", "W4"}
    assert set(zone.loads) == {"K1", "M1"}


def test_the_cables_on_the_way_to_a_load_are_told_from_those_that_branch_off() -> None:
    wiring = Wiring(two_branches())
    assert wiring.ways_to("G1:+", "E1") == {"W1", "W2"}


@given(
    st.lists(st.tuples(st.booleans(), st.floats(0.5, 20)), min_size=1, max_size=8),
    st.floats(0.5, 5),
)
def test_each_wire_lies_behind_one_thing_and_as_far_out_as_its_wire_is_long(
    branches: list[tuple[bool, float]], feed: float
) -> None:
    """Branches off one unguarded feed, some with a fuse of their own at the panel."""
    runs = [
        run("DC-", "stud", Battery("G1", emf="12.6 V")),
        run("stud", "panel", wire("W1", "16 mm2", f"{feed:.6f} m")),
    ]
    for n, (fused, metres) in enumerate(branches, 2):
        fuse = (Fuse(f"F{n}", rating="5 A"),) if fused else ()
        out, back = wire(f"W{n}", length=f"{metres:.6f} m"), wire(f"W{n + 100}")
        runs.append(run("panel", "DC-", *fuse, out, lamp(f"E{n}"), back))
    circuit = build_circuit("at random", *runs)
    bare = behind_source(circuit, "G1")
    zones = [bare, *(fed_through(circuit, id)[0] for id in bare.protections)]
    wires = [w for zone in zones for w in zone.wires]
    assert sorted(wires) == sorted(p.id for p in circuit.parts.values() if p.kind == "cable")
    for n, (fused, _) in enumerate(branches, 2):
        assert (f"W{n}" in bare.cables) is not fused
        assert bare.protections.get(f"F{n}", feed) == pytest.approx(feed, abs=1e-5)
        assert bare.cables.get(f"W{n}", feed) == pytest.approx(feed, abs=1e-5)

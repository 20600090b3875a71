"""Wires that touch, and leaks that end in the bond or in the sea."""

from __future__ import annotations

from pathlib import Path

import pytest

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.circuits.circuit_file import load_circuit
from labkit.diagnosis.faults import candidates, describe, said
from labkit.measuring.meter import read
from labkit.parts import Battery, Cable, Fitting, Fuse, Joint, Lampholder, Resistor, Switch
from labkit.solving.bulk import solve_many
from labkit.solving.netlist import node_names, to_spice
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError
from tests.solving.engine import run_ngspice


def mast() -> Circuit:
    """Two lamps up a mast, each behind a switch of its own, their wires in one tube."""

    def lamp(n: int) -> tuple[object, ...]:
        return run(
            "panel", "DC-", Fuse(f"F{n}", rating="5 A"), Switch(f"S{n}", position="off"),
            Cable(f"W{n}", size="1.5 mm2", length="12 m"),
            Lampholder(f"E{n}", power="10 W"),
        )  # fmt: skip  # rows that a reader compares

    return build_circuit(
        "mast",
        run("DC-", "panel", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        lamp(2), lamp(3),
    )  # fmt: skip  # rows that a reader compares


TOUCHING = "W2:2 short W3:2 0.1 ohm"


def test_a_wire_that_touches_another_lights_what_is_switched_off() -> None:
    boat = mast().with_fault(TOUCHING).with_position(S2="on")
    point = solve(boat)
    assert point.volts["E3:1"] == pytest.approx(point.volts["E2:1"], abs=0.1)
    # by hand: the short carries what the other lamp takes
    volts = point.volt("E2:1", "E3:1")
    assert volts == pytest.approx(0.1 * point.amps["E3"], rel=1e-6)
    assert point.amps["W2"] == pytest.approx(point.amps["E2"] + point.amps["E3"], rel=1e-6)


@pytest.mark.parametrize(
    "text", ["W2:2 short W3:2 0.1 ohm", "W2:2 short to W3:2 100 mohm", "W2 short W3:2 0.1 ohm"]
)
def test_a_short_to_elsewhere_is_read_however_it_is_written(text: str) -> None:
    fault = mast().with_fault(text).faults[0]
    assert (fault.part, fault.mode, fault.terminal, fault.to) == ("W2", "short to", "2", "W3:2")
    assert mast().with_fault(str(fault)).faults[0] == fault


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("W2:2 short W9:1 0.1 ohm", "no terminal or node 'W9:1' here; did you mean"),
        ("W2 leak bond 50 ohm", "no terminal or node 'bond' here"),
        ("W2:2 short W2:2", "joins a terminal to itself"),
        ("W2 short to", "'short to' what? Name the terminal or node"),
        ("W2 short to 3 ohm", "'short to' what? Name the terminal or node"),
        ("X9 short W2:1", "no part 'X9'"),
    ],
)
def test_a_place_there_is_not_is_refused_in_a_sentence(text: str, says: str) -> None:
    with pytest.raises(CircuitError) as error:
        mast().with_fault(text)
    assert says in str(error.value)


def test_many_at_once_are_as_each_alone_and_as_ngspice_has_it(tmp_path: Path) -> None:
    texts = ["W2:2 short W3:2 0.1 ohm", "W2:2 short W3:2 30 ohm", "S2:2 short W3:1 1 ohm",
             "W3:1 leak E2:1 300 ohm", "W2:1 short DC- 2 ohm"]  # fmt: skip  # in rows
    boats = [mast().with_position(S2="on").with_fault(text) for text in texts]
    many, judged = solve_many(boats), run_ngspice([to_spice(boat) for boat in boats], tmp_path)
    for n, (boat, spice) in enumerate(zip(boats, judged, strict=True)):
        assert spice is not None
        names = node_names(boat)
        for point, volts in solve(boat).volts.items():
            if volts is not None:
                assert many.volts[point][n] == pytest.approx(volts, abs=1e-9)
                name = names[boat.node_of[point]]
                there = 0.0 if name == "0" else spice[f"v({name})"]
                assert there == pytest.approx(volts, abs=1e-6)
    assert "leak" in to_spice(boats[0])


def test_what_chafes_touches_only_while_it_is_shaken() -> None:
    boat = mast().with_position(S2="on")
    chafed, shorted = (boat.with_fault(f"W2:2 {how} W3:2 0.1 ohm") for how in ("chafe", "short"))
    assert chafed.faults[0].mode == "chafe to"
    for shaken, same in ((chafed, boat), (chafed.with_disturbed("W2"), shorted)):
        alone, in_bulk = solve(shaken), solve_many([shaken, shaken])
        assert alone.volts == solve(same).volts
        node = shaken.node_of["W3:2"]
        assert float(in_bulk.volts[node][0]) == pytest.approx(alone.volts[node], abs=1e-9)


def test_mending_either_wire_parts_them() -> None:
    for id in ("W2", "W3"):
        bench = Bench(mast().with_fault(TOUCHING).with_position(S2="on"))
        bench.repair(id)
        assert bench.circuit.faults == ()


def test_it_is_suspected_where_somebody_says_so_and_named_in_words() -> None:
    boat = mast()
    usual = candidates(boat)
    listed = candidates(boat, also=["W2:2 short W3:2"])
    new = {c.name for c in listed} - {c.name for c in usual}
    assert new == {"W2 short to"}
    assert len(listed) > len(usual) + 2  # by how bad it is
    assert said("W2 short to", boat.parts) == "W2 shorted to another wire"
    told = describe(boat.with_fault(TOUCHING).faults[0], boat)
    assert told == "W2 (cable): chafed through at terminal 2 to W3:2, 0.1 ohm"


def afloat(*faults: str) -> Circuit:
    """Battery, a lamp, and three fittings in the sea, bonded by a wire."""
    made = build_circuit(
        "afloat",
        run("DC-", "panel", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run("panel", "DC-", Fuse("F1", rating="5 A"), Cable("W1", size="1.5 mm2", length="3 m"),
            Lampholder("E1", power="10 W")),
        run("DC-", "bond", Cable("W9", size="6 mm2", length="4 m")),
        run("bond", "sea", Joint("X1"), Fitting("X2", metal="bronze", resistance="20 ohm")),
        run("bond", "sea", Fitting("X3", metal="zinc", resistance="10 ohm")),
        run("bond", "sea", Fitting("X4", metal="steel", resistance="40 ohm")),
    )  # fmt: skip  # rows that a reader compares
    return made.with_fault(*faults) if faults else made


def test_bonded_metals_stand_at_the_mean_of_their_potentials_by_conductance() -> None:
    # Millman: (-0.275/20 - 1.005/10 - 0.655/40) / (1/20 + 1/10 + 1/40)
    there = read(afloat(), "X2:1", "sea")
    assert there.value == pytest.approx(-0.746429, abs=1e-4)


def test_a_leak_into_the_sea_drives_the_fittings_up_and_shows_in_the_bonding_wire() -> None:
    boat = afloat("W1:2 leak sea 30 ohm")
    point = solve(boat)
    stray = abs(point.amps["W9"] or 0.0)
    # 12.5 V over 30 ohm and the fittings' 5.71 ohm in parallel, less the 0.746 V of above.
    assert stray == pytest.approx((12.5 - 0.746) / 35.71, rel=0.005)
    assert (read(boat, "X2:1", "sea").value or 0.0) < -2.0  # metal in: its coating suffers
    out = afloat("W1:2 leak bond 30 ohm")
    assert abs(solve(out).amps["W9"] or 0.0) == pytest.approx(12.4 / 30, rel=0.03)


def test_a_seacock_whose_bond_is_off_is_eaten_by_what_leaks_into_it() -> None:
    # The shaft is the engine's, so the sea is a way home: out of the bronze, and not into it.
    boat = load_circuit("exercises/circuits/bonded.toml").with_fault("X1:2 leak bond 90 ohm")
    assert (solve(boat).amps["X5"] or 0.0) < 0.0  # the zinc guards it while the wire is on
    assert (solve(boat.with_parted("W8:2")).amps["X5"] or 0.0) == pytest.approx(0.091, abs=0.001)


def test_a_bond_that_is_off_floats_at_its_own_metal() -> None:
    for metal, least, most in (("zinc", -1.03, -0.98), ("bronze", -0.31, -0.24)):
        alone = build_circuit(
            "one fitting",
            run("DC-", "plus", Battery("G1", emf="12.6 V")),
            run("plus", "DC-", Resistor("R1", resistance="100 ohm")),
            run("DC-", "sea", Fitting("X2", metal=metal)),
        )
        assert least <= (read(alone, "X2:1", "sea").value or 0.0) <= most

"""Sources that are steered from elsewhere: alone, in bulk, against ngspice, and at random.

``python -m tests.solving.charging 100000`` looks for a random circuit with one of the parts that
charge, split or convert that has no answer, or another one in bulk.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.parts import Battery, Charger, Indicator
from labkit.solving.bulk import solve_many
from labkit.solving.netlist import node_names, to_spice
from labkit.solving.solver import solve

from ..parts import test_charging as boats
from .charging import CHARGING, campaign
from .engine import run_ngspice

CIRCUITS = {
    "alternator": boats.engine(boats.HALF),
    "alternator, one diode open": boats.engine(boats.HALF).with_fault("G2 diode open"),
    "sense wire": boats.engine(sense="battery", load="400 W"),
    "sense wire, lossy": boats.engine(sense="battery", load="400 W").with_fault(
        "W1 resistance 10 mohm"
    ),
    "sense wire open": boats.engine(sense="battery").with_fault("W2 open"),
    "charge lamp": boats.lamp_excited(),
    "charge lamp blown": boats.lamp_excited("E1 blown"),
    "charger": boats.shore(),
    "charger in float": boats.shore(stage="float", float="13.2 V"),
    "solar": boats.sunny(),
    "solar, full": boats.sunny(emf="14.35 V", resistance="50 mohm"),
    "combiner": boats.pair(),
    "converter": boats.between(),
    "converter, off": boats.between("12.7 V"),
}


@pytest.mark.parametrize("name", CIRCUITS)
def test_it_agrees_with_the_reference(name: str, tmp_path: Path) -> None:
    circuit = CIRCUITS[name]
    point = solve(circuit)
    (found,) = run_ngspice([to_spice(circuit, point.states)], tmp_path)
    assert found is not None
    names = node_names(circuit)
    for label in set(circuit.node_of.values()) - {"DC-"}:
        assert found[f"v({names[label]})"] == pytest.approx(point.volts[label], abs=2e-6), label


def test_many_at_once_say_what_each_says_alone() -> None:
    for circuit in CIRCUITS.values():
        faulty = [
            circuit.with_fault(f"{part.id} {mode}")
            for part in circuit.parts.values()
            if part.kind in CHARGING
            for mode in part.modes
            if mode not in ("leak", "short")
        ]
        these = [circuit, *faulty]
        found = solve_many(these)
        assert found.unsolved == {}
        for n, one in enumerate(these):
            _agree(one, {key: row[n] for key, row in found.volts.items()})


def _agree(circuit: Circuit, volts: dict[str, float]) -> None:
    point = solve(circuit)
    for key, expected in point.volts.items():
        if expected is not None:
            assert volts[key] == pytest.approx(expected, abs=1e-8), (circuit, key)


def test_a_cold_lithium_battery_at_rest_behind_a_blocking_led_has_an_answer() -> None:
    # It gives current readily and takes all but none; rounding alone says on which side it stands.
    circuit = build_circuit(
        "invented",
        run("plus", "DC-", Battery("G1", charge="74.61 %", capacity="20 Ah", health="60 %",
                                   chemistry="lifepo4", temperature="-18 degC")),
        run("DC-", "stud", Charger("G2", limit="40 A")),
        run("plus", "stud", Indicator("P1", color="red")),
    )  # fmt: skip  # rows that a reader compares
    point = solve(circuit)
    assert point.volts["stud"] == pytest.approx(14.4)
    assert point.volts["plus"] == pytest.approx(-13.23043333, abs=1e-8)
    _agree(circuit, {key: row[0] for key, row in solve_many([circuit]).volts.items()})


@pytest.mark.parametrize("seed", [43495, 46255, 69203, 94934, 155782])
def test_sources_that_throw_one_another_from_limit_to_limit_have_an_answer(seed: int) -> None:
    # Steps of Newton's go round in a ring there: a converter fed by what it gives, or reversed
    # between two sources that hold their current.
    assert campaign([seed], bulk_each=1) == (1, [], [])


def test_a_sample_of_random_circuits_with_these_parts_has_an_answer_each() -> None:
    tried, without, apart = campaign(range(60))
    assert tried > 20
    assert without == apart == []

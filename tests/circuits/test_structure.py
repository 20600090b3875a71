"""A boat falls apart at her bus bars, and what is near a load is what its current passes."""

from labkit.circuits.circuit import Circuit
from labkit.circuits.structure import Structure
from tests.boats import shipped
from tests.large_boats import large_boat


def structure(circuit: Circuit) -> Structure:
    return Structure(circuit.runs, circuit.parts.values())


def near(circuit: Circuit, *named: str) -> set[str]:
    return {run.name for run in structure(circuit).near(named)}


def test_bars_are_named_nodes_where_three_ends_meet() -> None:
    assert structure(large_boat(4)).bars == {"panel", "DC-"}
    grouped = structure(large_boat(4, panels=2))
    assert grouped.bars == {"panel", "DC-", "panel 0", "panel 1", "negative 0", "negative 1"}


def test_every_part_is_in_one_group() -> None:
    boat = large_boat(7, panels=2)
    met = [id for group in structure(boat).groups for id in group.parts]
    assert sorted(met) == sorted(boat.parts)


def test_a_relay_keeps_its_coil_and_its_contact_together() -> None:
    boat = shipped("horn")
    for relay in (id for id, part in boat.parts.items() if part.kind == "relay"):
        groups = [g for g in structure(boat).groups if relay in g.parts]
        assert len(groups) == 1
        passing = {r.name for r in boat.runs if any(s.part == relay for s in r.passes)}
        assert passing <= {r.name for r in groups[0].runs}


def test_near_a_load_are_its_circuit_its_feeder_the_battery_and_one_witness_a_panel() -> None:
    boat = large_boat(12, panels=3)
    assert near(boat, "E1") == {
        "battery", "main feed", "feeder 1", "negative feeder 1", "circuit 1", "circuit 4",
    }  # fmt: skip  # rows that a reader compares


def test_a_node_brings_its_feeders_and_not_all_that_hangs_on_it() -> None:
    found = near(large_boat(12, panels=3), "panel 2")
    assert {"feeder 2", "negative feeder 2", "main feed"} <= found
    circuits = {name for name in found if name.startswith("circuit")}
    assert circuits == {"circuit 2", "circuit 5"}  # one for the bar, and one as a witness


def test_a_boat_of_one_circuit_is_all_near() -> None:
    boat = shipped("washdown")
    assert near(boat, "M1") == {run.name for run in boat.runs}

"""The dashed link between a coil and its contacts, and between two ways of one switch."""

from __future__ import annotations

from pathlib import Path

import pytest

from labkit import load_circuit
from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.drawing import Drawing, draw
from labkit.drawing.geometry import Box
from labkit.drawing.links import is_coil
from labkit.parts import Battery, Changeover, Fuse, Lampholder, Relay, Switch, Trait
from tests.drawing.random_circuits import random_circuit

FOLDER = Path(__file__).parents[2] / "exercises" / "circuits"
WITH_RELAY = ("engine-start", "hoist", "horn", "windlass")


def ends(drawing: Drawing) -> list[set[str]]:
    """What each link joins, by the terminals of the symbols it ends at."""
    found = []
    for link in drawing.placement.sheet.links:
        joined = set()
        for end in (link.corners[0], link.corners[-1]):
            (placed,) = (
                p
                for p in drawing.placement.parts
                if p.step.id == link.part and p.box.grown(0.5).holds(Box(*end, *end))
            )
            joined.add(f"{placed.step.id} {placed.step.enter}-{placed.step.leave}")
        found.append(joined)
    return found


@pytest.mark.parametrize("name", WITH_RELAY)
def test_the_coil_of_every_shipped_relay_is_linked_to_its_contact(name: str) -> None:
    drawing = draw(load_circuit(FOLDER / f"{name}.toml"))

    coil, contact = ("50-31", "30-45") if name == "engine-start" else ("86-85", "30-87")
    assert ends(drawing) == [{f"K1 {coil}", f"K1 {contact}"}]
    assert drawing.svg.count('class="link"') == 1


def test_both_ways_of_the_battery_selector_are_linked() -> None:
    drawing = draw(load_circuit(FOLDER / "two-batteries.toml"))

    assert ends(drawing) in ([{"S1 2-1", "S1 3-1"}], [])
    assert drawing.placement.sheet.links or any(p.step.throw for p in drawing.placement.parts)


def two_contacts() -> Circuit:
    return build_circuit(
        "relay with two contacts",
        run("DC-", "panel", Battery("G1", emf="12.7 V")),
        run("panel", "DC-", Switch("S1"), Via(Relay("K1", coil="80 ohm"), "86-85")),
        run("panel", "DC-", Fuse("F1", rating="5 A"), Via("K1", "30-87"),
            Lampholder("E1", power="10 W")),
        run("K1:30", "DC-", Via("K1", "30-87a"), Lampholder("E2", power="10 W")),
    )  # fmt: skip  # rows that a reader compares


def test_a_coil_is_linked_to_each_of_its_contacts() -> None:
    assert sorted(map(sorted, ends(draw(two_contacts())))) == [
        ["K1 30-87", "K1 86-85"], ["K1 30-87a", "K1 86-85"],
    ]  # fmt: skip  # rows that a reader compares


def test_a_link_is_led_on_to_the_blade_as_it_lies() -> None:
    closed = draw(two_contacts(), does={"K1": "clicks in"}).svg
    rest = draw(two_contacts()).svg

    def link(svg: str) -> list[str]:
        return [line for line in svg.split("<") if 'class="link"' in line]

    assert link(closed) != link(rest)


def test_links_do_not_move_a_switch_that_is_one_symbol() -> None:
    switch = Changeover("S1", positions={"a": "1-2", "b": "1-3"}, position="a")
    made = build_circuit(
        "one symbol",
        run("DC-", "panel", Battery("G1", emf="12.7 V")),
        run("panel", "DC-", Via(switch, "1-2"), Lampholder("E1", power="10 W")),
        run("panel", "DC-", Via("S1", "1-3"), Lampholder("E2", power="10 W")),
    )

    assert draw(made).placement.sheet.links == []


def test_links_of_random_circuits_join_only_what_belongs_together() -> None:
    linked = 0
    made = [random_circuit(seed) for seed in range(80)]
    for circuit in (each for each in made if len(each.parts) < 20):  # larger ones take seconds
        drawing = draw(circuit)
        for link in drawing.placement.sheet.links:
            symbols = [p for p in drawing.placement.parts if p.step.id == link.part]
            coils = sum(is_coil(p.step) for p in symbols)
            contacts = len(symbols) - coils  # a solenoid's may be in no run, a gauge has none: then
            assert contacts >= 1 or coils == 2  # two windings that move one thing are linked
            assert (coils > 0) == (Trait.LOAD in symbols[0].step.traits)
            linked += 1
    assert linked > 2

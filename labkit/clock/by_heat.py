"""What heat does to a circuit: joints that open, insulation that fails, cut-outs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from labkit.circuits.circuit import Circuit
from labkit.clock.bodies import Flow
from labkit.parts import ThermalSwitch
from labkit.parts.modes import LEAKS_HOT, OPENS_HOT

if TYPE_CHECKING:
    from labkit.clock.world import World

HOT = {OPENS_HOT.name: "open", LEAKS_HOT.name: "leak"}
"""Fault that comes with heat, and the one it turns into."""

CUTS_OUT, CUTS_IN, MAKES = "cuts out", "cuts in", "makes"
"""What a thermal cut-out does when hot and when cool again, and a joint that has opened."""

_COOLER = 15.0  # than it opened at, a joint makes again [K]; chosen


def coming(
    world: World, flows: Mapping[str, Flow], within: float
) -> Iterator[tuple[float, str, str]]:
    """Faults and cut-outs that come or go within a time: when [s], what, which part."""
    yield from _cut_outs(world, flows, within)
    faults = world.circuit.faults
    for fault in faults:
        body = world.bodies.get(fault.part)
        if fault.mode not in HOT or body is None or not body.warms:
            continue
        there = any(f.part == fault.part and f.mode == HOT[fault.mode] for f in faults)
        if there and fault.mode == LEAKS_HOT.name:
            continue  # insulation that has run stays so
        assert fault.value is not None
        level = float(fault.value) - (_COOLER if there else 0.0)
        seconds = world.reaches(body, flows[fault.part], level, within, rising=not there)
        if seconds < math.inf:
            yield seconds, MAKES if there else HOT[fault.mode], fault.part


def _cut_outs(
    world: World, flows: Mapping[str, Flow], within: float
) -> Iterator[tuple[float, str, str]]:
    """Thermal cut-outs that open or close within a time at these flows."""
    for id, part in world.circuit.parts.items():
        if not isinstance(part, ThermalSwitch):
            continue
        feels = part.of or id
        if (body := world.bodies.get(feels)) is None:
            continue
        closed = world.circuit.positions[id] == part.choices[0]
        level = part.opens if closed else part.closes
        seconds = world.reaches(body, flows[feels], level, within, rising=closed)
        if seconds < math.inf:
            yield seconds, CUTS_OUT if closed else CUTS_IN, id


def changed(circuit: Circuit, id: str, what: str) -> Circuit:
    """Return the circuit after a fault or a cut-out has come or gone by heat."""
    if what in (CUTS_OUT, CUTS_IN):
        closed, opened = circuit.parts[id].choices
        return circuit.with_position(**{id: opened if what == CUTS_OUT else closed})
    if what == MAKES:
        kept = tuple(f for f in circuit.faults if f.part != id or f.mode != "open")
        return replace(circuit, faults=kept)
    return circuit.with_fault(f"{id} {what}" + (" 0.05 ohm" if what == "leak" else ""))

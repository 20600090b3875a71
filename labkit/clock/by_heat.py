"""What heat does to a circuit: joints that open, insulation that fails, cut-outs."""

from __future__ import annotations

from dataclasses import replace

from labkit.circuits.circuit import Circuit
from labkit.parts.modes import LEAKS_HOT, OPENS_HOT

HOT = {OPENS_HOT.name: "open", LEAKS_HOT.name: "leak"}
"""Fault that comes with heat, and the one it turns into."""

CUTS_OUT, CUTS_IN, MAKES = "cuts out", "cuts in", "makes"
"""What a thermal cut-out does when hot and when cool again, and a joint that has opened."""


def changed(circuit: Circuit, id: str, what: str) -> Circuit:
    """Return the circuit after a fault or a cut-out has come or gone by heat."""
    if what in (CUTS_OUT, CUTS_IN):
        closed, opened = circuit.parts[id].choices
        return circuit.with_position(**{id: opened if what == CUTS_OUT else closed})
    if what == MAKES:
        kept = tuple(f for f in circuit.faults if f.part != id or f.mode != "open")
        return replace(circuit, faults=kept)
    return circuit.with_fault(f"{id} {what}" + (" 0.05 ohm" if what == "leak" else ""))

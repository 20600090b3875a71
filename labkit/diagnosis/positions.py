"""Positions of all switches together."""

from __future__ import annotations

from labkit.circuits.circuit import Circuit


def all_off(circuit: Circuit) -> dict[str, str]:
    """Positions with every switch off, connectors as they are."""
    return {part.id: part.off() for part in circuit.unreduced().parts.values() if part.off()}

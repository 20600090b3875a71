"""What of a circuit is not known exactly, in words."""

from __future__ import annotations

from labkit.circuits.circuit import Circuit


def in_doubt(circuit: Circuit) -> list[str]:
    """Say what is taken for each quantity that is in doubt: 'W2 size "1.5..2.5 mm2" as 2 mm2'."""
    return [
        f'{part.id} {key} "{doubt.text}" as {doubt.taken or "is usual"}'
        for part in circuit.parts.values()
        for key, doubt in part.doubts.items()
    ]

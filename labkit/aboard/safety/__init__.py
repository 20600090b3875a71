"""What is dangerous in what was just done, in a calm sentence each, with what to do instead.

A hazard is a fact of the act: it is computed from the circuit before and after it.
"""

from __future__ import annotations

from labkit.aboard.safety.live import opened_under_load, positive_first, source_dropped
from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import Hazard


def watch(before: Circuit, after: Circuit) -> list[Hazard]:
    """Name what is dangerous in coming from one state of a circuit to another, by whatever act."""
    return [
        *opened_under_load(before, after),
        *positive_first(before, after),
        *source_dropped(before, after),
    ]

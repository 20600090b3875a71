"""A boat at sea: what is loose lets go for a moment, now and then."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

from labkit.circuits.circuit import Circuit
from labkit.parts import AT_TIMES

BETWEEN = 40.0
"""Mean time between two shakes of a loose part at sea. [s] Chosen."""

SHAKE = 0.8
"""Mean time it lets go. [s] Chosen."""


class Vibration:
    """The motion of a boat; still until it is made rough.

    Parameters
    ----------
    circuit : Circuit
    seed : int
        The same for the same motion.
    """

    def __init__(self, circuit: Circuit, seed: int = 1) -> None:
        self._random = Random(seed)
        self._next = math.inf
        self._rough = False

    def rough(self, on: bool, seconds: float) -> None:
        """Go to sea, or come back."""
        self._rough = on
        self._next = seconds + self._random.expovariate(1 / BETWEEN) if on else math.inf

    def next(self, seconds: float) -> float:
        """When something loose lets go or makes again. [s]"""
        return self._next

    def shake(self, circuit: Circuit, seconds: float) -> Circuit:
        """Return the circuit with its loose parts shaken, or at rest again."""
        loose = frozenset(f.part for f in circuit.faults if f.mode in AT_TIMES)
        at_rest = bool(circuit.disturbed)
        mean = BETWEEN if at_rest else SHAKE
        self._next = seconds + max(self._random.expovariate(1 / mean), 0.05)
        if not loose:
            self._next = math.inf
        return replace(circuit, disturbed=frozenset() if at_rest else loose)

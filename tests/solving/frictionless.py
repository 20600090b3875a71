"""Motors without friction: their current goes with the square of the voltage, flat at 0 V.

python -m tests.solving.frictionless 2000 solves so many random circuits whose motors have none, in
every one alone and all in bulk, and says what has no answer or another one.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from random import Random
from types import MappingProxyType

from labkit.circuits.circuit import Circuit
from labkit.parts import MotorLoad
from labkit.solving.bulk import solve_many
from labkit.solving.solver import solve
from labkit.text.messages import NoConvergenceError
from tests.generators import random_circuit

ALIKE = 1e-6
"""Alone and in bulk, voltages differ by less. [V]"""


def without_friction(seed: int) -> Circuit | None:
    """A random circuit with its motors' friction taken away, None where it has no motor."""
    made = random_circuit(Random(seed))
    parts = {
        id: part.model_copy(update={"friction": 0.0}) if isinstance(part, MotorLoad) else part
        for id, part in made.parts.items()
    }
    if not any(isinstance(part, MotorLoad) for part in parts.values()):
        return None
    return replace(made, parts=MappingProxyType(parts))


def troubles(seeds: range) -> Iterator[str]:
    """What has no answer, or another one in bulk, a sentence each."""
    for seed in seeds:
        circuit = without_friction(seed)
        if circuit is None:
            continue
        try:
            alone = solve(circuit)
        except NoConvergenceError as error:
            yield f"{seed}: {error}"
            continue
        many = solve_many([circuit])
        if many.unsolved:
            yield f"{seed}: in bulk, {many.unsolved[0]}"
            continue
        for point, volts in alone.volts.items():
            other = float(many.volts[point][0])
            if volts is not None and not abs(other - volts) < ALIKE:
                yield f"{seed}: {point} is at {volts} V alone and at {other} V in bulk"
                break


def main(count: int) -> int:
    """Try so many circuits, and print what is wrong."""
    found = list(troubles(range(count)))
    print(*found, f"{len(found)} of {count} circuits", sep="\n")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if sys.argv[1:] else 500))

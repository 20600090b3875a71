"""Random circuits with parts that charge: ``python -m tests.solving.charging 100000``.

Prints the seeds of circuits without an answer, and of those that bulk solving answers otherwise.
A second number is the seed to begin with, so that a long search can be taken in pieces.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from random import Random

from labkit.solving.bulk import solve_many
from labkit.solving.solver import solve
from labkit.text.messages import NoConvergenceError
from tests.generators import random_circuit

CHARGING = (
    "alternator", "charger", "converter", "solar panel", "solar controller", "combiner", "isolator",
)  # fmt: skip  # rows that a reader compares
MOST_PARTS = 30
BULK_EACH = 7
"""Every so many circuits are solved in bulk too."""


def campaign(seeds: Iterable[int], bulk_each: int = BULK_EACH) -> tuple[int, list[int], list[int]]:
    """Solve random circuits that have such a part: how many, which not, which otherwise in bulk."""
    tried, without, apart = 0, [], []
    for seed in seeds:
        circuit = random_circuit(Random(seed), MOST_PARTS)
        if not any(part.kind in CHARGING for part in circuit.parts.values()):
            continue
        tried += 1
        try:
            point = solve(circuit)
        except NoConvergenceError:
            without.append(seed)
            continue
        if tried % bulk_each == 0:
            many = solve_many([circuit])
            off = (
                abs(many.volts[key][0] - volts)
                for key, volts in point.volts.items()
                if volts is not None
            )
            if not max(off, default=0.0) < 1e-8:
                apart.append(seed)
    return tried, without, apart


def main(wanted: int, start: int = 0) -> int:
    """Try seeds in lots until so many circuits are tried; 1 if any has no answer."""
    tried, without, apart = 0, [], []
    while tried < wanted:
        found = campaign(range(start, start + 1000))
        start, tried = start + 1000, tried + found[0]
        without += found[1]
        apart += found[2]
        said = f"{tried} circuits to seed {start}, without an answer {without}"
        print(f"{said}, otherwise in bulk {apart}", flush=True)
    return 1 if without or apart else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:] or ["1000"])))

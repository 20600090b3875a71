"""Random boats in time: what has no answer while it warms, cuts out, fills or runs down.

python -m tests.clock.random_states 100000 plays boats until so many operating points are solved:
other switches, other faults that came, other warmth and charge. A second number is the seed to
begin at, so that a run that was stopped can be gone on with.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterable, Iterator
from random import Random

from labkit.circuits.circuit import Circuit
from labkit.clock.course import Course
from labkit.clock.program import parse_program
from labkit.parts import Battery
from labkit.text.messages import CircuitError, NoConvergenceError
from tests.generators import random_circuit

LOT = 50
"""After so many boats what was found is printed."""

HOTTEST = 5000.0
"""No part is hotter than this, whatever burns: beyond it a number has run away. [C]"""


def program(rng: Random, circuit: Circuit, seconds: float) -> list[str]:
    """A few switches moved at random instants."""
    movable = [part for part in circuit.parts.values() if part.settings()]
    found = []
    for _ in range(min(3, len(movable))):
        part = rng.choice(movable)
        found.append(f"{rng.uniform(0, seconds):.3f} s {part.id}={rng.choice(part.settings())}")
    return found


def played(seed: int) -> Course:
    """Play one of them, for a second up to two hours."""
    rng = Random(seed)
    circuit = random_circuit(rng, 15)
    seconds = 10 ** rng.uniform(0, 3.8)
    return Course(circuit, parse_program(program(rng, circuit, seconds), circuit)).play(seconds)


def troubles(course: Course) -> Iterator[str]:
    """What no boat does, a sentence each."""
    for id, body in course.world.bodies.items():
        if not all(map(math.isfinite, body.state)) or (body.warms and body.celsius > HOTTEST):
            yield f"{id} is at {body.state}"
        if isinstance(course.world.circuit.parts[id], Battery) and (body.charge or 0) > 1.001:
            yield f"{id} holds {body.charge} of what it can"


def campaign(seeds: Iterable[int]) -> tuple[int, list[str]]:
    """Play these: how many operating points were solved, and what is wrong."""
    states, found = 0, []
    for seed in seeds:
        try:
            course = played(seed)
        except (CircuitError, NoConvergenceError) as error:
            found.append(f"{seed}: {error}")
            continue
        states += course.world.solves
        found += [f"{seed}: {trouble}" for trouble in troubles(course)]
    return states, found


def main(wanted: int = 2000, first: int = 0) -> int:
    """Play until so many operating points are solved, and print after every lot what is wrong."""
    found: list[str] = []
    states, seed = 0, first
    while states < wanted:
        more, wrong = campaign(range(seed, seed + LOT))
        states, seed, found = states + more, seed + LOT, found + wrong
        print(*wrong, sep="\n", end="\n" if wrong else "")
        print(
            f"{states} operating points in {seed - first} courses, {len(found)} wrong", flush=True
        )
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:3])))

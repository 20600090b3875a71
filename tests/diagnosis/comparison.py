"""Advice beside half-splitting and following the wire, on the shipped circuits.

    python -m tests.diagnosis.comparison [faults per circuit]

Faults are dealt by their prior weight with a severity drawn within the candidate's interval, among
those that make the load do something else than it should. All three ways draw the same conclusions
from the same kind of readings. A hunt is complete when what remains is one name, or names that no
measurement in reach tells apart.
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from labkit.circuit import Circuit
from labkit.diagnosis import Adviser, Diagnosis
from labkit.diagnosis.cost import moved
from labkit.diagnosis.search import (
    Search,
    Way,
    advised,
    complaint,
    following_the_wire,
    half_splitting,
    observer,
    search,
)
from labkit.exercise import load_exercise
from labkit.faults import Candidate
from labkit.parts import Fault
from labkit.senses import sensed
from labkit.solver import solve
from tests.boats import EXERCISES

WAYS = ("advice", "half-splitting", "follow the wire")


@dataclass
class Case:
    """A circuit as found, the load complained of, and the positions it should run in."""

    name: str
    circuit: Circuit
    load: str
    on: Mapping[str, str]


def cases() -> Iterator[Case]:
    """One case for each shipped circuit: the load of its first exercise that can be seen to run."""
    seen = set()
    for path in sorted(EXERCISES.glob("*.toml")):
        exercise = load_exercise(path)
        name = exercise.circuit.file.rsplit("/", 1)[-1].removesuffix(".toml")
        circuit = exercise.circuit
        if name not in seen and exercise.proof.load in sensed(circuit, solve(circuit)):
            seen.add(name)
            on = moved(circuit, exercise.proof.positions)
            yield Case(name, circuit, exercise.proof.load, on)


def dealt(candidate: Candidate, chance: random.Random) -> tuple[Fault, ...]:
    """The candidate's faults, each amount drawn evenly on a log scale within its interval."""
    low, high = candidate.ends()
    made = []
    for a, b in zip(low, high, strict=True):
        if a.value is None or b.value is None or a.value == b.value:
            made.append(a)
        elif a.amount.endswith("%"):
            value = chance.uniform(a.value, b.value)
            made.append(replace(a, value=value, amount=f"{100 * value:.6g} %"))
        else:
            value = math.exp(chance.uniform(math.log(a.value), math.log(b.value)))
            made.append(replace(a, value=value, amount=f"{value:.6g} ohm"))
    return tuple(made)


def shows(circuit: Circuit, case: Case) -> str:
    """What the load does when it should run."""
    on = circuit.with_position(**case.on)
    return sensed(on, solve(on))[case.load]


def deals(case: Case, start: Diagnosis, count: int, seed: int = 1) -> Iterator[Circuit]:
    """Circuits with a fault that shows, drawn by prior weight."""
    chance = random.Random(f"{case.name}/{seed}")
    rows = start.known.rows
    sound = shows(case.circuit, case)
    given = 0
    while given < count:
        row = chance.choices(rows, weights=list(start.known.prior))[0]
        faulty = replace(case.circuit, faults=dealt(row.candidate, chance))
        if shows(faulty, case) != sound:
            given += 1
            yield faulty


def searched(case: Case, adviser: Adviser, faulty: Circuit) -> list[Search]:
    """The three ways after the same fault."""
    start = complaint(adviser.start, observer(faulty), case.load, case.on)
    ways: list[Way] = [
        advised(adviser),
        half_splitting(case.circuit, case.load, case.on),
        following_the_wire(case.circuit, case.load, case.on),
    ]
    return [search(start, observer(faulty), way, adviser) for way in ways]


def main(count: int = 30) -> None:
    """Print the table."""
    head = f"{'circuit':15s} {'way':16s} {'mean':>6s} {'worst':>6s} {'minutes':>8s} {'worst':>6s} "
    print(head + f"{'complete':>9s} {'right':>6s}")
    for case in cases():
        began = time.time()
        adviser = Adviser(Diagnosis(case.circuit))
        found: list[list[tuple[Search, bool]]] = [[] for _ in WAYS]
        for faulty in deals(case, adviser.start, count):
            name = Candidate(faulty.faults).name
            for way, done in zip(found, searched(case, adviser, faulty), strict=True):
                way.append((done, name in done.named))
        for label, hunts in zip(WAYS, found, strict=True):
            counts, minutes = [h.count for h, _ in hunts], [h.minutes for h, _ in hunts]
            complete = sum(h.complete for h, _ in hunts) / len(hunts)
            right = sum(ok for _, ok in hunts) / len(hunts)
            print(
                f"{case.name:15s} {label:16s} {sum(counts) / len(counts):6.1f} {max(counts):6d} "
                f"{sum(minutes) / len(minutes):8.1f} {max(minutes):6.0f} "
                f"{complete:9.0%} {right:6.0%}"
            )
        print(f"{'':15s} {count} faults, {time.time() - began:.0f} s", flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))

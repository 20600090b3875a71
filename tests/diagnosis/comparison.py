"""Advice beside half-splitting and following the wire, every fault of the shipped circuits in turn.

    python -m tests.diagnosis.comparison [severities] [circuit ...]

Each part and mode is dealt that makes the load do something else than it should, in so many of its
severities (one, unless said otherwise), each drawn within the interval of a candidate. All three
ways draw the same conclusions from the same kind of readings. A fault is isolated where what
remains at the end is its name, alone or with names that no measurement in reach tells from it.
"""

from __future__ import annotations

import math
import random
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.diagnosis import Adviser, Diagnosis
from labkit.diagnosis.cost import moved
from labkit.diagnosis.faults import Candidate
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.phrases import listing
from labkit.diagnosis.search import (
    Search,
    Way,
    advised,
    complaint,
    following_the_wire,
    half_splitting,
    search,
)
from labkit.exercises.exercise import load_exercise
from labkit.measuring.senses import sensed
from labkit.parts import Fault
from labkit.solving.solver import solve
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


def deals(case: Case, start: Diagnosis, severities: int = 1) -> Iterator[Circuit]:
    """Circuits with each part and mode in turn that shows, in so many severities."""
    known, sound = start.known, shows(case.circuit, case)
    chance = random.Random(case.name)
    for number in range(len(known.names)):
        rows = np.flatnonzero(known.name_of == number).tolist()
        boats = (
            replace(case.circuit, faults=dealt(known.rows[n].candidate, chance))
            for n in chance.sample(rows, len(rows))
        )
        yield from islice((boat for boat in boats if shows(boat, case) != sound), severities)


def searched(case: Case, adviser: Adviser, faulty: Circuit) -> list[Search]:
    """The three ways after the same fault."""
    start = complaint(adviser.start, Observer(faulty), case.load, case.on)
    ways: list[Way] = [
        advised(adviser),
        half_splitting(case.circuit, case.load, case.on),
        following_the_wire(case.circuit, case.load, case.on),
    ]
    return [search(start, Observer(faulty), way, adviser) for way in ways]


def main(severities: int = 1, *names: str) -> None:
    """Print the table."""
    print(
        f"{'circuit':13s} {'faults':>6s}  {'way':16s} {'mean':>5s} {'worst':>5s} "
        f"{'minutes':>7s} {'worst':>5s}  isolated"
    )
    for case in cases():
        if names and case.name not in names:
            continue
        adviser = Adviser(Diagnosis(case.circuit))
        boats = list(deals(case, adviser.start, severities))
        done = [searched(case, adviser, faulty) for faulty in boats]
        for label, hunts in zip(WAYS, zip(*done, strict=True), strict=True):
            print(
                f"{case.name:13s} {len(boats):6d}  {label:16s} {figures(boats, hunts)}", flush=True
            )
        for faulty, (hunt, *_) in zip(boats, done, strict=True):
            if not isolated(faulty, hunt):
                fault = " + ".join(map(str, faulty.faults))
                print(f"    {fault}: ends at {listing(hunt.named)}", flush=True)


def figures(boats: Sequence[Circuit], hunts: Sequence[Search]) -> str:
    """Measurements and minutes, their mean and worst, and how many faults were isolated."""
    counts, minutes = [h.count for h in hunts], [h.minutes for h in hunts]
    found = sum(map(isolated, boats, hunts))
    return (
        f"{sum(counts) / len(hunts):5.1f} {max(counts):5d} {sum(minutes) / len(hunts):7.1f} "
        f"{max(minutes):5.0f}  {'all' if found == len(boats) else f'{found} of {len(boats)}'}"
    )


def isolated(faulty: Circuit, hunt: Search) -> bool:
    """Tell whether a hunt ended at what was dealt, or what cannot be told from it."""
    return hunt.complete and Candidate(faulty.faults).name in hunt.named


if __name__ == "__main__":
    main(*(int(word) if word.isdigit() else word for word in sys.argv[1:]))

"""Honest readings must never strike out what is really wrong.

    python -m tests.diagnosis.campaign [hunts per circuit] [circuit ...]

Each hunt deals a fault with a severity drawn within its interval, on a boat a little off its
drawing (battery, cable lengths, motors), and reads with a meter a little off within its accuracy;
six random measurements, and the candidate dealt must stay standing.
"""

from __future__ import annotations

import random
import sys
import time
from dataclasses import replace

from labkit.circuits.circuit import Circuit
from labkit.diagnosis import Diagnosis, Measurement
from labkit.diagnosis.hypotheses import Hypotheses
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.reach import clamp_places, lead_pairs, switch_states
from labkit.measuring import meter
from labkit.measuring.meter import FUNCTIONS
from labkit.measuring.senses import words_of
from labkit.parts import Battery, Cable, MotorLoad
from labkit.text.quantities import show
from tests.boats import CIRCUITS, shipped
from tests.diagnosis.comparison import dealt

READINGS = 6


def off_its_drawing(circuit: Circuit, rng: random.Random) -> Circuit:
    """The circuit with battery, cable lengths and motor windings a little different."""
    changed = {}
    for id, part in circuit.parts.items():
        if isinstance(part, Battery) and part.emf is not None:
            changed[id] = part.model_copy(update={"emf": part.emf * rng.uniform(0.99, 1.01)})
        elif isinstance(part, Cable) and part.length is not None:
            changed[id] = part.model_copy(update={"length": part.length * rng.uniform(0.99, 1.01)})
        elif isinstance(part, MotorLoad) and part.current is not None:
            current = part.current * rng.uniform(0.99, 1.01)
            changed[id] = part.model_copy(update={"current": current})
    return replace(circuit, parts={**circuit.parts, **changed})


def off_its_mark(shown: meter.Reading, rng: random.Random) -> str:
    """What a meter with an error of its own, within its accuracy, would have shown."""
    if shown.value is None:
        return shown.display
    middle = (shown.low + shown.high) / 2
    value = middle + rng.uniform(-1, 1) * (shown.high - shown.low) / 2
    if abs(value) >= FUNCTIONS[shown.function].ranges[-1]:
        return shown.display
    return show(value, shown.unit, 4) if abs(value) > 1e-6 else f"0 {shown.unit}"


def struck_by_honest_readings(name: str, known: Hypotheses, rng: random.Random) -> list[str]:
    """Deal a fault, measure at random, and return what struck it out: nothing, if all is well."""
    circuit = shipped(name)
    row = rng.choices(known.rows, weights=list(known.prior))[0]
    faulty = replace(off_its_drawing(circuit, rng), faults=dealt(row.candidate, rng))
    observe = Observer(faulty)
    diagnosis = Diagnosis(circuit, known=known)
    states, pairs, wires = (
        list(switch_states(circuit)), list(lead_pairs(circuit)), clamp_places(circuit),
    )  # fmt: skip  # rows that a reader compares
    loads = [part.id for part in circuit.parts.values() if part.seen and words_of(part)]
    for _ in range(READINGS):
        state, kind = rng.choice(states), rng.random()
        if kind < 0.6:
            measurement = Measurement("volts", *rng.choice(pairs), state)
        elif kind < 0.8 or not loads:
            measurement = Measurement("clamp", rng.choice(wires), "", state)
        else:
            measurement = Measurement("look", rng.choice(loads), "", state)
        shown = observe(measurement)
        if measurement.function in FUNCTIONS:
            shown = off_its_mark(observe.reading, rng) if observe.reading else shown
        diagnosis.see(measurement.saw(shown))
        if row.candidate.name not in diagnosis.remaining():
            faults = " + ".join(map(str, faulty.faults))
            return [f"{faults}: struck out by {measurement} {shown}"]
    return []


def main(count: int = 200, *names: str) -> None:
    """Run the campaign and print what fell."""
    for name in names or [path.stem for path in CIRCUITS]:
        began, known = time.time(), Hypotheses(shipped(name))
        fell = []
        for seed in range(count):
            fell += struck_by_honest_readings(name, known, random.Random(f"{name}/{seed}"))
        print(f"{name:15s} {count} hunts, {len(fell)} struck out, {time.time() - began:.0f} s")
        for line in fell[:5]:
            print(f"    {line}", flush=True)


if __name__ == "__main__":
    main(*(int(a) if a.isdigit() else a for a in sys.argv[1:]))

"""Random states of a boat: switches, faults, connections taken apart, jumpers. Seeded."""

from __future__ import annotations

import random

from labkit.circuits.circuit import Circuit
from labkit.parts.laws import Linear


def every_fault(circuit: Circuit) -> list[str]:
    """Every failure mode of every part, with each of its typical amounts."""
    return [
        f"{part.id} {mode} {amount}".strip()
        for part in circuit.parts.values()
        for mode, facts in part.modes.items()
        for amount in facts.amounts or ("",)
    ]


def random_state(circuit: Circuit, rng: random.Random, most_faults: int = 3) -> Circuit:
    """The circuit with random positions and faults; now and then disturbed, parted or bridged."""
    made = circuit
    for id in circuit.positions:
        part = circuit.parts[id]
        words = part.choices or tuple(getattr(part, "positions", ()))
        made = made.with_position(**{id: rng.choice([*words, circuit.positions[id]])})
    faults = every_fault(circuit)
    made = made.with_fault(*rng.sample(faults, rng.randint(0, most_faults)))
    terminals = [m for m in circuit.node_of if ":" in m]
    if rng.random() < 0.2:
        made = made.with_parted(rng.choice(terminals))
    if rng.random() < 0.2:
        made = made.with_disturbed(*(f.part for f in made.faults))
    if rng.random() < 0.1:
        ends = rng.sample(list(circuit.node_of), 2)
        made = made.with_bridge("jumper", "jumper", *ends, Linear.resistor(0.02), 10.0)
    return made

"""A hunt on a real boat, the own-boat advice followed to its end."""

from dataclasses import dataclass, field

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.cost import Visit, moved
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.diagnosis.faults import in_use
from labkit.ownboat.advice import Adviser
from labkit.ownboat.boat import Boat
from labkit.ownboat.complaints import Complaint
from labkit.ownboat.inference import Inference
from labkit.ownboat.remains import Remains, remains
from labkit.parts.traits import Trait

MOST = 14
"""Readings after which a hunt is given up."""


@dataclass
class Hunt:
    """How one went: what stood first at the end, and what was believed on the way."""

    found: Remains
    readings: int
    evidence: list[Evidence] = field(default_factory=list)
    steps: list[tuple[float, tuple[str, ...]]] = field(default_factory=list)


def first_looks(boat: Boat) -> list[Measurement]:
    """A look at every load in use, and the battery at rest."""
    circuit = boat.circuit
    on = moved(circuit, in_use(circuit)[0])
    looks = [
        Measurement("look", id, positions=on)
        for id, part in circuit.parts.items()
        if Trait.LOAD in part.traits and boat.sights
        and any(m.red == id and m.function == "look" for m in boat.sights)
    ]  # fmt: skip  # rows that a reader compares
    battery = next(p.id for p in circuit.parts.values() if p.kind == "battery")
    return [*looks, Measurement("volts", f"{battery}:+", f"{battery}:-")]


def hunt(boat: Boat, adviser: Adviser, owner, complaint: Complaint | None = None) -> Hunt:
    """Follow the advice until it says what it is, or has nothing more to say."""
    inference, visit = Inference(boat), Visit(boat.circuit)
    if complaint is not None:
        inference.see(complaint)
    seen: list[Evidence] = []

    def take(m: Measurement) -> None:
        evidence = owner(m)
        seen.append(evidence)
        visit.go(evidence)
        inference.see(evidence)

    for m in first_looks(boat):
        take(m)
    made, readings = Hunt(remains(adviser, inference, visit, top=1), 0), 0
    while True:
        made.steps.append((shown(made.found), made.found.group))
        if made.found.settled or not made.found.next or readings >= MOST:
            break
        take(made.found.next[0].measurement)
        readings += 1
        made.found = remains(adviser, inference, visit, top=1)
    made.readings, made.evidence = readings, seen
    return made


def shown(found: Remains) -> float:
    """Belief in the likeliest name and those alike, as an owner reads it."""
    return sum(left.belief for left in found.remains if left.name in found.group)


def secret(circuit: Circuit, faults) -> Circuit:
    return circuit.with_fault(*faults)

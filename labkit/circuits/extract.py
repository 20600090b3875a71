"""Some runs of a boat by themselves, under the names and numbers they have aboard."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, fields
from functools import cached_property
from types import MappingProxyType

from labkit.circuits.circuit import Circuit
from labkit.circuits.tracing import Run, TestPoint
from labkit.parts import Part


@dataclass(frozen=True, repr=False)
class Extract(Circuit):
    """Some runs of a boat; what is asked of other parts and points is asked of the boat.

    Attributes
    ----------
    boat : Circuit
        The whole of her.
    """

    boat: Circuit = field(default_factory=lambda: Circuit("", 12.0, (), {}))

    @cached_property
    def test_points(self) -> tuple[TestPoint, ...]:
        """Places a probe can touch here, by their numbers aboard."""
        found = []
        for point in self.boat.test_points:
            here = tuple(t for t in point.terminals if t in self.node_of)
            if here or point.node in self.node_of:
                found.append(TestPoint(point.number, point.node, here or (point.node,)))
        return tuple(found)

    def part(self, id: str) -> Part:
        """Return a part of the boat, on these runs or not."""
        return self.parts[id] if id in self.parts else self.boat.part(id)

    def point(self, text: str) -> str:
        """Return a terminal or named node as it is spelt, of the boat's where it is not here."""
        return text if text in self.node_of else self.boat.point(text)


def extract(circuit: Circuit, runs: Iterable[Run], title: str = "") -> Extract:
    """Take some of a circuit's runs out, as it is now; what is clipped on stays behind."""
    taken = tuple(runs)
    met = {step.part for run in taken for step in run.passes}
    parts = MappingProxyType({id: part for id, part in circuit.parts.items() if id in met})
    kept = {f.name: getattr(circuit, f.name) for f in fields(Circuit)}
    kept |= {"title": title or circuit.title, "runs": taken, "parts": parts, "bridges": ()}
    kept |= {"parted": frozenset(t for t in circuit.parted if t.partition(":")[0] in met)}
    kept |= {"faults": tuple(f for f in circuit.faults if f.part in met), "water": None}
    return Extract(**kept, boat=circuit)

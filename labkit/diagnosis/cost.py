"""What a measurement costs: the way to its places, switches moved, connections parted. [min]

Minutes are those of the bench (common practice, no source); a place costs its reach the first
time somebody gets there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from labkit.aboard.acts import ACTS
from labkit.aboard.leads import lead_minutes
from labkit.circuits.circuit import Circuit
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.measuring.meter import FUNCTIONS
from labkit.text.wording import counted


@dataclass
class Visit:
    """A person aboard: places reached, and the state the circuit was last brought into.

    Attributes
    ----------
    circuit : Circuit
        As found.
    positions : dict of str to str
        Of all switches now.
    parted : frozenset of str
        Terminals apart now, beside those apart in the circuit as found.
    reached : set of str
        Labels of the places where somebody has been.
    """

    circuit: Circuit
    positions: dict[str, str] = field(default_factory=dict)
    parted: frozenset[str] = frozenset()
    reached: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.circuit = self.circuit.unreduced()
        self._label = {m: j.label for j in self.circuit.junctions for m in j.members}
        self._reach = {
            j.label: min(
                (self.circuit.parts[m.split(":")[0]].reach for m in j.members if ":" in m),
                default=0.0,
            )
            / 60.0
            for j in self.circuit.junctions
        }
        self.positions = {**self.circuit.positions, **self.positions}

    @classmethod
    def after(cls, circuit: Circuit, evidence: Iterable[Evidence]) -> Visit:
        """Return where somebody stands who has found this evidence."""
        visit = cls(circuit)
        for item in evidence:
            visit.go(item)
        return visit

    def copy(self) -> Visit:
        """Return the same visit, to go on elsewhere."""
        return Visit(self.circuit, dict(self.positions), self.parted, set(self.reached))

    def label(self, place: str) -> str:
        """The node a terminal or named node is on, nothing taken apart."""
        return self._label[place]

    def key(self, item: Measurement) -> object:
        """Return what measurements share that are the same but for names or leads swapped."""
        places = (self._label.get(item.red, item.red), self._label.get(item.black, item.black))
        leads: object = frozenset(places) if item.function == "volts" else places
        there = tuple(sorted(moved(self.circuit, item.positions).items()))
        return item.function, leads, there, item.parted, item.jumper, item.lamp

    def way(self, places: Iterable[str]) -> float:
        """Time to get at places not reached yet. [min]"""
        labels = {self._label[place] for place in places}
        return sum(self._reach[label] for label in labels - self.reached)

    def change(self, positions: Mapping[str, str], parted: frozenset[str]) -> float:
        """Time to bring the circuit from the state it is in to another, ways apart. [min]"""
        wanted = {**self.circuit.positions, **positions}
        moved = sum(self.positions[id] != word for id, word in wanted.items())
        return (
            ACTS["switch"].minutes * moved
            + ACTS["part"].minutes * len(parted - self.parted)
            + ACTS["join"].minutes * len(self.parted - parted)
        )

    def state_places(self, positions: Mapping[str, str], parted: frozenset[str]) -> set[str]:
        """Places one must get at to bring the circuit into a state."""
        wanted = {**self.circuit.positions, **positions}
        return set(parted ^ self.parted) | {
            place
            for id, word in wanted.items()
            if self.positions[id] != word
            for place in ACTS["switch"].places(self.circuit, {"id": id, "to": word})
        }

    def minutes(self, measurement: Measurement) -> float:
        """Time a measurement takes from here. [min]"""
        there = places(measurement, self.circuit)
        there |= self.state_places(measurement.positions, measurement.parted)
        return (
            act_minutes(measurement)
            + self.change(measurement.positions, measurement.parted)
            + self.way(there)
            + self.leads(measurement)
        )

    def leads(self, measurement: Measurement) -> float:
        """Time for a long lead, where the meter's own do not reach from red to black. [min]"""
        if measurement.function not in FUNCTIONS or measurement.function == "clamp":
            return 0.0
        return lead_minutes(self.circuit, measurement.red, measurement.black)

    def go(self, measurement: Measurement) -> float:
        """Take a measurement: return its minutes, and remember where one has been."""
        minutes = self.minutes(measurement)
        there = places(measurement, self.circuit)
        there |= self.state_places(measurement.positions, measurement.parted)
        self.reached |= {self._label[place] for place in there}
        self.positions = {**self.circuit.positions, **measurement.positions}
        self.parted = measurement.parted
        return minutes


def moved(circuit: Circuit, positions: Mapping[str, str]) -> Mapping[str, str]:
    """Leave out the switches that stand there already."""
    there = {id: w for id, w in positions.items() if circuit.positions.get(id) != w}
    return MappingProxyType(dict(sorted(there.items(), key=lambda item: counted(item[0]))))


def act_minutes(measurement: Measurement) -> float:
    """Time of the act itself, the place reached and the circuit in its state. [min]"""
    bridges = ACTS["jumper"].minutes * bool(measurement.jumper)
    bridges += ACTS["test lamp"].minutes * bool(measurement.lamp)
    if measurement.function in FUNCTIONS:
        return bridges + ACTS["read"].minutes
    act = ACTS[measurement.function]
    beside = act.sense.beside if act.sense else ""
    return bridges + act.minutes + (ACTS[beside].minutes if beside else 0.0)


def places(measurement: Measurement, circuit: Circuit) -> set[str]:
    """Terminals and nodes a measurement needs somebody to get at."""
    found = {*measurement.jumper, *measurement.lamp}
    if measurement.function in FUNCTIONS:
        return found | {p for p in (measurement.red, measurement.black) if p}
    act = ACTS[measurement.function]
    return found | {*act.places(circuit, act.given((measurement.red, measurement.black)))}

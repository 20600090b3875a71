"""Whole searches, simulated: a fault is dealt, a way of searching is followed until it is named.

All ways of searching draw the same conclusions from what they see; they differ only in where they
look next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.ambiguity import SETTLED, settled
from labkit.diagnosis.cost import Visit, moved
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.diagnosis.ranking import Adviser
from labkit.diagnosis.session import Diagnosis, believed
from labkit.parts import Trait
from labkit.solving.solver import solve

MOST = 30
"""A search that has taken so many measurements is given up."""

Way = Callable[[Diagnosis, Visit], Measurement | None]
Observe = Callable[[Measurement], str]


@dataclass
class Search:
    """What was done, what each step left, what it took, and what was believed at the end."""

    evidence: list[Evidence] = field(default_factory=list)
    left: list[list[str]] = field(default_factory=list)
    minutes: float = 0.0
    named: list[str] = field(default_factory=list)
    complete: bool = False

    @property
    def count(self) -> int:
        """Measurements taken, the complaint apart."""
        return len(self.evidence)


def search(start: Diagnosis, observe: Observe, way: Way, adviser: Adviser) -> Search:
    """Search until what remains cannot be told apart, or the way has nothing more to offer.

    Parameters
    ----------
    start : Diagnosis
        With the complaint already in it; it is not changed.
    observe : callable
        Takes a measurement and returns what it shows.
    way : callable
        The next measurement from what is believed and where one stands, None to end.
    adviser : Adviser
        Knows what can be told apart.
    """
    diagnosis = start.copy()
    visit = Visit.after(start.circuit, start.evidence)
    done = Search()
    while done.count < MOST:
        if settled(adviser, diagnosis):
            done.complete = True
            break
        chosen = way(diagnosis, visit)
        if chosen is None:
            break
        done.minutes += visit.go(chosen)
        seen = chosen.saw(observe(chosen))
        diagnosis.see(seen)
        done.evidence.append(seen)
        done.left.append(believed(diagnosis))
    done.named = believed(diagnosis, SETTLED)
    return done


# -- ways of searching -----------------------------------------------------------------------------


def advised(adviser: Adviser) -> Way:
    """The best measurement by information a minute."""

    def way(diagnosis: Diagnosis, visit: Visit) -> Measurement | None:
        best = adviser.rank(diagnosis, visit, top=1, explained=False)
        return best[0].measurement if best else None

    return way


def half_splitting(circuit: Circuit, load: str, on: Mapping[str, str]) -> Way:
    """The voltage to DC- halfway along what is still suspected of what feeds a load."""
    return _along(circuit, load, on, lambda points: (len(points) - 1) // 2)


def following_the_wire(circuit: Circuit, load: str, on: Mapping[str, str]) -> Way:
    """The voltage to DC- at one point after another, from the battery on."""
    return _along(circuit, load, on, lambda points: 0)


def _along(
    circuit: Circuit, load: str, on: Mapping[str, str], pick: Callable[[list[Measurement]], int]
) -> Way:
    """A way along what carries the current of a load; where that is used up, part by part."""
    order = [step for run in circuit.runs for step in run.passes]
    amps = solve(circuit.with_position(**on)).amps
    carry = {id for id in circuit.parts if abs(amps.get(id) or 0.0) > 0.01 * abs(amps[load] or 1.0)}

    def way(diagnosis: Diagnosis, visit: Visit) -> Measurement | None:
        done = {visit.key(item) for item in diagnosis.evidence}
        faults = [f for name in believed(diagnosis, 0.99) for f in name.split(" + ")]
        likely = {fault.split()[0].split(":")[0] for fault in faults}
        suspects = [step for step in order if step.part in likely]
        points = [
            m
            for step in suspects
            if step.part in carry
            and circuit.node_of[step.second] != NEGATIVE
            and visit.key(m := Measurement("volts", step.second, NEGATIVE, on)) not in done
        ]
        if len(likely) > 1 and points:
            return points[pick(points)]
        for step in suspects:
            for m in closer(circuit, step.part, load, on):
                if visit.key(m) not in done:
                    return m
        return None

    return way


def closer(circuit: Circuit, id: str, load: str, on: Mapping[str, str]) -> Iterable[Measurement]:
    """What else is done about one suspected part: across it, its current, out of circuit."""
    part = circuit.parts[id]
    ways = [[f"{id}:{t}" for t in way] for way in part.ways()]
    first, second = [way for way in ways if circuit.node_of.keys() >= {*way}][-1]
    yield Measurement("volts", first, second, on)
    yield Measurement("clamp", first, "", on)
    if Trait.PROTECTION in part.traits:
        yield Measurement("pull", id, "", on)
        yield Measurement("fit", id, "", on)
    if Trait.NOT_OHMS not in part.traits:
        off = {p.id: p.off() for p in circuit.parts.values() if p.off() and p.id != id}
        yield Measurement("ohms", first, second, moved(circuit, off), frozenset({first}))
    if part.comes_and_goes:
        yield Measurement("wiggle", id, load, on)


def complaint(start: Diagnosis, observe: Observe, load: str, on: Mapping[str, str]) -> Diagnosis:
    """The first thing known: what the load does when it is asked to run."""
    look = Measurement("look", load, positions=on)
    return start.copy().see(look.saw(observe(look)))

"""What there is to measure: pairs of points, wires for the clamp, positions, within a memory."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.cost import moved
from labkit.diagnosis.faults import in_use
from labkit.diagnosis.positions import all_off
from labkit.text.messages import CircuitError

MOST_MEMORY = 300e6
"""What the tables of readings may take. Our choice. [byte]"""

_A_READING = 16  # two numbers and two codes, all standing side by side while they are made [byte]
_FEW = 4  # positions that are worth more than the pairs of points across several parts


def switch_states(circuit: Circuit) -> Iterator[Mapping[str, str]]:
    """Positions worth trying: as found, in use, one switch moved, everything off."""
    given: set[tuple[tuple[str, str], ...]] = set()

    def fresh(positions: Mapping[str, str]) -> Iterator[Mapping[str, str]]:
        made = moved(circuit, positions)
        key = tuple(made.items())
        if key not in given:
            given.add(key)
            yield made

    yield from fresh({})
    for positions in in_use(circuit):
        yield from fresh(positions)
    for part in circuit.parts.values():
        for word in part.settings():
            yield from fresh({part.id: word})
    yield from fresh(all_off(circuit))


def that_fit(
    circuit: Circuit, states: list[Mapping[str, str]], sets: int
) -> tuple[list[tuple[str, str]], list[Mapping[str, str]], str]:
    """Pairs of points and positions whose readings fit in memory, and what had to be left out."""
    pairs, wires = list(lead_pairs(circuit)), len(clamp_places(circuit))

    def fitting(pairs: list[tuple[str, str]]) -> int:
        return int(MOST_MEMORY / (_A_READING * sets * (len(pairs) + wires)))

    most, what = fitting(pairs), ""
    if most < min(_FEW, len(states)):
        pairs = [
            (red, black)
            for red, black in pairs
            if black == NEGATIVE or red.partition(":")[0] == black.partition(":")[0]
        ]
        most, what = fitting(pairs), "between points with one part between them or to DC-, and "
    size = f"{len(circuit.parts)} parts that can fail in {sets} ways"
    if most < 1:
        raise CircuitError(
            [
                f"{circuit.title}: {size} are more than can be weighed in "
                f"{MOST_MEMORY / 1e6:.0f} MB; say which parts are suspected, or draw the circuit "
                "complained of by itself"
            ]
        )
    if most >= len(states) and not what:
        return pairs, states, ""
    kept = states[:most]
    said = (
        f"{size}: to stay within {MOST_MEMORY / 1e6:.0f} MB, readings are looked for {what}"
        f"in {len(kept)} of {len(states)} positions of the switches."
    )
    return pairs, kept, said


def lead_pairs(circuit: Circuit) -> Iterator[tuple[str, str]]:
    """Every pair of test points, named by the part they are the ends of where there is one."""
    ends = {
        frozenset((circuit.node_of[f"{p.id}:{a}"], circuit.node_of[f"{p.id}:{b}"])): (
            f"{p.id}:{a}",
            f"{p.id}:{b}",
        )
        for p in circuit.parts.values()
        for a, b in p.ways()
        if {f"{p.id}:{a}", f"{p.id}:{b}"} <= set(circuit.node_of)
    }
    nodes = [point.node for point in circuit.test_points]
    for a, b in combinations(nodes, 2):
        if NEGATIVE in (a, b):
            yield (b if a == NEGATIVE else a), NEGATIVE
        else:
            yield ends.get(frozenset((a, b)), (a, b))


def clamp_places(circuit: Circuit) -> list[str]:
    """One terminal for each wire a clamp can go round."""
    return [
        f"{part.id}:{a}"
        for part in circuit.parts.values()
        for a, _ in part.ways()
        if f"{part.id}:{a}" in circuit.node_of
    ]

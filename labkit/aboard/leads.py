"""How far the meter's leads reach: points further apart along the wire need a long one."""

from __future__ import annotations

from functools import lru_cache
from heapq import heappop, heappush

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.parts import Cable

REACH = 2.0
"""Of both leads of a meter together. [m] Common practice, no source."""

LONG = 1.0
"""To run a long lead out and take it in. [min] Our choice."""


def lead_minutes(circuit: Circuit, red: str, black: str) -> float:
    """Minutes that a long lead costs between two points; 0 where the meter's own reach. [min]

    A lead on the negative bus costs none: it is clipped on once and stays.
    """
    if not black or NEGATIVE in (red, black):
        return 0.0
    return LONG if _reach(_Wired(circuit)).metres(red, black) > REACH else 0.0


class _Wired:
    """A circuit as a key: the same runs are the same wires, whatever state they are in."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit

    def __hash__(self) -> int:
        return id(self.circuit.runs)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Wired) and self.circuit.runs is other.circuit.runs


@lru_cache(maxsize=8)
def _reach(key: _Wired) -> _Reach:
    return _Reach(key.circuit)


class _Reach:
    """Metres of wire between the places of a circuit."""

    def __init__(self, circuit: Circuit) -> None:
        self._label = {m: j.label for j in circuit.junctions for m in j.members}
        self._ways: dict[str, list[tuple[float, str]]] = {}
        self._found: dict[str, dict[str, float]] = {}
        for run in circuit.runs:
            for step in run.passes:
                part = circuit.parts[step.part]
                far = (part.length or 0.0) if isinstance(part, Cable) else 0.0
                a, b = self._label[step.first], self._label[step.second]
                self._ways.setdefault(a, []).append((far, b))
                self._ways.setdefault(b, []).append((far, a))

    def metres(self, first: str, second: str) -> float:
        """Wire between two places by the shortest way; 0 where one is the negative bus. [m]"""
        a, b = self._label[first], self._label[second]
        if NEGATIVE in (a, b):
            return 0.0
        if a not in self._found:
            self._found[a] = self._from(a)
        return self._found[a].get(b, 0.0)

    def _from(self, start: str) -> dict[str, float]:
        found: dict[str, float] = {}
        waiting = [(0.0, start)]
        while waiting:
            far, here = heappop(waiting)
            if here not in found:
                found[here] = far
                for more, there in self._ways.get(here, ()):
                    heappush(waiting, (far + more, there))
        return found

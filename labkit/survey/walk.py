"""Walking a circuit from every source outward: what lies behind what, and how far along the wire.

A walk is about how the boat is wired, not about how it stands now: every switch counts as on,
every contact as made, every connection as joined, every fuse as whole. It goes along the positive
side as far as the next fuse or breaker, and through the loads it meets back to DC-::

    fed_through(circuit, "F2")[0].wires     # what F2 has to guard
    behind_source(circuit, "G1").protections   # {"F1": 0.0}: no wire before the first fuse
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from heapq import heappop, heappush
from math import inf
from typing import NamedTuple

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.parts import Cable, Part
from labkit.parts.conductors import allowed_amps
from labkit.parts.traits import Trait

ENGINE_SPACE = 50.0
"""A wire this warm lies in an engine space, as the rules take one. [C]"""

_CONTACTS = ("30", "87", "87a", "45")
"""Terminals of a relay's or solenoid's contact; its other terminals belong to a coil."""


@dataclass(frozen=True)
class Zone:
    """What lies behind a source or a protection, as far as the next protection.

    Attributes
    ----------
    start : str
        The terminal it was walked from, such as 'G1:+' or 'F2:2'.
    cables : mapping of str to float
        Wires on the positive side, each with the length of wire before it. [m]
    returns : tuple of str
        Wires that bring the current of these loads back to DC-.
    loads : tuple of str
    protections : mapping of str to float
        The next fuses and breakers, each with the length of wire before it. [m]
    sources : mapping of str to float
        Terminals of other sources met, each with the length of wire before it. [m]
    feeders : tuple of str
        Sources that can drive a current into it.
    """

    start: str
    cables: Mapping[str, float]
    returns: tuple[str, ...]
    loads: tuple[str, ...]
    protections: Mapping[str, float]
    sources: Mapping[str, float]
    feeders: tuple[str, ...] = ()

    @property
    def wires(self) -> tuple[str, ...]:
        """Ids of all its cables, out and back."""
        return (*self.cables, *self.returns)


class _Step(NamedTuple):
    """A part as it is met from one node on the way to another."""

    part: Part
    enter: str
    leave: str
    there: str

    @property
    def metres(self) -> float:
        return (self.part.length or 0.0) if isinstance(self.part, Cable) else 0.0

    @property
    def carries(self) -> bool:
        """Whether a short behind it draws its current through it, in this direction."""
        traits = self.part.traits
        if traits & (Trait.SOURCE | Trait.PROTECTION):
            return False
        if Trait.LOAD in traits:
            return self.enter in _CONTACTS and self.leave in _CONTACTS
        return Trait.JUNCTION not in traits or self.enter == self.part.terminals[0]

    def follows(self, through: Part | None) -> bool:
        """Whether a way may go on by it behind a part: a relay makes one throw or the other."""
        return through is not self.part or Trait.LOAD not in self.part.traits

    @property
    def loads(self) -> bool:
        """Whether it uses up the current that is led to it."""
        return Trait.LOAD in self.part.traits and not self.carries


_Came = dict[str, tuple[str, Part | None]]
"""Node to the node before it on a way, and the part between them."""


class Wiring:
    """A circuit as steps from node to node; made once, walked as often as wanted."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self._at = {m: j.label for j in circuit.junctions for m in j.members}
        self._steps: dict[str, list[_Step]] = {}
        for run in circuit.runs:
            for step in run.passes:
                a, b = self._at[step.first], self._at[step.second]
                part = circuit.parts[step.part]
                self._steps.setdefault(a, []).append(_Step(part, step.enter, step.leave, b))
                self._steps.setdefault(b, []).append(_Step(part, step.leave, step.enter, a))
        self._passable = {
            node: [s for s in steps if s.carries or Trait.PROTECTION in s.part.traits]
            for node, steps in self._steps.items()
        }
        """Steps that a current of any size takes: whatever carries, and whole fuses."""
        self._fed: dict[str, tuple[Zone, ...]] = {}
        self._ohms = {id: part.own_resistance for id, part in circuit.parts.items()}
        self._from: dict[str, _Came] = {}

    @property
    def sources(self) -> list[str]:
        """Ids of everything that can drive a current into a short, in tracing order."""
        return [id for id in self._with(Trait.SOURCE) if f"{id}:+" in self._at]

    @property
    def protections(self) -> list[str]:
        """Ids of the fuses and breakers, in tracing order."""
        return self._with(Trait.PROTECTION)

    def _with(self, trait: Trait) -> list[str]:
        return [part.id for part in self.circuit.parts.values() if trait in part.traits]

    def behind_source(self, id: str) -> Zone:
        """Walk from a source's positive terminal to the first protection on every way."""
        return self._walk(f"{id}:+", id, (id,))

    def fed_through(self, id: str) -> tuple[Zone, ...]:
        """Walk behind a protection, away from every source that can drive a current through it.

        Two zones where it is fed from both sides, none where no source reaches it.
        """
        if id in self._fed:
            return self._fed[id]
        first, second = (f"{id}:{t}" for t in self.circuit.parts[id].terminals[:2])
        feeders = {end: self._feeders(self._at[end], id) for end in (first, second)}
        self._fed[id] = tuple(
            self._walk(away, id, feeders[near])
            for near, away in ((first, second), (second, first))
            if feeders[near]
        )
        return self._fed[id]

    def ways_to(self, start: str, load: str) -> frozenset[str]:
        """Cables on any way from a terminal to a load, through whatever carries current."""
        here, goals = self._at[start], self._nodes_of(load)
        return frozenset(
            step.part.id for step in self._kept(here, goals, frozenset()) if step.metres
        )

    def way(self, start: str, goal: str) -> tuple[Part, ...] | None:
        """Parts on the way of least resistance from a terminal to another; None where none is."""
        here, there = self._at[start], self._at[goal]
        if here == there:
            return ()
        if there == NEGATIVE:  # near every load, while a search of everything is not
            came = self._search(here, there)
        else:
            came = self._from[here] = self._from.get(here) or self._search(here, "")
        return tuple(self._back(came, there)) if there in came else None

    def _search(self, start: str, goal: str) -> _Came:
        """Where each node is reached from with the least resistance, until the goal is."""
        came: _Came = {}
        waiting: list[tuple[float, int, str, str, Part | None]] = []
        heappush(waiting, (0.0, 0, start, "", None))
        order = 0
        while waiting:
            ohms, _, here, back, through = heappop(waiting)
            if here in came:
                continue
            came[here] = (back, through)
            if here == goal:
                break
            if here == NEGATIVE and back:
                continue
            for step in self._passable[here]:
                if not step.follows(through):
                    continue
                order += 1
                farther = ohms + self._ohms[step.part.id]
                heappush(waiting, (farther, order, step.there, here, step.part))
        return came

    def _back(self, came: _Came, here: str) -> list[Part]:
        found: list[Part] = []
        while (part := came[here][1]) is not None:
            found.insert(0, part)
            here = came[here][0]
        return found

    # -- walking ------------------------------------------------------------------------------

    def _walk(self, start: str, own: str, feeders: tuple[str, ...]) -> Zone:
        """Go along the positive side, the shortest wire first, then back from the loads met."""
        cables: dict[str, float] = {}
        loads: dict[str, str] = {}
        protections: dict[str, float] = {}
        sources: dict[str, float] = {}
        waiting = [(0.0, self._at[start], "")]
        seen: set[str] = set()
        while waiting:
            far, here, through = heappop(waiting)
            if here in seen or here == NEGATIVE:
                continue
            seen.add(here)
            for step in self._steps[here]:
                id = step.part.id
                if id == own or not step.follows(self.circuit.parts.get(through)):
                    continue
                if Trait.PROTECTION in step.part.traits:
                    protections.setdefault(id, far)
                elif Trait.SOURCE in step.part.traits:
                    sources.setdefault(f"{id}:{step.enter}", far)
                elif step.carries:
                    if isinstance(step.part, Cable):
                        cables.setdefault(id, far)
                    heappush(waiting, (far + step.metres, step.there, id))
                elif step.loads:
                    loads.setdefault(id, step.there)
        back = self._returns({node for node in loads.values() if node not in seen}, seen)
        return Zone(start, cables, back, tuple(loads), protections, sources, feeders)

    def _feeders(self, node: str, without: str) -> tuple[str, ...]:
        """Sources that reach a node through anything that carries, one part left out."""
        found = []
        for id in self.sources:
            seen, waiting = set(), [self._at[f"{id}:+"]]
            while waiting:
                here = waiting.pop()
                if here in seen or here == NEGATIVE:
                    continue
                seen.add(here)
                waiting += [s.there for s in self._passable[here] if s.part.id != without]
            if node in seen:
                found.append(id)
        return tuple(found)

    def _returns(self, starts: set[str], supply: Collection[str]) -> tuple[str, ...]:
        """Cables between loads and DC-; wires that end at another load carry none of it."""
        found: dict[str, None] = {}
        for start in sorted(starts - {NEGATIVE}):
            for step in self._kept(start, {NEGATIVE}, supply):
                if isinstance(step.part, Cable):
                    found.setdefault(step.part.id)
        return tuple(found)

    def _kept(self, start: str, goals: Collection[str], barred: Collection[str]) -> list[_Step]:
        """Steps on the ways from a node to others: all that are met, less every blind end."""
        met: dict[str, list[_Step]] = {}
        waiting = [start]
        while waiting:
            here = waiting.pop()
            if here in met or here in barred:
                continue
            met[here] = [] if here in goals else list(self._passable[here])
            waiting += [step.there for step in met[here]]
        ends = {node: {s.part.id for s in steps if s.there in met} for node, steps in met.items()}
        for goal in goals:
            ends[goal] = {s.part.id for n, steps in met.items() for s in steps if s.there == goal}
        beside: dict[str, list[str]] = {}
        for node, parts in ends.items():
            for id in parts:
                beside.setdefault(id, []).append(node)
        spared = {start, *goals}
        blind = [node for node in ends if len(ends[node]) < 2 and node not in spared]
        while blind:
            for id in ends.pop(blind.pop(), ()):
                for node in beside[id]:
                    if node in ends and id in ends[node]:
                        ends[node].discard(id)
                        if len(ends[node]) < 2 and node not in spared:
                            blind.append(node)
        if not any(ends[goal] for goal in goals):
            return []
        return [s for n, steps in met.items() if n in ends for s in steps if s.part.id in ends[n]]

    def _nodes_of(self, id: str) -> set[str]:
        return {
            self._at[t]
            for t in (f"{id}:{n}" for n in self.circuit.parts[id].terminals)
            if t in self._at
        }


def behind_source(circuit: Circuit, id: str) -> Zone:
    """Return what lies between a source's positive terminal and the first protections."""
    return Wiring(circuit).behind_source(id)


def fed_through(circuit: Circuit, id: str) -> tuple[Zone, ...]:
    """Return what a fuse or breaker guards: a zone for each side it can be fed from."""
    return Wiring(circuit).fed_through(id)


def area_now(circuit: Circuit, id: str) -> float | None:
    """Cross-section of a cable as it really is, a thinner piece in it counted. [m2]"""
    part = circuit.parts[id]
    thin = circuit.state_of(id).find("too thin")
    if thin is not None and isinstance(thin.value, float):
        return thin.value
    return part.area if isinstance(part, Cable) else None


def allowed_now(circuit: Circuit, id: str) -> float:
    """Current a cable may carry for good as it is and where it lies; inf where unknown. [A]"""
    part, area = circuit.parts[id], area_now(circuit, id)
    if not isinstance(part, Cable) or area is None:
        return inf
    return allowed_amps(area, part.insulation, part.bundle, in_engine_space(part))


def in_engine_space(part: Part) -> bool:
    """Tell whether a part lies where the rules reckon with 50 C."""
    placed = getattr(part, "place", "") == "engine space"
    return placed or getattr(part, "temperature", 0.0) >= ENGINE_SPACE


def thinnest_behind(circuit: Circuit, id: str) -> tuple[str, float] | None:
    """Return the cable behind a protection that may carry least, and what it may carry. [A]

    None where there is no cable of known size behind it.
    """
    wires = sorted({wire for zone in fed_through(circuit, id) for wire in zone.wires})
    carries = {w: allowed_now(circuit, w) for w in wires if area_now(circuit, w)}
    weakest = min(carries, key=lambda w: carries[w], default=None)
    return None if weakest is None else (weakest, carries[weakest])

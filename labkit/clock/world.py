"""A circuit as it is now: how warm its parts are, what they remember, what flows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any, NamedTuple, TypeVar

from labkit.circuits.circuit import Circuit
from labkit.clock import stages
from labkit.clock.bodies import (
    Body,
    Flow,
    ProtectionBody,
    State,
    Store,
    WindingBody,
    WireBody,
    bodies,
    wires_at,
)
from labkit.clock.warming import grows, warmed
from labkit.parts import Guard, Pull, Trip
from labkit.parts.laws import Floats, Law, Linear
from labkit.parts.rotor import Motor
from labkit.solving.network import Network, Settler, flatten, wires_of
from labkit.solving.newton import Solution
from labkit.solving.settling import settle
from labkit.solving.solver import OperatingPoint, operating_point
from labkit.text.messages import NoConvergenceError

Memory = Mapping[str, float]
B = TypeVar("B", bound=Body)

SETTLED = math.inf
"""Step of time in which everything quick has come to rest. [s]"""

_OPEN = 1e15  # what warms a branch that is not there is nothing [ohm]


class Look(NamedTuple):
    """What a circuit does at an instant: one state, or those it goes round in where it chatters."""

    net: Network
    cycle: list[tuple[Solution, dict[int, float]]]

    @property
    def chatters(self) -> bool:
        """Whether it does not come to rest."""
        return len(self.cycle) > 1

    @property
    def solution(self) -> Solution:
        """The state it is in, or the last one it goes round in."""
        return self.cycle[-1][0]


@dataclass
class _Base:
    """A network as it is when cold, and what of it changes with warmth and memory."""

    net: Network
    warm: list[tuple[int, str]]  # branches whose part warms
    recalls: tuple[str, ...]  # parts that remember something
    stores: tuple[str, ...]  # batteries; and chargers, for their stage
    warmed: dict[int, tuple[State, Law]] = field(default_factory=dict)  # when last looked at
    inner: dict[tuple[str, str], float] = field(default_factory=dict)


class World:
    """A circuit in time.

    Parameters
    ----------
    circuit : Circuit
    samples : mapping of str to float, optional
        Of fuses and breakers: this individual's opening times over those of its kind.

    Attributes
    ----------
    circuit : Circuit
        With what has happened to it since.
    bodies : dict of str to Body
    memory : dict of str to mapping
        What parts remember, as :attr:`labkit.parts.base.PartState.memory` has it.
    surfaces : dict of str to float
        What the plates' surface of each battery stands above its EMF by. [V]
    """

    def __init__(self, circuit: Circuit, samples: Mapping[str, float] | None = None) -> None:
        self.circuit = circuit
        self.samples = dict(samples or {})
        self.bodies = bodies(circuit, samples) | stages.keepers(circuit)
        self.memory: dict[str, Memory] = {}
        self.surfaces: dict[str, float] = {}
        self.devices: dict[str, float] = {}
        self._kinds: dict[type[Body], list[Any]] = {}
        self._wires = {id: self._beside(id) for id in self.bodies}
        self._bases: dict[Any, _Base] = {}
        self._inner: dict[tuple[str, str], float] = {}
        self.solves = 0

    def _beside(self, id: str) -> list[WireBody]:
        found = (self.bodies.get(wire) for wire in wires_at(self.circuit, id) if wire != id)
        return [body for body in found if isinstance(body, WireBody)]

    def of(self, kind: type[B]) -> list[B]:
        """Bodies of a kind."""
        if kind not in self._kinds:
            self._kinds[kind] = [body for body in self.bodies.values() if isinstance(body, kind)]
        return self._kinds[kind]

    def change(self, circuit: Circuit) -> None:
        """Take the circuit as somebody has changed it; what is new starts as warm as its air."""
        before, self.circuit = self.circuit, circuit
        changed = {f.part for f in set(before.faults) ^ set(circuit.faults)}
        if not changed:
            return
        fresh = bodies(circuit, self.samples) | stages.keepers(circuit)
        for id in changed & fresh.keys():
            old, new = self.bodies.get(id), fresh[id]
            if old is not None and len(old.state) == len(new.state):
                kept = not isinstance(old, ProtectionBody) or old.rated == new.rated  # type: ignore[attr-defined]
                new.state = old.state if kept else new.state
            self.bodies[id] = new
        self._kinds.clear()
        self._wires = {id: self._beside(id) for id in self.bodies}

    @property
    def recalls(self) -> tuple[str, ...]:
        """Parts that remember what went before: filaments, rotors."""
        return self._base().recalls

    @property
    def warm(self) -> tuple[str, ...]:
        """Parts that have a temperature of their own."""
        return tuple(id for id, body in self.bodies.items() if body.warms)

    @property
    def charged(self) -> tuple[str, ...]:
        """Batteries whose charge is kept."""
        return tuple(body.id for body in self.of(Store))

    @contextmanager
    def as_it_was(self, circuit: Circuit) -> Iterator[None]:
        """Look at an earlier circuit for a moment, as warm as things are now."""
        now, devices = self.circuit, dict(self.devices)
        self.circuit = circuit
        try:
            yield
        finally:
            self.circuit, self.devices = now, devices

    # -- the network as it is now --------------------------------------------------------------

    def _base(self) -> _Base:
        c = self.circuit
        places = tuple((b.id, b.first, b.second) for b in c.bridges)
        key = (tuple(sorted(c.positions.items())), c.faults, c.parted, places, c.disturbed)
        if key not in self._bases:
            net = flatten(c)
            held = [
                s._replace(device=replace(s.device, amps=math.inf))
                if isinstance(s.device, Trip) and s.owner in c.parts
                else s
                for s in net.settlers
            ]
            net = Network(net.node_of, net.wires, held)
            warm = [
                (n, wire.owner)
                for n, wire in enumerate(net.wires)
                if wire.owner in self.bodies and grows(wire.role)
            ]
            recalls = tuple(self._recalling())
            stores = tuple(body.id for body in (*self.of(Store), *self.of(stages.Stage)))
            self._bases[key] = _Base(net, warm, recalls, stores)
        return self._bases[key]

    @property
    def settlers(self) -> Sequence[Settler]:
        """Devices, as their parts describe them."""
        return self._base().net.settlers

    def _recalling(self) -> Iterator[str]:
        for id, part in self.circuit.parts.items():
            state = replace(self.circuit.state_of(id), dt=1.0)
            if any(
                b.law.after(b.law.start(), Floats)
                for b in part.model(state).branches
                if not isinstance(b.law, Linear)
            ):
                yield id

    def network(self, dt: float = SETTLED, cells: float | None = None) -> Network:
        """The network now, its parts as warm as they are, at the end of a step of time [s].

        With `cells`, everything quick has settled but the surfaces of batteries: so long a step.
        """
        base = self._base()
        net, step = base.net, dt if cells is None else cells
        laws: dict[int, Law] = {}
        for id in dict.fromkeys((*base.recalls, *base.stores)) if dt < SETTLED else base.stores:
            state = replace(self.circuit.state_of(id), memory=self._memory_of(id), dt=step)
            model = self.circuit.parts[id].model(state)
            for wire in wires_of(id, model.branches, net.node_of):
                laws[net.index[id, wire.role]] = wire.law
        for n, id in base.warm:
            if n in laws:
                continue  # told with all its part remembers
            body = self.bodies[id]
            if n not in base.warmed or base.warmed[n][0] != body.state:
                ohms, law = body.ohms(body.state), net.wires[n].law
                base.warmed[n] = body.state, warmed(law, ohms) if ohms else law
            laws[n] = base.warmed[n][1]
        return net.with_laws(laws)

    def _memory_of(self, id: str) -> Memory:
        kept, body = self.memory.get(id, MappingProxyType({})), self.bodies.get(id)
        names = {Store: "near", stages.Stage: "floats", WindingBody: "winding"}
        name = names.get(type(body))
        if id in self.surfaces:
            kept = {**kept, "surface": self.surfaces[id]}
        return {**kept, name: body.state[0]} if name and body else kept

    def look(self, dt: float = SETTLED, cells: float | None = None) -> Look:
        """Solve :meth:`network`, its devices going on from the state they were in.

        Raises
        ------
        NoConvergenceError
            If no solution is found.
        """
        states = {n: self.devices.get(s.owner, 0.0) for n, s in enumerate(self.settlers)}
        net = stages.patient(self.network(dt, cells), self.circuit, states)
        keys = [(net.wires[n].owner, net.wires[n].role) for n in net.curved]
        base, earlier = self._base(), None
        before = base.inner or self._inner
        if all(key in before for key in keys):
            earlier = {n: before[key] for n, key in zip(net.curved, keys, strict=True)}
        try:
            cycle = settle(net, states, earlier)
        except NoConvergenceError:
            if earlier is None:
                raise
            cycle = settle(net, states)  # a start from afresh may lead where the old one does not
        self.solves += len(cycle)
        inner = cycle[-1][0].inner
        base.inner = self._inner = {k: inner[n] for n, k in zip(net.curved, keys, strict=True)}
        return Look(net, cycle)

    def hold(self, look: Look) -> list[tuple[str, bool]]:
        """Leave relays, guards and electronics as found; which but the last changed, to what."""
        changed = []
        _, states = look.cycle[-1]
        for n, settler in enumerate(look.net.settlers):
            before = self.devices.get(settler.owner, 0.0)
            if isinstance(settler.device, Trip) and settler.owner in self.circuit.parts:
                continue
            if states[n] != before and isinstance(settler.device, Pull | Guard):
                changed.append((settler.owner, bool(states[n])))
            self.devices[settler.owner] = states[n]
        return changed

    def remember(self, look: Look, surfaces: bool = True) -> None:
        """Keep what the branches say they remember at the end of the step looked at."""
        found: dict[str, dict[str, float]] = {}
        for n, v in look.solution.inner.items():
            wire = look.net.wires[n]
            found.setdefault(wire.owner, {}).update(wire.law.after(v, Floats))
        self.memory.update({id: kept for id, kept in found.items() if kept})
        if surfaces:
            told = {id: kept["surface"] for id, kept in found.items() if "surface" in kept}
            self.surfaces.update(told)

    def flows(self, look: Look) -> dict[str, Flow]:
        """What every part carries, a mean over the states of a circuit that chatters."""
        share = 1.0 / len(look.cycle)
        found: dict[str, list[float]] = {id: [0.0, 0.0, 0.0] for id in self.circuit.parts}
        for solution, _ in look.cycle:
            for wire, amps in zip(look.net.wires, solution.amps, strict=True):
                sums = found.get(wire.owner)
                if sums is None or not amps or wire.role.startswith("leak"):
                    continue
                body = self.bodies.get(wire.owner)
                if body is not None and body.roles and wire.role not in body.roles:
                    continue
                across = solution.volts[wire.first] - solution.volts[wire.second]
                sums[0] += share * (-amps if wire.role.startswith("reversed") else amps)
                sums[1] += share * amps * amps
                sums[2] += share * wire.law.heat(across, amps)
        return {id: Flow(*sums) for id, sums in found.items()}

    def point(self, look: Look) -> OperatingPoint:
        """Read it as an operating point is read."""
        return operating_point(self.circuit, look.net, look.cycle)

    def speed(self, look: Look, id: str) -> float:
        """Speed of a motor as a fraction of rated, a mean over what it goes round in."""
        total = 0.0
        for solution, _ in look.cycle:
            for role in ("main", "reversed"):
                n = look.net.index.get((id, role))
                if n is not None and isinstance(law := look.net.wires[n].law, Motor):
                    total += float(law.speed(solution.inner[n], Floats))
        return total / len(look.cycle)

    # -- moving on ------------------------------------------------------------------------------

    def ends(self, flows: Mapping[str, Flow], seconds: float) -> dict[str, State]:
        """State of every body after a time at constant flows: wires first, then what is on them."""
        found: dict[str, State] = {}
        for wire in self.of(WireBody):
            found[wire.id] = wire.after(flows[wire.id], seconds, wire.ambient)
        for id, body in self.bodies.items():
            if id not in found:
                found[id] = body.after(flows[id], seconds, self._wire(id, body, found))
        return found

    def _wire(self, id: str, body: Body, ends: Mapping[str, State]) -> float:
        """Mean temperature of the wires at a part over a step. [C]"""
        beside, total = self._wires[id], 0.0
        for wire in beside:
            total += wire.state[0] + ends[wire.id][0]
        return total / (2 * len(beside)) if beside else body.ambient

    def take(self, states: Mapping[str, State], surfaces: Mapping[str, float]) -> None:
        """Begin as warm as parts were before, those that are still what they were."""
        self.surfaces.update(surfaces)
        fitting = {id: state for id, state in states.items() if id in self.bodies}
        self.put({id: s for id, s in fitting.items() if len(s) == len(self.bodies[id].state)})

    def put(self, states: Mapping[str, State]) -> dict[str, State]:
        """Bring bodies into these states; the states they were in."""
        before = {id: self.bodies[id].state for id in states}
        for id, state in states.items():
            self.bodies[id].state = state
        return before

    def celsius(self, id: str) -> float:
        """Temperature of a part, its air's where it does not warm. [C]"""
        body = self.bodies.get(id)
        return body.celsius if body is not None and body.warms else self.circuit.air_at(id)

    # -- times of temperatures -----------------------------------------------------------------

    def reaches(
        self, body: Body, flow: Flow, level: float, within: float, rising: bool = True
    ) -> float:
        """Time in which a body reaches a temperature at a constant flow, infinite if not. [s]"""

        def beyond(seconds: float) -> bool:
            here = self.later(body.id, flow, seconds)
            return here >= level if rising else here <= level

        if beyond(0.0):
            return _AT_ONCE
        if not beyond(within):
            return math.inf
        low, high = 0.0, within
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (low, middle) if beyond(middle) else (middle, high)
        return high

    def later(self, id: str, flow: Flow, seconds: float) -> float:
        """Temperature of a part after a time at a constant flow, its wires as they are. [C]"""
        body = self.bodies[id]
        wire = self._wire(id, body, {w.id: w.state for w in self._wires[id]})
        return body.at(body.after(flow, seconds, wire))


_AT_ONCE = 1e-6  # [s]

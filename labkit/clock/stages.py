"""What charges and shares a charge out by the clock: a charger's stages, a combiner's delay."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from labkit.circuits.circuit import Circuit
from labkit.clock.bodies import Body, Flow, State
from labkit.parts import Charger, Combiner, Pull
from labkit.parts.laws import Floats
from labkit.solving.network import Network
from labkit.solving.settling import wants

if TYPE_CHECKING:
    from labkit.clock.world import Look, World

_LEAST = 1e-6  # current of a charger that is on [A]
_SECONDS = 30.0  # of a stage's time that count as one tolerance
_NEARLY = 0.999  # of what it can give


@dataclass
class Stage(Body):
    """A charger's stage, and how long it has held its voltage: floats or not, seconds."""

    warms: ClassVar[bool] = False
    limit: float = 1.0
    holds: float = 7200.0  # before it floats [s]

    def after(self, flow: Flow, seconds: float, wire: float) -> State:
        floats, held = self.state
        if floats:
            return self.state
        if flow.amps <= _LEAST:  # off: it begins anew
            return (0.0, 0.0)
        return (0.0, held + seconds if flow.amps < _NEARLY * self.limit else held)

    def error(self, one: State, other: State) -> float:
        return abs(one[1] - other[1]) / _SECONDS

    def turns(self, flow: Flow, off: bool) -> float:
        """Time until it goes over to its other stage at a constant flow. [s]

        One that floats gives nothing for a while: batteries stand above its voltage at first.
        """
        floats, held = self.state
        gives_all = flow.amps >= _NEARLY * self.limit
        if floats:
            return 0.0 if gives_all or off else math.inf
        return max(self.holds - held, 0.0) if flow.amps > _LEAST and not gives_all else math.inf


def keepers(circuit: Circuit) -> dict[str, Body]:
    """What keeps the time of chargers, by part."""
    return {
        part.id: Stage(
            part.id,
            circuit.air_at(part.id),
            (1.0 if part.stage == "float" else 0.0, 0.0),
            limit=part.limit,
            holds=part.absorption,
        )
        for part in circuit.parts.values()
        if isinstance(part, Charger)
    }


def patient(net: Network, circuit: Circuit, states: Mapping[int, float]) -> Network:
    """A network in which no combiner moves by itself: its delay is the clock's to count."""
    if not any(isinstance(circuit.parts.get(s.owner), Combiner) for s in net.settlers):
        return net
    held = []
    for n, settler in enumerate(net.settlers):
        if isinstance(circuit.parts.get(settler.owner), Combiner):
            assert isinstance(settler.device, Pull)
            far = -math.inf if states[n] else math.inf
            settler = settler._replace(device=replace(settler.device, pull_in=far, drop_out=far))
        held.append(settler)
    return Network(net.node_of, net.wires, held, net.size)


class Patience:
    """Since when combiners have wanted to move, at what their two sides stand at."""

    def __init__(self, world: World) -> None:
        self.world = world
        self._since: dict[tuple[str, float], float] = {}  # by combiner, and the state it is in

    def restless(self, look: Look) -> dict[str, float]:
        """Combiners that would move, each with its delay. [s]"""
        found = {}
        for settler in self.world.settlers:
            part = self.world.circuit.parts.get(settler.owner)
            if isinstance(part, Combiner):
                state = self.world.devices.get(settler.owner, 0.0)
                if wants(look.net, settler, look.solution, state, Floats) != state:
                    found[part.id] = part.delay
        return found

    def begins(self, look: Look, later: Look) -> bool:
        """Tell whether one begins to wait, or waits no more, between two looks."""
        return self.restless(look) != self.restless(later)

    def events(
        self, look: Look, flows: Mapping[str, Flow], now: float
    ) -> list[tuple[float, str, str]]:
        """When they move, and chargers change, if nothing else does: in how long, what, which."""
        return [*self._moves(look, now), *turns(self.world, flows)]

    def _moves(self, look: Look, now: float) -> list[tuple[float, str, str]]:
        waiting = self.restless(look)
        keys = {id: (id, self.world.devices.get(id, 0.0)) for id in waiting}
        self._since = {key: self._since.get(key, now) for key in keys.values()}
        since = {id: self._since[key] for id, key in keys.items()}
        return [(max(since[id] + delay - now, 0.0), SWITCHES, id) for id, delay in waiting.items()]


def turns(world: World, flows: Mapping[str, Flow]) -> list[tuple[float, str, str]]:
    """When chargers go over to another stage at these flows: in how long [s], what, which."""
    off = {body.id: world.circuit.positions[body.id] == "off" for body in world.of(Stage)}
    return [(body.turns(flows[body.id], off[body.id]), STAGE, body.id) for body in world.of(Stage)]


STAGE, SWITCHES = KINDS = ("goes over", "switches")
"""Kinds of event: of chargers, of combiners."""


def happen(world: World, kind: str, id: str) -> tuple[str, str]:
    """Let a charger go over to its other stage, or a combiner move; what that is, in a sentence."""
    if kind == SWITCHES:
        closes = not world.devices.get(id, 0.0)
        world.devices[id] = 1.0 if closes else 0.0
        if closes:
            return "pulled in", f"{id} closes: it joins its two batteries."
        return "released", f"{id} opens: its two batteries are apart."
    body = world.bodies[id]
    floats = not body.state[0]
    body.state = (1.0 if floats else 0.0, 0.0)
    if floats:
        return "float", f"{id} has held its voltage long enough and goes over to float."
    return "absorption", f"{id} begins to charge again."

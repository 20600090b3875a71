"""What of each part warms: wires, contacts, fuses and breakers, windings.

A body holds its temperatures, says how much its part's resistance has grown, and moves on by an
exact step while the current is held. Steps are chosen by the course of events.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from random import Random
from typing import ClassVar, NamedTuple

from labkit.circuits.circuit import Circuit
from labkit.clock import copper
from labkit.clock.hot_spot import NOTHING, HotSpot
from labkit.clock.melting import Melting, melting_of
from labkit.parts import Battery, Cable, MotorLoad, Part
from labkit.parts.cells import NEAR, rest_voltage, settle_wells
from labkit.parts.conductors import TEMPERATURE_COEFFICIENT, cable_resistance
from labkit.parts.protection import Protection
from labkit.parts.traits import Trait

State = tuple[float, ...]

USUAL_AREA = 3.31e-6
"""Of the wire at a joint that no cable is drawn at: 12 AWG. [m2] Common practice, no source."""

WINDING_RISE = 60.0
"""Of a motor's winding at its rated loss. [K] Chosen."""

WINDING_TIME = 150.0
"""Time constant of a small motor's winding. [s] Chosen."""

COPPER_SHARE = 0.8
"""Of a small motor's resistance; the rest is brushes, which do not grow. Chosen."""

SELF_DISCHARGE = 0.002
"""Share of its capacity that a lead-acid battery at rest loses in a day. Chosen; 0.65 % is an old
one's 0.001 of specific gravity a day."""

_DEGREE, _FUSE_HEAT, _CHARGE = 1.0, 0.02, 0.01  # changes that count as one tolerance


class Flow(NamedTuple):
    """What a part's own branches carry, a mean over the states of a circuit that chatters.

    Attributes
    ----------
    amps : float
        From its first terminal to its second. [A]
    squared : float
        Mean square of it. [A2]
    watts : float
        Turned into heat. [W]
    """

    amps: float = 0.0
    squared: float = 0.0
    watts: float = 0.0

    def mean(self, other: Flow) -> Flow:
        """Half-way between two flows."""
        return Flow(*((a + b) / 2 for a, b in zip(self, other, strict=True)))


@dataclass
class Body:
    """What warms of one part, in air of `ambient` [C]."""

    id: str
    ambient: float
    state: State = ()

    roles: tuple[str, ...] = ()
    """Branches whose heat warms it; none: all but a leak's."""

    warms: ClassVar[bool] = True

    @property
    def celsius(self) -> float:
        """Temperature that a hand or a spot thermometer meets. [C]"""
        return self.state[0]

    @property
    def charge(self) -> float:
        """State of charge, of a battery."""
        raise NotImplementedError

    def after(self, flow: Flow, seconds: float, wire: float) -> State:
        """State after a time at a constant flow, its wires at `wire` [C]."""
        raise NotImplementedError

    def error(self, one: State, other: State) -> float:
        """Distance of two states, in tolerances."""
        return max(abs(a - b) for a, b in zip(one, other, strict=True)) / _DEGREE

    def ohms(self, state: State) -> float:
        """What warmth adds to the resistance the part is drawn with, in some state. [ohm]"""
        return 0.0

    def drift(self, flow: Flow, begin: State, end: State) -> float:
        """How far the part's voltage is another in another state, at the same flow. [V]"""
        grown = self.ohms(end) - self.ohms(begin)
        return abs(grown) * math.sqrt(flow.squared) if grown else 0.0

    def at(self, state: State) -> float:
        """Temperature in some state of it. [C]"""
        return state[0]


@dataclass
class WireBody(Body):
    """A wire: one mass of copper."""

    area: float = USUAL_AREA
    insulation: int = 105
    length: float = 1.0
    drawn: float = 0.0

    def after(self, flow: Flow, seconds: float, wire: float) -> State:
        if not flow.squared and abs(self.state[0] - self.ambient) < NOTHING:
            return self.state[:1]
        here = copper.warmed(
            self.state[0], flow.squared, seconds, self.area, self.ambient, self.insulation
        )
        return (min(here, copper.MELTS),)

    def ohms(self, state: State) -> float:
        return cable_resistance(self.area, self.length, state[0]) - self.drawn


@dataclass
class ContactBody(Body):
    """A joint, a contact or an instrument's shunt, with its wires as fins."""

    spot: HotSpot = field(default_factory=lambda: HotSpot((USUAL_AREA, USUAL_AREA)))

    def after(self, flow: Flow, seconds: float, wire: float) -> State:
        return self.spot.after(self.state[:2], flow.watts, seconds, self.ambient, wire)


@dataclass
class CorrodedWire(WireBody):
    """A wire that is corroded at one place: it warms as a wire, and there as a joint."""

    spot: HotSpot = field(default_factory=lambda: HotSpot((USUAL_AREA, USUAL_AREA)))
    added: float = 0.0

    def after(self, flow: Flow, seconds: float, wire: float) -> State:
        (whole,) = super().after(flow, seconds, wire)
        made = flow.squared * self.added
        far = (self.state[0] + whole) / 2
        return (whole, *self.spot.after(self.state[1:3], made, seconds, self.ambient, far))

    @property
    def celsius(self) -> float:
        return self.state[1]

    def at(self, state: State) -> float:
        return state[1]


@dataclass
class ProtectionBody(Body):
    """A fuse or breaker: the heat in its element, and its clips or terminals as a contact.

    A hand meets the clips; the element's heat is what opens it.
    """

    melting: Melting = field(default_factory=lambda: melting_of("blade", 10.0))
    rated: float = 10.0
    sample: float = 1.0
    cold: float = 0.0
    spot: HotSpot = field(default_factory=lambda: HotSpot((USUAL_AREA, USUAL_AREA)))

    @property
    def heat(self) -> tuple[float, float]:
        """Heat of the element, quick and slow, as shares of what opens it."""
        return self.state[0], self.state[1]

    def after(self, flow: Flow, seconds: float, wire: float) -> State:
        heat = self.melting.after(self.heat, flow.squared / self.rated**2, seconds, self.sample)
        return (*heat, *self.spot.after(self.state[2:4], flow.watts, seconds, self.ambient, wire))

    def opens_after(self, flow: Flow, within: float) -> float:
        """Time until it opens at a constant flow, infinite where it does not. [s]"""
        squared = flow.squared / self.rated**2
        return self.melting.opens_after(self.heat, squared, self.ambient, within, self.sample)

    def ohms(self, state: State) -> float:
        return self.cold * self.melting.growth((state[0], state[1]))

    def error(self, one: State, other: State) -> float:
        heat = abs(sum(one[:2]) - sum(other[:2])) / _FUSE_HEAT
        return max(heat, super().error(one[2:], other[2:]))

    @property
    def celsius(self) -> float:
        return self.state[2]

    def at(self, state: State) -> float:
        return state[2]


@dataclass
class WindingBody(Body):
    """A motor's winding: one mass, its resistance growing as copper's does."""

    rise: float = 1.0  # for each watt, in the end [K/W]
    sound: float = 0.0  # resistance when cold [ohm]

    def after(self, flow: Flow, seconds: float, wire: float) -> State:
        end = self.ambient + self.rise * flow.watts
        return (end + (self.state[0] - end) * copper.left(seconds, WINDING_TIME),)

    def ohms(self, state: State) -> float:
        grown = TEMPERATURE_COEFFICIENT * (state[0] - 20.0)
        return self.sound * COPPER_SHARE * grown


@dataclass
class Store(Body):
    """A battery's charge, by counting ampere-hours: near its plates and in the bulk of them."""

    warms: ClassVar[bool] = False
    capacity: float = 360e3  # [C]
    system: float = 12.0
    chemistry: str = "flooded"

    def after(self, flow: Flow, seconds: float, wire: float) -> State:
        share = -flow.amps / self.capacity - SELF_DISCHARGE / 86400.0
        near, bulk = settle_wells(self.state[0], self.state[1], share, seconds)
        return min(near, 1.0), min(max(bulk, 0.0), 1.0)  # what goes in beyond that is gas

    @property
    def charge(self) -> float:
        """State of charge."""
        return NEAR * self.state[0] + (1 - NEAR) * self.state[1]

    def error(self, one: State, other: State) -> float:
        return max(abs(a - b) for a, b in zip(one, other, strict=True)) / _CHARGE

    def drift(self, flow: Flow, begin: State, end: State) -> float:
        now, then = (rest_voltage(c[0], self.system, self.chemistry) for c in (begin, end))
        return abs(now - then)


def bodies(circuit: Circuit, samples: Mapping[str, float] | None = None) -> dict[str, Body]:
    """Return what warms in a circuit, every part at the temperature of its air.

    Parameters
    ----------
    circuit : Circuit
    samples : mapping of str to float, optional
        Of fuses and breakers: this individual's opening times over those of its kind.
    """
    made = (
        _body(circuit, part, (samples or {}).get(id, 1.0)) for id, part in circuit.parts.items()
    )
    return {body.id: body for body in made if body is not None}


def individuals(circuit: Circuit, lot: str) -> dict[str, float]:
    """Opening times of this boat's own fuses and breakers over those of their kinds.

    Drawn within the spread that keeps every published limit, the middle the likeliest (our choice).

    Parameters
    ----------
    circuit : Circuit
    lot : str
        The same for the same individuals.
    """
    found = {}
    for part in circuit.parts.values():
        if isinstance(part, Protection):
            least, most = map(math.log, melting_of(part.curve, part.rated).spread)
            found[part.id] = math.exp(Random(f"{lot}/{part.id}").triangular(least, most, 0.0))
    return found


def _body(circuit: Circuit, part: Part, sample: float) -> Body | None:
    air = circuit.air_at(part.id)
    state = circuit.state_of(part.id)
    if isinstance(part, Cable):
        return _wire(circuit, part, air)
    if isinstance(part, Protection):
        rated = float(part.fitted(state))
        melting = melting_of(part.curve, rated)
        return ProtectionBody(
            part.id,
            air,
            (0.0, 0.0, air, air),
            melting=melting,
            rated=rated,
            sample=sample,
            cold=part.own_resistance,
            spot=_spot(circuit, part.id),
        )
    if isinstance(part, MotorLoad):
        sound = part.winding(circuit.system)
        loss = part.amps(circuit.system) ** 2 * sound
        left = 1.0 - min(float(state.amount("shorted winding")), 0.95) / 2
        return WindingBody(part.id, air, (air,), rise=WINDING_RISE / loss, sound=sound * left)
    if isinstance(part, Battery) and part.capacity and part.charge is not None:
        low = state.find("low")
        first = float(part.charge if low is None or low.value is None else low.value)
        return Store(
            part.id,
            air,
            (first, first),
            capacity=part.capacity * part.health,
            system=circuit.system,
            chemistry=part.chemistry,
        )
    if Trait.CONTACT in part.traits:
        spot = _spot(circuit, part.id)
        return ContactBody(part.id, air, (air, air), roles=_roles(part), spot=spot)
    return None


def _roles(part: Part) -> tuple[str, ...]:
    """Branches of its contact alone, where a part has windings too."""
    apart = [way for way in part.ways() if way not in part.uses()]
    return (*(role for way in apart for role in part.roles(way)), "short") if part.uses() else ()


def _wire(circuit: Circuit, part: Cable, air: float) -> Body | None:
    state = circuit.state_of(part.id)
    thin = state.find("too thin")
    area = thin.value if thin is not None else part.area
    if area is None or part.length is None or part.resistance is not None:
        return None
    insulation = int(getattr(part, "insulation", None) or 105)
    drawn = float(cable_resistance(area, part.length, part.temperature))
    added = float(state.amount("resistance"))
    if added:
        spot = HotSpot((area, area), insulation)
        return CorrodedWire(
            part.id,
            air,
            (air, air, air),
            area=area,
            insulation=insulation,
            length=part.length,
            drawn=drawn,
            spot=spot,
            added=added,
        )
    return WireBody(
        part.id, air, (air,), area=area, insulation=insulation, length=part.length, drawn=drawn
    )


def _spot(circuit: Circuit, id: str) -> HotSpot:
    areas = tuple(_area(circuit, near) for near in wires_at(circuit, id))
    return HotSpot(areas or (USUAL_AREA, USUAL_AREA))


def _area(circuit: Circuit, id: str) -> float:
    part = circuit.parts[id]
    assert isinstance(part, Cable)
    thin = circuit.state_of(id).find("too thin")
    area = thin.value if thin is not None else part.area
    return float(area or USUAL_AREA)


def wires_at(circuit: Circuit, id: str) -> tuple[str, ...]:
    """Cables that carry heat away from a part: the nearest on each side of every run through it.

    Where a run holds none, the thickest at one of its ends.
    """
    found: list[str] = []
    for run in circuit.runs:
        order = [step.part for step in run.passes]
        if id not in order:
            continue
        place = order.index(id)
        here = [i for i in order if _sized(circuit.parts[i])]
        before = [i for i in reversed(order[:place]) if i in here]
        behind = [i for i in order[place + 1 :] if i in here]
        sides = [side[0] for side in (before, behind) if side]
        found += sides * (2 if len(sides) == 1 else 1)
        if not sides:
            others = list(_ending_at(circuit, {run.start, run.end}))
            found += sorted(others, key=lambda i: -_area(circuit, i))[:1] * 2
    return tuple(found[:4])


def _ending_at(circuit: Circuit, nodes: set[str]) -> Iterator[str]:
    for run in circuit.runs:
        if {run.start, run.end} & nodes:
            yield from (s.part for s in run.passes if _sized(circuit.parts[s.part]))


def _sized(part: Part) -> bool:
    return isinstance(part, Cable) and part.area is not None

"""Operating points: what every voltage and current settles to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.parts import TRIP_RATIO, Trait, Trip
from labkit.parts.laws import Floats, Law
from labkit.solving.elimination import REFERENCE
from labkit.solving.far_side import outside
from labkit.solving.network import Network, Settler, Wire, flatten
from labkit.solving.newton import Solution
from labkit.solving.readout import STEADY, currents, flows, speed, which_state
from labkit.solving.settling import States, settle
from labkit.text.messages import NoConvergenceError


@dataclass(frozen=True, repr=False)
class OperatingPoint:
    """What a circuit settles to.

    Attributes
    ----------
    volts : dict of str to float or None
        Of every terminal and named node against DC-, None where nothing ties it to DC- or where
        it will not settle. [V]
    amps : dict of str to float or None
        Of every part from its first terminal to its second; of a part with several ways, also of
        each, such as "K1 30-87". [A]
    watts : dict of str to float or None
        Heat in every part, leaks at it included; what a motor turns into work is not heat. [W]
    speeds : dict of str to float or None
        Of motors, as a fraction of rated speed; negative where one runs backwards.
    states : dict of str to str
        'intact' or 'open', 'pulled in' or 'at rest', 'on' or 'off', 'constant voltage' or
        'limiting', 'chattering', or the position of a switch.
    floating : tuple of str
        Nodes that no conducting path ties to DC-.
    chattering : tuple of str
        Parts that go on changing for ever.
    """

    circuit: Circuit
    volts: Mapping[str, float | None]
    amps: Mapping[str, float | None]
    speeds: Mapping[str, float | None]
    states: Mapping[str, str]
    floating: tuple[str, ...]
    chattering: tuple[str, ...] = ()
    opened: tuple[str, ...] = ()
    watts: Mapping[str, float | None] = field(default_factory=dict)

    def __repr__(self) -> str:
        return f"<OperatingPoint of {self.circuit!r}>"

    def volt(self, red: str, black: str = "DC-") -> float | None:
        """Voltage of one point against another, None where either has none. [V]"""
        a, b = (self.volts[self.circuit.point(p)] for p in (red, black))
        return None if a is None or b is None else a - b

    def at_terminal(self, terminal: str) -> float | None:
        """Current in the wire at a terminal, positive from a part's first terminal to its last. [A]

        A leak at the terminal is not in it: a clamp goes round the wire inside of the leak.
        """
        id, _, name = terminal.partition(":")
        ways = self.circuit.part(id).ways()
        if len(ways) == 1:
            return self.amps[id]
        flows = [self.amps[f"{id} {a}-{b}"] for a, b in ways if name in (a, b)]
        return None if None in flows else sum(i for i in flows if i is not None)


class _Itself:
    """A circuit as a key: this very one."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit

    def __hash__(self) -> int:
        return id(self.circuit)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Itself) and self.circuit is other.circuit


@lru_cache(maxsize=32)
def _flattened(key: _Itself) -> Network:
    """Network of a circuit, kept while readings are taken on it one after another."""
    return flatten(key.circuit)


def solve(circuit: Circuit) -> OperatingPoint:
    """Find the operating point of a circuit.

    Parameters
    ----------
    circuit : Circuit

    Returns
    -------
    OperatingPoint

    Raises
    ------
    NoConvergenceError
        If no solution is found; the message names the parts concerned. Never a wrong number.

    Notes
    -----
    Starts from rest: relays not pulled in, electronics on, fuses intact. Devices then change state
    one kind at a time (current limits, relays, cut-outs, the single most overloaded fuse) and the
    circuit is solved anew until nothing changes. A circuit that comes back to a state it was in
    chatters: its parts are named, and what differs between its states has no number.
    """
    return _solved(_Itself(circuit))


@lru_cache(maxsize=32)
def _settled(key: _Itself) -> list[tuple[Solution, States]]:
    """What a circuit settles to, kept while one act after another asks for it."""
    return settle(_flattened(key))


@lru_cache(maxsize=32)
def _solved(key: _Itself) -> OperatingPoint:
    """Operating point of a circuit, kept as well."""
    circuit, net, cycle = key.circuit, _flattened(key), _settled(key)
    if any(outside(net, solution.volts) for solution, _ in cycle):
        return replace(solve(circuit.unreduced()), circuit=circuit)
    return operating_point(circuit, net, cycle)


def operating_point(
    circuit: Circuit, net: Network, cycle: Sequence[tuple[Solution, Mapping[int, float]]]
) -> OperatingPoint:
    """Read what a network has settled to, as :func:`labkit.solving.settling.settle` says it."""
    points = [_read(circuit, net, solution, states) for solution, states in cycle]
    return points[-1] if len(points) == 1 else _chattering(points)


@dataclass(frozen=True)
class Across:
    """What something put between two points finds: voltage, and the current through itself.

    `tied` is False where one of the points has no other path to the rest.
    """

    volts: float | None
    amps: float | None
    tied: bool
    opened: tuple[str, ...] = ()

    def turned(self) -> Across:
        """The same seen from the other side."""
        volts, amps = (None if x is None else -x for x in (self.volts, self.amps))
        return replace(self, volts=volts, amps=amps)


def measure(
    circuit: Circuit, first: str, second: str, law: Law, fuse: float | None = None
) -> Across:
    """Put a law between two points and find its voltage and current, the circuit settled anew.

    Parameters
    ----------
    circuit : Circuit
    first, second : str
        Terminals or named nodes.
    law : Law
        Of what is put there; it stays for this one measurement.
    fuse : float, optional
        Rating of a fuse in it; "meter" is among the opened where it blows. [A]

    Returns
    -------
    Across
        None for voltage and current where the circuit does not settle.

    Raises
    ------
    NoConvergenceError
        As :func:`solve`.
    """
    bare = _flattened(_Itself(circuit))
    n = len(bare.wires)
    ends = [bare.node_of[circuit.point(p)] for p in (first, second)]
    wire = Wire("meter", "bridge", ends[0], ends[1], law)
    blows = [Settler("meter", Trip("bridge", TRIP_RATIO * fuse), 1.0)] if fuse is not None else []
    net = Network(bare.node_of, [*bare.wires, wire], [*bare.settlers, *blows])
    found = []
    cycle = _settled_with(net, _Itself(circuit))
    if any(outside(net, solution.volts) for solution, _ in cycle):
        return measure(circuit.unreduced(), first, second, law, fuse)
    for solution, _ in cycle:
        found.append((solution.volts[wire.first] - solution.volts[wire.second], solution.amps[n]))
    volts, amps = found[-1]
    steady = all(abs(v - volts) < STEADY for v, _ in found)
    solution, states = cycle[-1]
    return Across(
        float(volts) if steady else None,
        float(amps) if steady else None,
        _tied_without(net, wire, solution),
        _opened(net, states),
    )


def _settled_with(net: Network, key: _Itself) -> list[tuple[Solution, States]]:
    """Settle a circuit with a meter in it; from its second reading on near where it was without."""
    readings = _readings(key)
    readings[0] += 1
    if readings[0] == 1:
        return settle(net)
    try:
        solution, states = _settled(key)[-1]
        if any(states.values()):  # come to from rest, one device after another
            return settle(net)
        inner = {
            n: solution.inner[n] if n in solution.inner else net.wires[n].law.start()
            for n in net.curved
        }
        return settle(net, inner=inner)
    except NoConvergenceError:
        return settle(net)


@lru_cache(maxsize=32)
def _readings(key: _Itself) -> list[int]:
    """How many readings were taken on a circuit, in a list of one."""
    return [0]


def _tied_without(net: Network, meter: Wire, solution: Solution) -> bool:
    """Tell whether both points would be tied to DC- if the meter were not there."""
    if meter.first == meter.second:
        return bool(solution.tied[meter.first])
    around: dict[int, list[int]] = {}
    for w, slope in zip(net.wires, solution.slopes, strict=True):
        if w is not meter and slope != 0:
            around.setdefault(w.first, []).append(w.second)
            around.setdefault(w.second, []).append(w.first)
    reached, edge = {REFERENCE}, [REFERENCE]
    while edge:
        for node in around.get(edge.pop(), ()):
            if node not in reached:
                reached.add(node)
                edge.append(node)
    return meter.first in reached and meter.second in reached


def _opened(net: Network, states: Mapping[int, float]) -> tuple[str, ...]:
    return tuple(
        s.owner for n, s in enumerate(net.settlers) if states[n] and isinstance(s.device, Trip)
    )


def _read(
    circuit: Circuit, net: Network, solution: Solution, states: Mapping[int, float]
) -> OperatingPoint:
    volts, tied = solution.volts, solution.tied
    floats = {label for label in set(circuit.node_of.values()) if tied[net.node_of[label]] == 0}
    amps: dict[str, float | None] = {}
    speeds: dict[str, float | None] = {}
    flowing = flows(net, solution.amps.__getitem__, Floats)
    for id, part in circuit.parts.items():
        amps.update(currents(part, flowing.get(id, {}), 0.0))
        if Trait.TURNS in part.traits:
            speeds[id] = float(speed(net, solution.inner, id, Floats, 0.0))
    return OperatingPoint(
        circuit,
        {
            m: None if label in floats else volts[net.node_of[m]]
            for m, label in circuit.node_of.items()
        },
        amps,
        speeds,
        _states(circuit, net, states),
        tuple(label for label in dict.fromkeys(circuit.node_of.values()) if label in floats),
        opened=_opened(net, states),
        watts=_watts(circuit, net, solution),
    )


def _watts(circuit: Circuit, net: Network, solution: Solution) -> dict[str, float | None]:
    found: dict[str, float | None] = dict.fromkeys(circuit.parts, 0.0)
    for wire, amps in zip(net.wires, solution.amps, strict=True):
        if wire.owner in found and amps:
            across = solution.volts[wire.first] - solution.volts[wire.second]
            found[wire.owner] = (found[wire.owner] or 0.0) + wire.law.heat(across, amps)
    return found


def _states(circuit: Circuit, net: Network, states: Mapping[int, float]) -> dict[str, str]:
    devices = {s.owner: (s.device, bool(states[n])) for n, s in enumerate(net.settlers)}
    found = {}
    for id, part in circuit.parts.items():
        word = circuit.positions.get(id, "")
        if any(part.states):
            device, on = devices.get(id, (None, False))
            word = part.states[which_state(device is not None, on, Floats)]
        if word:
            found[id] = word
    return found


def _chattering(points: Sequence[OperatingPoint]) -> OperatingPoint:
    """Merge the states a circuit goes round in: what differs between them has no number."""
    last = points[-1]
    moving = tuple(id for id in last.states if any(p.states[id] != last.states[id] for p in points))

    def steady(field: str) -> dict[str, float | None]:
        values: dict[str, Any] = getattr(last, field)
        return {
            key: None
            if value is None
            or any(
                (other := getattr(p, field)[key]) is None or abs(other - value) > STEADY
                for p in points
            )
            else value
            for key, value in values.items()
        }

    return OperatingPoint(
        last.circuit,
        steady("volts"),
        steady("amps"),
        steady("speeds"),
        {**last.states, **dict.fromkeys(moving, "chattering")},
        last.floating,
        moving,
        last.opened,
        steady("watts"),
    )

"""Alternating voltage beside the direct one: what a meter in volts AC reads of ripple.

At the frequencies of rectifiers and choppers a battery is its plain resistance, since its surface
holds much charge; a rotor's windings pass nothing; everything else goes by its slope at the
operating point. Sources of ripple are not in step, so that their readings add as squares.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from labkit.circuits.circuit import Circuit
from labkit.parts.base import Part
from labkit.parts.cells import Cell
from labkit.parts.laws import Law, Linear
from labkit.parts.rotor import Motor
from labkit.solving.network import Network, flatten
from labkit.solving.newton import Solution, solve_network
from labkit.solving.settling import settle
from labkit.solving.solver import operating_point

PEAK_TO_PEAK = 2.0 * math.sqrt(2.0)
"""Of a sine, over its root mean square."""


def ripples(circuit: Circuit) -> bool:
    """Tell whether anything in a circuit may ripple at all."""
    return any(may_ripple(part) for part in circuit.parts.values())


def ripple_between(circuit: Circuit, first: str, second: str, ohms: float) -> float | None:
    """Root mean square of the alternating voltage between two points. [V]

    Parameters
    ----------
    circuit : Circuit
    first, second : str
        Terminals or named nodes.
    ohms : float
        Of the meter that is put there.

    Returns
    -------
    float or None
        None where the circuit does not settle.
    """
    if not ripples(circuit):
        return 0.0
    net = flatten(circuit)
    cycle = settle(net)
    if len(cycle) > 1:
        return None
    solution = cycle[0][0]
    amps = operating_point(circuit, net, cycle).amps
    ends = [net.node_of[circuit.point(p)] for p in (first, second)]
    squares = 0.0
    for id, volts in _sources(circuit, amps):
        laws = [_alternating(circuit, net, n, solution) for n in range(len(net.wires))]
        source = net.index[id, "main"]
        laws[source] = Linear.emf(volts, circuit.parts[id].ripple_ohms)
        wires = [wire._replace(law=law) for wire, law in zip(net.wires, laws, strict=True)]
        meter = wires[0]._replace(
            owner="meter", role="bridge", first=ends[0], second=ends[1], law=Linear.resistor(ohms)
        )
        found = solve_network(Network(net.node_of, [*wires, meter], []), {})
        squares += (found.volts[ends[0]] - found.volts[ends[1]]) ** 2
    return math.sqrt(squares)


def may_ripple(part: Part) -> bool:
    """Tell whether a part is of a kind that may ripple."""
    return type(part).ripple_volts is not Part.ripple_volts


def _sources(circuit: Circuit, amps: Mapping[str, float | None]) -> Iterator[tuple[str, float]]:
    """Parts that ripple, and by how much. [V rms]"""
    for id, part in circuit.parts.items():
        if may_ripple(part) and (flowing := amps[id]) is not None:
            volts = float(part.ripple_volts(circuit.state_of(id), flowing)) / PEAK_TO_PEAK
            if volts:
                yield id, volts


def _alternating(circuit: Circuit, net: Network, n: int, solution: Solution) -> Law:
    """What a branch is to alternating current."""
    wire, slope = net.wires[n], solution.slopes[n]
    if (
        wire.owner in circuit.parts
        and may_ripple(circuit.parts[wire.owner])
        and wire.role == "main"
    ):
        return Linear.resistor(circuit.parts[wire.owner].ripple_ohms)
    if isinstance(wire.law, Cell) and slope:
        return Linear.resistor(wire.law.series)
    if isinstance(wire.law, Motor):
        return Linear()
    return Linear(conductance=abs(slope))

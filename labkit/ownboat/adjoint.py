"""How much every voltage and current moves with every doubted figure, from one operating point.

If a figure changes a branch's current by di where its voltage is held, all voltages change as if
that current were fed in beside the branch: dV = -(Z[:, a] - Z[:, b]) di, with Z the matrix of
impedances of the circuit as linearised (the adjoint method: Director and Rohrer, IEEE Trans.
Circuit Theory 16 (1969) 318, from memory). The laws at the figure's two ends are asked of the
parts' own models, so that no formula stands here a second time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.measuring.readings import impedances
from labkit.ownboat.figures import Figure
from labkit.parts.laws import Law, Linear, Power
from labkit.solving.arrays import Array
from labkit.solving.network import Network
from labkit.solving.network_many import flatten_many
from labkit.solving.settling import gates
from labkit.solving.settling_many import Settled, settle_many

MOST = 1e4
"""A reading that moves by more than this for one standard deviation has no number worth taking."""


@dataclass(frozen=True)
class Moves:
    """Operating points of some circuits, and how they move with each figure.

    Attributes
    ----------
    net : Network
    volts : array
        Circuits by nodes; of what floats only differences count. [V]
    moves : array
        Circuits by figures by nodes: for one standard deviation. [V]
    """

    settled: Settled
    volts: Array
    moves: Array
    own: dict[int, Array]  # wire: circuits by figures, current at held voltage [A]

    @property
    def net(self) -> Network:
        """The circuits as one network."""
        return self.settled.net

    def across(self, first: int, second: int) -> tuple[Array, Array]:
        """Voltage between two nodes, and its moves (circuits by figures)."""
        return (
            self.volts[:, first] - self.volts[:, second],
            self.moves[..., first] - self.moves[..., second],
        )

    def through(self, wires: Sequence[tuple[int, float]]) -> Array:
        """Moves of a sum of branch currents, each with its sign; circuits by figures."""
        size, count, _ = self.moves.shape
        total = np.zeros((size, count))
        for n, sign in wires:
            wire = self.net.wires[n]
            held = self.own.get(n, 0.0)
            _, across = self.across(wire.first, wire.second)
            slope = np.nan_to_num(self.settled.solution.slopes[n])[:, None]
            total += sign * (held + slope * across)
        return np.asarray(np.clip(np.nan_to_num(total), -MOST, MOST))


def moves(circuits: Sequence[Circuit], figures: Sequence[Figure]) -> Moves:
    """Solve circuits of one structure, and say how each moves with each figure.

    Parameters
    ----------
    circuits : sequence of Circuit
        Made from one by faults, positions, connections taken apart and bridges.
    figures : sequence of Figure
    """
    net = flatten_many(circuits)
    settled = settle_many(net)
    solution, size = settled.solution, len(circuits)
    slopes = [np.nan_to_num(np.broadcast_to(g, size)) for g in solution.slopes]
    z, _ = impedances(net, slopes)
    z = _falling(net, slopes, z)
    found = np.zeros((size, len(figures), net.nodes))
    own: dict[int, Array] = {}
    for n, k, current in _held(circuits, figures, settled):
        wire = net.wires[n]
        found[:, k] -= ((z[:, wire.first] - z[:, wire.second]) * current).T
        own.setdefault(n, np.zeros((size, len(figures))))[:, k] += current
    volts = np.stack([np.broadcast_to(v, size) for v in solution.volts], -1)
    found = np.nan_to_num(found)
    found[np.abs(found).max((1, 2)) > MOST] = 0.0
    return Moves(settled, volts, found, own)


def _falling(net: Network, slopes: Sequence[Array], z: Array) -> Array:
    """Mend the impedances where a current falls as its voltage rises: there it is the reverse."""
    for wire, slope in zip(net.wires, slopes, strict=True):
        if isinstance(wire.law, Power) and (slope < 0).any():
            a, b = wire.first, wire.second
            column = z[:, a] - z[:, b]
            twice = np.where(slope < 0, -2 * slope, 0.0)
            rest = 1 - twice * (column[a] - column[b])
            share = np.where(rest > 0.1, twice / np.where(rest > 0.1, rest, 1.0), 0.0)
            z = z + share * column[:, None] * column[None, :]
    return z


def _held(circuits: Sequence[Circuit], figures: Sequence[Figure], settled: Settled) -> Any:
    """Change of each branch's current at held voltage: wire, number of the figure, row."""
    left = list(enumerate(figures))
    states = {n: x.astype(float) for n, x in enumerate(settled.states)}
    factor = gates(settled.net, states)
    while left:
        now: dict[str, tuple[int, Figure]] = {}
        for k, figure in left:
            now.setdefault(figure.part, (k, figure))
        left = [item for item in left if item not in now.values()]
        up, down = (_network(circuits, {f.part: p for f, p in ends}) for ends in _ends(now))
        for n, wire in enumerate(settled.net.wires):
            m = up.index.get((wire.owner, wire.role))
            if m is not None and not wire.role.startswith(_NOT_OWN):
                change = _change(settled, n, up.wires[m].law, down.wires[m].law)
                gate = factor.get(n, (1.0, 0.0))[0]
                there = np.asarray(getattr(wire.law, "present", 1.0))
                yield n, now[wire.owner][0], np.nan_to_num(change * gate * there)


_NOT_OWN = ("leak", "short")  # branches that a fault adds, which no figure changes


def _ends(now: dict[str, tuple[int, Figure]]) -> Any:
    return (
        [(f, f.up) for _, f in now.values()],
        [(f, f.down) for _, f in now.values()],
    )


def _network(circuits: Sequence[Circuit], changed: dict[str, Any]) -> Network:
    """Some parts of the same circuits, as changed, flattened."""
    first = circuits[0]
    bare = replace(first, parts=MappingProxyType(changed), bridges=())
    return flatten_many([bare, *circuits[1:]])


def _change(settled: Settled, n: int, up: Law, down: Law) -> Array:
    """Half the difference of two laws' currents, the branch's own voltage held. [A]"""
    wire, solution = settled.net.wires[n], settled.solution
    law = wire.law
    if isinstance(law, Linear):
        assert isinstance(up, Linear)
        assert isinstance(down, Linear)
        v = solution.volts[wire.first] - solution.volts[wire.second]
        v = np.where(solution.islands[wire.first] == solution.islands[wire.second], v, 0.0)
        conductance = np.asarray(up.conductance) - np.asarray(down.conductance)
        source = np.asarray(up.source) - np.asarray(down.source)
        return np.asarray((conductance * v + source) / 2)
    u, amps = solution.inner[n], solution.amps(n)
    with np.errstate(all="ignore"):
        more, less = up.at(u, True, np)[0], down.at(u, True, np)[0]
        slope = law.at(u, True, np)[1]
        series = np.asarray(up.series) - np.asarray(down.series)
        change = (more - less) / 2 - slope * series / 2 * amps
        return np.asarray(change / np.maximum(1 + slope * np.asarray(law.series), 0.1))

"""What a voltmeter reads between many pairs of points of many circuits, at once.

Each circuit is solved once without the meter. Seen from two points it is then an EMF behind a
resistance, which the meter's own resistance loads. That is exact where the circuit is linear and
right to far below a count where the meter's current changes little; where it would move a junction
or a relay, or may stop what chatters, the circuit is settled anew with the meter in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Any, NamedTuple

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import COUNTS, FUNCTIONS, VOLTS_RESISTANCE
from labkit.parts import CutOut, Pull, Trip
from labkit.parts.cells import Cell
from labkit.parts.laws import Junction, Limited, Linear, Power, Value
from labkit.solving.arrays import Array, Flags, Numbers
from labkit.solving.bulk import alike
from labkit.solving.elimination import NOTHING, REFERENCE, eliminate, find_islands
from labkit.solving.network import Network, Wire
from labkit.solving.network_many import flatten_many
from labkit.solving.newton_many import islands_of, reciprocal
from labkit.solving.readout import STEADY
from labkit.solving.settling import margin
from labkit.solving.settling_many import Settled, beyond, settle_many
from labkit.solving.weak_ties import Seen, across_junctions

_SMALL = 0.02  # counts that linearity is reckoned to be wrong by, which is rough
_MOVED = 1e-3  # change of voltage that a lamp, motor or device may take as none [V]
_ROOM = 4e6  # numbers in the matrix of impedances of the circuits taken together
_UNFELT = 1e-9  # conductance of a junction that is off, and of nothing else aboard [S]


@dataclass(frozen=True, repr=False)
class Readings:
    """Readings of a voltmeter: a line for each circuit, a column for each pair of points.

    Attributes
    ----------
    volts : array
        What the meter senses; nan where it will not settle. [V]
    floating : array of bool
        Whether a point has no path to DC- but through the meter.
    unsolved : dict of int to str
        Circuits without a solution, and the parts still moving; their lines are nan.
    """

    volts: Array
    floating: Flags
    unsolved: dict[int, str]

    def __repr__(self) -> str:
        return "<Readings of {} circuits between {} pairs of points>".format(*self.volts.shape)


def readings(
    circuits: Sequence[Circuit],
    pairs: Sequence[tuple[str, str]],
    resistance: float = VOLTS_RESISTANCE,
) -> Readings:
    """Read a voltmeter between pairs of points, red then black, of every circuit.

    Parameters
    ----------
    circuits : sequence of Circuit
        As for :func:`labkit.solving.bulk.solve_many`.
    pairs : sequence of (str, str)
        Terminals, named nodes or numbers of test points.
    resistance : float
        Of the meter. [ohm]

    Returns
    -------
    Readings
        Within 0.05 of a count of what `labkit.measuring.meter.read` senses, but where the meter's
        current alone decides whether a fuse opens. Of a circuit that chatters, `floating` is as
        in the last of its states.
    """
    volts = np.full((len(circuits), len(pairs)), np.nan)
    floating = np.zeros(volts.shape, bool)
    unsolved: dict[int, str] = {}
    for columns in alike(circuits):
        base = circuits[columns[0]]
        points = [(base.point(red), base.point(black)) for red, black in pairs]
        settled = settle_many(flatten_many([circuits[n] for n in columns]))
        ends = np.array([[settled.net.node_of[p] for p in pair] for pair in points]).T
        found, unsure = _unloaded(settled, ends, resistance)
        floats = _floats(settled.solution.islands, ends)
        for n in np.flatnonzero(unsure.any(axis=1)):
            here = np.flatnonzero(unsure[n])
            red, black = map(int, ends[:, n])
            net = settled.net.take(here)
            found[n, here], floats[n, here] = _read_anew(net, red, black, resistance)
        volts[columns], floating[columns] = found.T, floats.T
        far = beyond(settled)
        if far.size:
            whole = readings([circuits[n].unreduced() for n in columns[far]], points, resistance)
            volts[columns[far]], floating[columns[far]] = whole.volts, whole.floating
            unsolved.update({int(columns[far[n]]): names for n, names in whole.unsolved.items()})
        unsolved.update({int(columns[n]): names for n, names in settled.stuck.items()})
    return Readings(volts, floating, dict(sorted(unsolved.items())))


def _unloaded(settled: Settled, ends: Any, resistance: float) -> tuple[Array, Flags]:
    """Readings as the circuits without the meter tell them, and where that is not certain.

    What chatters is unsteady where its states surely differ, by more than the readings may err.
    """
    last, error = _between(settled, ends, resistance)
    found, unsure = last.copy(), np.isinf(error)
    for here, other in settled.others:
        again, its_error = _between(other, ends, resistance)
        gap, most = np.abs(again - last[:, here]), error[:, here] + its_error
        same = gap <= STEADY
        unsure[:, here] |= ~(same & np.isfinite(most) | (gap > STEADY + most))
        found[:, here] = np.where(same, found[:, here], np.nan)
    return found, unsure


def _floats(islands: Sequence[Any], ends: Any) -> Flags:
    loose = np.array(np.broadcast_arrays(*islands)) != REFERENCE
    return np.asarray(loose[ends[0]] | loose[ends[1]])


def _between(settled: Settled, ends: Any, resistance: float) -> tuple[Array, Array]:
    """Readings in one state of the circuits, a line for each pair, and by how much they may err.

    That is infinite where all depends on what the meter does to the circuit.
    """
    assert settled.net.size is not None
    found, error = np.empty((2, ends.shape[1], settled.net.size))
    for keep, part in _portions(settled):
        found[:, keep], error[:, keep] = _loaded(part, ends, resistance)
    return found, error


def _portions(settled: Settled) -> Iterator[tuple[Numbers, Settled]]:
    """Cut columns into portions whose impedances fit in memory."""
    net = settled.net
    assert net.size is not None
    step = max(1, int(_ROOM / net.nodes**2))
    for start in range(0, net.size, step):
        keep = np.arange(start, min(start + step, net.size))
        yield keep, settled.take(keep) if len(keep) < net.size else settled


def _loaded(settled: Settled, ends: Any, resistance: float) -> tuple[Array, Array]:
    red, black = ends
    net, solution = settled.net, settled.solution
    v, islands = np.array(solution.volts), np.array(solution.islands)
    z, near = impedances(net, _felt(settled))
    own = np.einsum("kkn->kn", z)
    volts = np.where(islands[red] == islands[black], v[red] - v[black], 0.0)
    ohms = np.maximum(own[red] + own[black] - 2 * z[red, black], 0.0)
    amps = volts / (resistance + ohms)
    found = amps * resistance
    apart = near[red] != near[black]
    error = np.where(apart, np.abs(volts), np.abs(volts - found))
    step = _step(np.where(apart, volts, found))  # the range is chosen with the meter there
    loaded = error > _SMALL * step
    charging = np.abs(amps) > _SMALL * step * _softest(net)
    margins = list(_margins(settled))
    poised = np.any([far < _MOVED for _, far in margins], axis=0)
    pair, column = np.nonzero((loaded | charging | poised) & ~apart)
    moves = _Moves(z, ends[:, pair], column, amps[pair, column])
    moved = _bends(settled, moves, step[pair, column]) | _changes(margins, moves)
    error[pair[moved], column[moved]] = np.inf
    seen = Seen(settled, v, near, z)
    unsure, restless = _woken(seen, islands, ends, resistance)
    error[unsure] = np.inf
    found[restless] = np.nan
    pair, column = np.nonzero(loaded & apart)
    weakly, inside = across_junctions(seen, red[pair], black[pair], column, resistance)
    found[pair, column] = weakly
    sure = np.abs(inside) <= _SMALL * step[pair, column]
    error[pair, column] = np.where(sure, np.abs(inside), np.inf)
    return found, error


def _step(volts: Array) -> Array:
    """One count of the range that the meter chooses. [V]"""
    ranges = np.array(FUNCTIONS["volts"].ranges)
    chosen = np.searchsorted(ranges[:-1], np.abs(volts), side="right")
    return np.asarray(ranges[chosen] / COUNTS)


def _felt(settled: Settled) -> list[Array]:
    """Slopes; zero for electronics at no voltage, which conduct forwards only."""
    solution = settled.solution
    return [
        np.where(solution.inner[n] > _MOVED, slope, 0.0) if isinstance(wire.law, Power) else slope
        for n, (wire, slope) in enumerate(zip(settled.net.wires, solution.slopes, strict=True))
    ]


def impedances(net: Network, slopes: Sequence[Array]) -> tuple[Array, Numbers]:
    """Voltage at each node for a current into each node, of the circuits as linearised. [ohm]

    Nodes by nodes by circuits; and which island each node is on when what conducts almost nothing
    is left out, since it would drown the rest. In an island only differences count: they are
    against the node where it is pinned.
    """
    plan = net.plan
    c: list[Any] = [NOTHING] * len(plan.edge_of)
    for wire, slope in zip(net.wires, slopes, strict=True):
        if wire.first != wire.second:
            edge, _ = plan.edge(wire.first, wire.second)
            size = np.abs(slope)  # constant power falls; its chord will do
            c[edge] = c[edge] + size * (size > _UNFELT)
    steps = (*plan.linear, *plan.core)
    with np.errstate(divide="ignore"):
        inverses = eliminate(steps, c, [NOTHING] * len(c), reciprocal)
    # Nodes in the order in which they come back, so that those known lie together.
    place = {step.node: n for n, step in enumerate(reversed(steps))}
    z = np.zeros((net.nodes, net.nodes, net.size or 1))
    for k, (step, inverse) in enumerate(zip(reversed(steps), reversed(inverses), strict=True)):
        shares = [(c[e] * inverse, place[j]) for e, j in step.edges if j != REFERENCE]
        for share, j in shares:
            z[k, :k] += share * z[j, :k]
        z[:k, k] = z[k, :k]
        z[k, k] = inverse
        for share, j in shares:
            z[k, k] += share * z[k, j]
    order = [place.get(node, net.nodes - 1) for node in range(net.nodes)]
    islands: list[Any] = [REFERENCE] * net.nodes
    find_islands(steps, c, islands, np.where)
    near = np.array([np.broadcast_to(island, net.size or 1) for island in islands])
    return np.asarray(z[np.ix_(order, order)]), near


def _margins(settled: Settled) -> Iterator[tuple[Wire, Array]]:
    """Branches whose voltage a device goes by, and how far from where it changes. [V]"""
    net = settled.net
    for settler, state in zip(net.settlers, settled.states, strict=True):
        device = settler.device
        if isinstance(device, Trip):
            continue
        by = (
            (device.role,)
            if not isinstance(device, Pull)
            else (device.coil, device.beside, device.other)
        )
        far = margin(net, settler, settled.solution, state.astype(float), np)
        for n in (net.index[settler.owner, r] for r in by if (settler.owner, r) in net.index):
            yield net.wires[n], np.where(settler.active, np.abs(far), np.inf)


class _Moves(NamedTuple):
    """What the meter's current does to voltages elsewhere, reading by reading."""

    z: Array
    ends: Any
    column: Numbers
    amps: Array

    def of(self, wire: Wire) -> Array:
        """Size of the change of a branch's voltage. [V]"""
        return np.abs(self.drop(wire))

    def drop(self, wire: Wire) -> Array:
        """By how much a branch's voltage falls. [V]"""
        z, (red, black), n = self.z, self.ends, self.column
        a, b = wire.first, wire.second
        through = z[red, a, n] - z[red, b, n] - z[black, a, n] + z[black, b, n]
        return np.asarray(self.amps * through)


def _softest(net: Network) -> Value:
    """Least slope of any battery's cells, infinite where there are none. [S]"""
    laws = [wire.law for wire in net.wires]
    return reduce(np.minimum, (law.softest() for law in laws if isinstance(law, Cell)), np.inf)


def _bends(settled: Settled, moves: _Moves, step: Array) -> Flags:
    """Tell whether a curved branch moves so far that its law is no straight line."""
    net = settled.net
    found = np.zeros(len(step), bool)
    for n, wire in enumerate(net.wires):
        if isinstance(wire.law, Cell):
            found |= _begins_to_charge(settled, n, moves) > _SMALL * step
        if isinstance(wire.law, Junction):
            emission = np.broadcast_to(wire.law.emission, net.size or 1)[moves.column]
            found |= moves.of(wire) ** 2 > 2 * emission * _SMALL * step
        elif not isinstance(wire.law, Linear | Limited):
            found |= moves.of(wire) > np.minimum(_MOVED, _SMALL * step)
    return found


def _begins_to_charge(settled: Settled, n: int, moves: _Moves) -> Array:
    """Voltage by which cells at rest rise as the meter's current goes in, at most. [V]

    They are stiff as long as current is drawn, and far softer from where it goes in.
    """
    wire, solution, size = settled.net.wires[n], settled.solution, settled.net.size or 1
    assert isinstance(wire.law, Cell)
    column, rise = moves.column, moves.drop(wire)
    surface = (-solution.inner[n] - wire.law.emf)[column]
    softest = np.broadcast_to(wire.law.softest(), size)[column]
    into = rise * solution.slopes[n][column]
    return np.where((surface <= 0) & (surface + rise > 0), into / softest, 0.0)


def _changes(margins: Sequence[tuple[Wire, Array]], moves: _Moves) -> Flags:
    """Tell whether a device may change: where twice the move, nearly linear as it is, would do."""
    found = np.zeros(len(moves.column), bool)
    for wire, far in margins:
        found |= 2 * moves.of(wire) > far[moves.column]
    return found


def _woken(seen: Seen, islands: Any, ends: Any, resistance: float) -> tuple[Flags, Flags]:
    """Tell where the meter joins two islands so that electronics between them start.

    Returns
    -------
    arrays of bool
        Where there is no telling what comes of it; where they draw so much more than passes the
        meter that they stop at once, and start again, for ever.
    """
    settled, v = seen.settled, seen.v
    red, black = ends
    unsure, restless = np.zeros((2, *islands[red].shape), bool)
    for settler, off in zip(settled.net.settlers, settled.states, strict=True):
        if not isinstance(settler.device, CutOut):
            continue
        n = settled.net.index.get((settler.owner, settler.device.role))
        if n is None:  # one way of it alone is met: nothing feeds it
            continue
        wire = settled.net.wires[n]
        a, b = islands[wire.first], islands[wire.second]
        if (a == b).all():
            continue
        assert isinstance(wire.law, Power)
        device, power, series = settler.device, wire.law.power, wire.law.series
        # No current, no voltage across the meter: what it joins is level.
        level = v[red] - v[black]
        volts = v[wire.first] - v[wire.second] + np.where(islands[red] == a, -level, level)
        starts = off & (a != b) & _beside(wire, islands, ends) & (volts > device.restart - _MOVED)
        ohms = series + wire.law.floor**2 / power
        starved = 2 * (resistance + series) * power > volts**2  # twice the most that can pass
        starved &= volts * ohms / (resistance + ohms) < device.cut_out - _MOVED
        sure = starved & _beside(wire, seen.near, ends) & (volts > device.restart + _MOVED)
        restless |= starts & sure
        unsure |= starts & ~sure
    return unsure, restless


def _beside(wire: Wire, islands: Any, ends: Any) -> Flags:
    """Tell where a meter is between the same two islands as a branch."""
    red, black = islands[ends[0]], islands[ends[1]]
    a, b = islands[wire.first], islands[wire.second]
    return np.asarray((red == a) & (black == b) | (red == b) & (black == a))


def _read_anew(net: Network, red: int, black: int, resistance: float) -> tuple[Array, Flags]:
    """Read with the meter in the circuits, settled from rest; and where a point floats."""
    meter = Wire("meter", "bridge", red, black, Linear.resistor(resistance))
    settled = settle_many(Network(net.node_of, [*net.wires, meter], net.settlers, net.size))
    volts = _across(settled, meter)
    for there, other in settled.others:
        same = np.abs(_across(other, meter) - volts[there]) <= STEADY
        volts[there] = np.where(same, volts[there], np.nan)
    # The slopes of all but the meter, which comes last.
    return volts, _floats(islands_of(net, settled.solution.slopes[:-1]), (red, black))


def _across(settled: Settled, meter: Wire) -> Array:
    return settled.solution.volts[meter.first] - settled.solution.volts[meter.second]

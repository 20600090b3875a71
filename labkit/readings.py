"""What a voltmeter reads between many pairs of points of many circuits, at once.

Each circuit is solved once without the meter. Seen from two points it is then an EMF behind a
resistance, which the meter's own resistance loads. That is exact where the circuit is linear and
right to far below a count where the meter's current changes little; where it would move a junction
or a relay, the circuit is solved anew with the meter in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from labkit.bulk import alike
from labkit.circuit import Circuit
from labkit.elimination import NOTHING, REFERENCE, eliminate, find_islands
from labkit.laws import Junction, Linear, Power
from labkit.meter import COUNTS, FUNCTIONS, VOLTS_RESISTANCE
from labkit.network import Network, Wire
from labkit.network_many import flatten_many
from labkit.newton_many import Columns, Rows, reciprocal
from labkit.parts import CutOut, Trip
from labkit.settling import Flags, Settled, next_states, settle_many, solve_in_states
from labkit.weak_ties import Seen, across_junctions

_SMALL = 0.05  # counts that linearity may be wrong by
_MOVED = 1e-3  # change of voltage that a lamp, motor, relay or cut-out may take as none [V]
_ROOM = 4e6  # numbers in the matrix of impedances of the circuits taken together
_DRAWN = 1e-2  # power that no current through a voltmeter could feed [W]
_UNFELT = 1e-9  # conductance of a junction that is off, and of nothing else aboard [S]
_STEADY = 1e-9  # as in labkit.solver [V]


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

    volts: Rows
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
        As for :func:`labkit.bulk.solve_many`.
    pairs : sequence of (str, str)
        Terminals, named nodes or numbers of test points.
    resistance : float
        Of the meter. [ohm]

    Returns
    -------
    Readings
        Within 0.05 of a count of what :func:`labkit.meter.read` senses, but where a device stands
        so near its threshold (some microvolts) that the meter's load alone decides. Of a circuit
        that chatters, `floating` is as in the last of its states.
    """
    volts = np.full((len(circuits), len(pairs)), np.nan)
    floating = np.zeros(volts.shape, bool)
    unsolved: dict[int, str] = {}
    for columns in alike(circuits):
        base = circuits[columns[0]]
        points = [(base.point(red), base.point(black)) for red, black in pairs]
        settled = settle_many(flatten_many([circuits[n] for n in columns]))
        ends = np.array([[settled.net.node_of[p] for p in pair] for pair in points]).T
        rests = np.ones(len(columns), bool)
        for here, _ in settled.others:
            rests[here] = False
        found = _between(settled, ends, resistance, rests)
        for here, other in settled.others:
            same = (
                np.abs(_between(other, ends, resistance, rests[here]) - found[:, here]) <= _STEADY
            )
            found[:, here] = np.where(same, found[:, here], np.nan)
        volts[columns] = found.T
        floating[columns] = _floats(settled, ends).T
        unsolved.update({int(columns[n]): names for n, names in settled.stuck.items()})
    return Readings(volts, floating, dict(sorted(unsolved.items())))


def _floats(settled: Settled, ends: Any) -> Flags:
    loose = np.array(settled.solution.islands) != REFERENCE
    return np.asarray(loose[ends[0]] | loose[ends[1]])


def _between(settled: Settled, ends: Any, resistance: float, rests: Flags) -> Rows:
    """Readings in one state of the circuits, a line for each pair."""
    assert settled.net.size is not None
    found = np.empty((ends.shape[1], settled.net.size))
    for keep, part in _portions(settled):
        found[:, keep] = _loaded(part, ends, resistance, rests[keep])
    return found


def _portions(settled: Settled) -> Iterator[tuple[Columns, Settled]]:
    """Cut columns into portions whose impedances fit in memory."""
    net = settled.net
    assert net.size is not None
    step = max(1, int(_ROOM / net.nodes**2))
    for start in range(0, net.size, step):
        keep = np.arange(start, min(start + step, net.size))
        yield keep, settled.take(keep) if len(keep) < net.size else settled


def _loaded(settled: Settled, ends: Any, resistance: float, rests: Flags) -> Rows:
    red, black = ends
    net, solution = settled.net, settled.solution
    v, islands = np.array(solution.volts), np.array(solution.islands)
    z, near = impedances(net, _felt(settled))
    own = np.einsum("kkn->kn", z)
    volts = np.where(islands[red] == islands[black], v[red] - v[black], 0.0)
    ohms = np.maximum(own[red] + own[black] - 2 * z[red, black], 0.0)
    amps = volts / (resistance + ohms)
    found = amps * resistance
    step = _step(volts)
    weak = (near[red] != near[black]) & (np.abs(volts) > _SMALL * step)
    pair, column = np.nonzero(~weak & (np.abs(volts - found) > _SMALL * step))
    moved = _moves(net, z, ends[:, pair], column, amps[pair, column], step[pair, column])
    seen = Seen(settled, v, near, z)
    woken, restless = _woken(seen, islands, ends, rests)
    anew = woken
    anew[pair[moved], column[moved]] = True
    pair, column = np.nonzero(weak)
    weakly, inside = across_junctions(seen, red[pair], black[pair], column, resistance)
    found[pair, column] = weakly
    anew[pair, column] |= ~(np.abs(inside) <= _SMALL * step[pair, column])
    found[restless] = np.nan
    anew &= ~restless
    for n in np.flatnonzero(anew.any(axis=1)):
        here = np.flatnonzero(anew[n])
        found[n, here] = _solved_anew(settled, here, red[n], black[n], resistance)
    return np.asarray(found)


def _step(volts: Rows) -> Rows:
    """One count of the range that the meter chooses. [V]"""
    ranges = np.array(FUNCTIONS["volts"].ranges)
    chosen = np.searchsorted(ranges[:-1], np.abs(volts), side="right")
    return np.asarray(ranges[chosen] / COUNTS)


def _felt(settled: Settled) -> list[Rows]:
    """Slopes, but nothing for electronics at no voltage: they conduct one way alone."""
    solution = settled.solution
    return [
        np.where(solution.inner[n] > _MOVED, slope, 0.0) if isinstance(wire.law, Power) else slope
        for n, (wire, slope) in enumerate(zip(settled.net.wires, solution.slopes, strict=True))
    ]


def impedances(net: Network, slopes: Sequence[Rows]) -> tuple[Rows, Columns]:
    """Voltage at each node for a current into each node, of the circuits as linearised. [ohm]

    Nodes by nodes by circuits; and which island each node is on when what conducts almost nothing
    is left out, lest it drown the rest. In an island only differences count: they are against the
    node where it is pinned.
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


def _moves(net: Network, z: Rows, ends: Any, column: Columns, amps: Rows, step: Rows) -> Flags:
    """Tell whether the meter's current moves a curved branch or what a device goes by."""
    red, black = ends
    found = np.zeros(len(column), bool)
    curved = {n for n, w in enumerate(net.wires) if not isinstance(w.law, Linear)}
    for n in curved | _sensed(net):
        wire = net.wires[n]
        a, b = wire.first, wire.second
        move = amps * (z[red, a, column] - z[red, b, column] - z[black, a, column]
                       + z[black, b, column])  # fmt: skip
        if isinstance(wire.law, Junction):
            emission = np.broadcast_to(wire.law.emission, net.size or 1)[column]
            found |= move**2 > 2 * emission * _SMALL * step
        else:
            found |= np.abs(move) > _MOVED
    return found


def _sensed(net: Network) -> set[int]:
    """Branches whose voltage a device goes by."""
    roles = {
        (s.owner, getattr(s.device, "coil", "") or getattr(s.device, "role", ""))
        for s in net.settlers
        if not isinstance(s.device, Trip)
    }
    return {net.index[key] for key in roles if key in net.index}


def _woken(seen: Seen, islands: Any, ends: Any, rests: Flags) -> tuple[Flags, Flags]:
    """Tell where the meter joins two islands so that electronics between them start.

    Returns
    -------
    arrays of bool
        Where there is no telling what comes of it; where all else `rests` and they draw so much
        more than passes the meter that they stop at once, and start again, for ever.
    """
    settled, v, near = seen.settled, seen.v, seen.near
    red, black = ends
    at_red, at_black = islands[red], islands[black]
    on, restless = np.zeros(at_red.shape, bool), np.zeros(at_red.shape, bool)
    for settler, off in zip(settled.net.settlers, settled.states, strict=True):
        if not isinstance(settler.device, CutOut):
            continue
        wire = settled.net.wires[settled.net.index[settler.owner, settler.device.role]]
        a, b = islands[wire.first], islands[wire.second]
        if (a == b).all():
            continue
        # No current, no voltage across the meter: what it joins is level.
        level = v[red] - v[black]
        volts = v[wire.first] - v[wire.second] + np.where(at_red == a, -level, level)
        joined = (at_red == a) & (at_black == b) | (at_red == b) & (at_black == a)
        starts = off & joined & (a != b) & (volts > settler.device.restart - _MOVED)
        assert isinstance(wire.law, Power)
        p, q = near[wire.first], near[wire.second]
        closed = (near[red] == p) & (near[black] == q) | (near[red] == q) & (near[black] == p)
        sure = rests & closed & (wire.law.power > _DRAWN)
        sure &= volts > settler.device.restart + _MOVED
        restless |= starts & sure
        on |= starts & ~sure
    return on, restless


def _solved_anew(settled: Settled, here: Columns, red: int, black: int, resistance: float) -> Rows:
    """Read with the meter in the circuit, its devices first as they were without."""
    part, solution = settled.net.take(here), settled.solution
    meter = Wire("meter", "bridge", int(red), int(black), Linear.resistor(resistance))
    net = Network(part.node_of, [*part.wires, meter], part.settlers, len(here))
    inner = {n: row[here] for n, row in solution.inner.items()}
    first = solve_in_states(net, settled.states[:, here], inner)
    volts = _across(first, meter)
    changed = (next_states(net, first.solution, first.states) != first.states).any(axis=0)
    changed[list(first.stuck)] = True
    left = np.flatnonzero(changed)
    if left.size:
        volts[left] = _settled_anew(net.take(left), meter)
    return volts


def _settled_anew(net: Network, meter: Wire) -> Rows:
    settled = settle_many(net)
    volts = _across(settled, meter)
    for there, other in settled.others:
        same = np.abs(_across(other, meter) - volts[there]) <= _STEADY
        volts[there] = np.where(same, volts[there], np.nan)
    return volts


def _across(settled: Settled, meter: Wire) -> Rows:
    return settled.solution.volts[meter.first] - settled.solution.volts[meter.second]

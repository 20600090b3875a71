"""Devices that switch by themselves, in many circuits of one structure at once.

The rules are those of :mod:`labkit.solving.settling`, on numpy rows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from labkit.parts import Trip
from labkit.solving.arrays import Array, Flags, Numbers
from labkit.solving.far_side import Curve, outside
from labkit.solving.network import Network
from labkit.solving.newton_many import solve_many_networks
from labkit.solving.settling import CLEARLY, PATIENCE, gates, overload, trip_wire, wants
from labkit.solving.solutions import Solutions


@dataclass
class Settled:
    """What many circuits of one structure settle to; values are rows, one entry a circuit.

    Attributes
    ----------
    net : Network
    solution : Solution
        NaN where no solution was found.
    states : array of bool
        A line for each of the network's devices.
    others : list of (columns, Settled)
        Of the circuits that chatter, the other states they go round in.
    stuck : dict of int to str
        Circuits without a solution, with the names of the parts still moving.
    """

    net: Network
    solution: Solutions
    states: Flags
    others: list[tuple[Numbers, Settled]]
    stuck: dict[int, str]

    def take(self, keep: Numbers) -> Settled:
        """Return the same at some of the circuits only, each in its last state."""
        net = self.net.take(keep)
        stuck = {n: self.stuck[int(k)] for n, k in enumerate(keep) if int(k) in self.stuck}
        return Settled(net, self.solution.take(keep, net), self.states[:, keep], [], stuck)


def settle_many(net: Network) -> Settled:
    """Solve many circuits of one structure until the devices of each rest or go round."""
    assert net.size is not None
    states = np.zeros((len(net.settlers), net.size), bool)
    history = [states]
    cycle = np.zeros((net.size, 2), int)  # first and last round of a circuit that chatters
    found = solve_in_states(net, states)
    here, part, latest = np.arange(net.size), net, found
    while True:
        wanted = next_states(part, latest.solution, latest.states)
        going = (wanted != latest.states).any(axis=0)
        going[list(latest.stuck)] = False
        for first, earlier in enumerate(history):
            again = going & (earlier[:, here] == wanted).all(axis=0)
            if again.any():  # a fuse does not wait for what chatters
                tripped = _tripped_many(part, latest.solution, latest.states)
                wanted = np.where(again, tripped, wanted)
                again &= (tripped == latest.states).all(axis=0)
            cycle[here[again]] = first, len(history) - 1
            going &= ~again
        if len(history) >= PATIENCE + len(states):
            cycle[here[going]] = len(history) // 2, len(history) - 1
            break
        keep = np.flatnonzero(going)
        if not keep.size:
            break
        here, part = here[keep], part.take(keep)
        inner = {n: row[keep] for n, row in latest.solution.inner.items()}
        latest = solve_in_states(part, wanted[:, keep], inner)
        _put(found, here, latest)
        history.append(found.states.copy())
    found.others = list(_cycles(net, history, cycle))
    return found


def beyond(settled: Settled) -> Numbers:
    """Circuits in which a curve that stands for a part of a boat is asked beyond its stretch."""
    net, size = settled.net, settled.net.size
    if not any(isinstance(wire.law, Curve) for wire in net.wires):
        return np.zeros(0, np.intp)
    found = np.zeros(size or 0, bool) | outside(net, settled.solution.volts)
    for here, other in settled.others:
        found[here] |= outside(other.net, other.solution.volts)
    return np.flatnonzero(found)


def solve_in_states(
    net: Network, states: Flags, earlier: Mapping[int, Array] | None = None
) -> Settled:
    """Solve in given states; where no device has changed they stay plain numbers, for speed."""
    acts = {n: x.astype(float) if x.any() else 0.0 for n, x in enumerate(states)}
    solution, stuck = solve_many_networks(net, gates(net, acts), earlier)
    return Settled(net, solution, states.copy(), [], stuck)


def _put(found: Settled, here: Numbers, part: Settled) -> None:
    """Overwrite some columns by what was found for them later."""
    for row, value in zip(found.solution.rows(), part.solution.rows(), strict=True):
        row[here] = value
    found.states[:, here] = part.states
    found.stuck.update({int(here[place]): names for place, names in part.stuck.items()})


def next_states(net: Network, solution: Solutions, states: Flags) -> Flags:
    """Let one kind of device change in each circuit, the worst fuse where no other does."""
    changed = _switched_many(net, solution, states)
    rests = (changed == states).all(axis=0)
    return np.where(rests, _tripped_many(net, solution, states), changed)


def _switched_many(net: Network, solution: Solutions, states: Flags) -> Flags:
    """Let one kind of device change in each circuit."""
    changed = states.copy()
    decided = np.zeros(states.shape[1], bool)
    for kind, group in groupby(enumerate(net.settlers), lambda item: type(item[1].device)):
        if kind is not Trip:
            for n, settler in group:
                wanted = wants(net, settler, solution, states[n].astype(float), np) > 0
                changed[n] = np.where(decided, states[n], wanted)
            decided = (changed != states).any(axis=0)
    return changed


def _tripped_many(net: Network, solution: Solutions, states: Flags) -> Flags:
    """Let the fuse or breaker open that is overloaded worst in each circuit."""
    changed = states.copy()
    worst, opens = np.full(states.shape[1], 1 / CLEARLY), np.full(states.shape[1], -1)
    for n, settler in enumerate(net.settlers):
        if isinstance(settler.device, Trip):
            load = overload(settler, solution.amps(trip_wire(net, settler)), np)
            worse = ~states[n] & (load > worst * CLEARLY)
            worst, opens = np.where(worse, load, worst), np.where(worse, n, opens)
    where = np.flatnonzero(opens >= 0)
    changed[opens[where], where] = True
    return changed


def _cycles(
    net: Network, history: Sequence[Flags], cycle: Numbers
) -> Iterator[tuple[Numbers, Settled]]:
    """Solve anew the states, before the last, that circuits which chatter go round in."""
    length = cycle[:, 1] - cycle[:, 0]
    for back in range(1, int(length.max(initial=0)) + 1):
        here = np.flatnonzero(length >= back)
        states = np.array([history[cycle[c, 1] - back][:, c] for c in here]).T
        yield here, solve_in_states(net.take(here), states)

"""Devices that switch by themselves: current limits, relays, cut-outs and fuses.

A device's state is 0 as it starts (constant voltage, at rest, on, intact) or 1 as it ends up
(limiting, pulled in, off, open).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

import numpy as np
import numpy.typing as npt

from labkit.parts import CurrentLimit, CutOut, Pull, Trip
from labkit.parts.laws import Floats, Linear, Value
from labkit.solving.network import Network, Settler
from labkit.solving.newton import Solution, solve_network
from labkit.solving.newton_many import Columns, Rows, Solutions, solve_many_networks

States = dict[int, float]
_CLEARLY = 1.002  # of two fuses in line, but for a meter's current, the one met first opens
# (3 kilohm at 24 V draw 8 mA, of the 4 A or more that open a 3 A fuse)
Flags = npt.NDArray[np.bool_]

PATIENCE = 300
"""Rounds, and one for each device, after which what still changes is called chattering. Relays that
drive one another in rings can take millions of rounds until a state comes back. Chosen."""


def settle(net: Network) -> list[tuple[Solution, States]]:
    """Solve a single circuit until its devices rest.

    Returns
    -------
    list of (Solution, dict)
        One entry where it settles; where it chatters, the states it goes round in.
    """
    states: States = dict.fromkeys(range(len(net.settlers)), 0.0)
    history: list[tuple[Solution, States]] = []
    while True:
        earlier = history[-1][0].inner if history else None
        solution = solve_network(net, gates(net, states), earlier)
        history.append((solution, states))
        changed = _switched(net, solution, states)
        before = [place for place, (_, then) in enumerate(history) if then == changed]
        if before:  # all rest, or chatter; either way it is the fuses' turn
            changed = _tripped(net, solution, states)
        if changed == states:
            return history[before[0] :]
        if len(history) >= PATIENCE + len(states):
            return history[len(history) // 2 :]
        states = changed


def _switched(net: Network, solution: Solution, states: States) -> States:
    """Let one kind of device change, in the order of `net.settlers`; fuses not yet."""
    changed = dict(states)
    kind: type = object
    for n, settler in enumerate(net.settlers):
        if isinstance(settler.device, Trip) or not isinstance(settler.device, kind):
            break
        wanted = wants(net, settler, solution, states[n], Floats)
        if wanted != states[n]:
            kind = type(settler.device)
            changed[n] = wanted
    return changed


def _tripped(net: Network, solution: Solution, states: States) -> States:
    """Let the fuse or breaker open that is overloaded worst."""
    changed, worst = states, 1 / _CLEARLY
    for n, settler in enumerate(net.settlers):
        if isinstance(settler.device, Trip) and not states[n]:
            load = overload(settler, solution.amps[_trip(net, settler)], Floats)
            if load > worst * _CLEARLY:
                worst, changed = load, {**states, n: 1.0}
    return changed


def gates(net: Network, states: Mapping[int, Value]) -> dict[int, tuple[Value, Value]]:
    """What the devices' states do to their branches: a factor, and a source current to add."""
    found: dict[int, tuple[Value, Value]] = {}
    for n, settler in enumerate(net.settlers):
        x, device = states[n] * settler.active, settler.device
        if isinstance(device, CurrentLimit):
            continue  # its law holds the current; its state says only whether it does
        if isinstance(device, Pull):
            made = x + (1.0 - settler.active)
            for role in device.make:
                _gate(found, net, settler, role, made)
            for role in device.rest:
                _gate(found, net, settler, role, 1.0 - x)
        else:
            _gate(found, net, settler, device.role, 1.0 - x)
    return found


def _gate(
    found: dict[int, tuple[Value, Value]],
    net: Network,
    settler: Settler,
    role: str,
    factor: Value,
    extra: Value = 0.0,
) -> None:
    n = net.index.get((settler.owner, role))
    if n is not None:
        other, beside = found.get(n, (1.0, 0.0))
        found[n] = factor * other, extra + beside


def overload(settler: Settler, amps: Value, xp: Any) -> Value:
    """Current of a fuse or breaker as a share of what opens it."""
    assert isinstance(settler.device, Trip)
    return xp.absolute(amps) / settler.device.amps * settler.active


def _trip(net: Network, settler: Settler) -> int:
    assert isinstance(settler.device, Trip)
    return net.index[settler.owner, settler.device.role]


def wants(
    net: Network, settler: Settler, solution: Solution | Solutions, x: Value, xp: Any
) -> Value:
    """State a current limit, relay or cut-out would change to."""
    above = margin(net, settler, solution, x, xp) >= 0
    yes, no = (1.0, 0.0) if isinstance(settler.device, Pull) else (0.0, 1.0)
    return xp.where(above, yes, no) * settler.active


def margin(
    net: Network, settler: Settler, solution: Solution | Solutions, x: Value, xp: Any
) -> Value:
    """Voltage of a current limit, relay or cut-out above the one it changes at. [V]"""
    device = settler.device
    if isinstance(device, Pull):
        volts = xp.absolute(_across(net, solution, settler.owner, device.coil))
        volts = volts * _there(net, settler.owner, device.coil)
        return volts - xp.where(x > 0, device.drop_out, device.pull_in)
    if isinstance(device, CutOut):
        volts = _across(net, solution, settler.owner, device.role)
        return volts - xp.where(x > 0, device.restart, device.cut_out)
    assert isinstance(device, CurrentLimit)
    # By the voltage alone, so that both states are judged alike: more current than the limit
    # would flow exactly where the terminals stand lower than the limit lets them.
    volts = -_across(net, solution, settler.owner, device.role)
    return volts - (device.emf - device.amps * device.resistance)


def _across(net: Network, solution: Solution | Solutions, owner: str, role: str) -> Value:
    n = net.index.get((owner, role))
    if n is None:
        return 0.0
    wire, islands = net.wires[n], solution.islands
    # Between two islands there is no voltage to speak of.
    alike = islands[wire.first] == islands[wire.second]
    return (solution.volts[wire.first] - solution.volts[wire.second]) * alike


def _there(net: Network, owner: str, role: str) -> Value:
    """Tell of a linear branch whether it conducts at all: 1 or True, 0 or False."""
    n = net.index.get((owner, role))
    if n is None:
        return 0.0
    law = net.wires[n].law
    assert isinstance(law, Linear)
    return law.conductance > 0


# -- many circuits -------------------------------------------------------------------------------


@dataclass
class Settled:
    """What many circuits of one structure settle to; values are rows, one entry a circuit.

    Attributes
    ----------
    net : Network
    solution : Solution
        Not a number where there is none.
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
    others: list[tuple[Columns, Settled]]
    stuck: dict[int, str]

    def take(self, keep: Columns) -> Settled:
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


def solve_in_states(
    net: Network, states: Flags, earlier: Mapping[int, Rows] | None = None
) -> Settled:
    """Solve in given states; where no device has changed they stay plain numbers, for speed."""
    acts = {n: x.astype(float) if x.any() else 0.0 for n, x in enumerate(states)}
    solution, stuck = solve_many_networks(net, gates(net, acts), earlier)
    return Settled(net, solution, states.copy(), [], stuck)


def _put(found: Settled, here: Columns, part: Settled) -> None:
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
    """As `_switched`: let one kind of device change in each circuit."""
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
    """As `_tripped`: let the fuse or breaker open that is overloaded worst in each circuit."""
    changed = states.copy()
    worst, opens = np.full(states.shape[1], 1 / _CLEARLY), np.full(states.shape[1], -1)
    for n, settler in enumerate(net.settlers):
        if isinstance(settler.device, Trip):
            load = overload(settler, solution.amps(_trip(net, settler)), np)
            worse = ~states[n] & (load > worst * _CLEARLY)
            worst, opens = np.where(worse, load, worst), np.where(worse, n, opens)
    where = np.flatnonzero(opens >= 0)
    changed[opens[where], where] = True
    return changed


def _cycles(
    net: Network, history: Sequence[Flags], cycle: npt.NDArray[np.intp]
) -> Iterator[tuple[Columns, Settled]]:
    """Solve anew the states, before the last, that circuits which chatter go round in."""
    length = cycle[:, 1] - cycle[:, 0]
    for back in range(1, int(length.max(initial=0)) + 1):
        here = np.flatnonzero(length >= back)
        states = np.array([history[cycle[c, 1] - back][:, c] for c in here]).T
        yield here, solve_in_states(net.take(here), states)

"""Devices that switch by themselves: current limits, relays, cut-outs and fuses.

A device's state is 0 as it starts (constant voltage, at rest, on, intact) or 1 as it ends up
(limiting, pulled in, off, open).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from labkit.parts import CurrentLimit, CutOut, Guard, Pull, Trip
from labkit.parts.laws import Floats, Linear, Value
from labkit.solving.network import Network, Settler
from labkit.solving.newton import Solution, solve_network

if TYPE_CHECKING:
    from labkit.solving.solutions import Solutions

States = dict[int, float]
CLEARLY = 1.002
"""Of two fuses in line, but for a meter's current, the one met first opens: 3 kilohm at 24 V draw
8 mA, of the 4 A or more that open a 3 A fuse."""

PATIENCE = 300
"""Rounds, and one for each device, after which what still changes is called chattering. Relays that
drive one another in rings can take millions of rounds until a state comes back. Chosen."""


def settle(
    net: Network,
    states: Mapping[int, float] | None = None,
    inner: dict[int, Value] | None = None,
) -> list[tuple[Solution, States]]:
    """Solve a single circuit until its devices rest.

    Parameters
    ----------
    net : Network
    states : mapping of int to float, optional
        Of its devices before; from rest where there was no before.
    inner : dict of int to float, optional
        `inner` of a solution before, to begin from.

    Returns
    -------
    list of (Solution, dict)
        One entry where it settles; where it chatters, the states it goes round in.
    """
    states = dict.fromkeys(range(len(net.settlers)), 0.0) | dict(states or {})
    history: list[tuple[Solution, States]] = []
    while True:
        earlier = history[-1][0].inner if history else inner
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
    changed, worst = states, 1 / CLEARLY
    for n, settler in enumerate(net.settlers):
        if isinstance(settler.device, Trip) and not states[n]:
            load = overload(settler, solution.amps[trip_wire(net, settler)], Floats)
            if load > worst * CLEARLY:
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
            for role in device.opens:
                _gate(found, net, settler, role, 1.0 - x)
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


def trip_wire(net: Network, settler: Settler) -> int:
    """Number of the branch that a fuse or breaker opens."""
    assert isinstance(settler.device, Trip)
    return net.index[settler.owner, settler.device.role]


def wants(
    net: Network, settler: Settler, solution: Solution | Solutions, x: Value, xp: Any
) -> Value:
    """State a current limit, relay, cut-out or guard would change to."""
    above = margin(net, settler, solution, x, xp) >= 0
    yes, no = (1.0, 0.0) if isinstance(settler.device, Pull) else (0.0, 1.0)
    return xp.where(above, yes, no) * settler.active


def margin(
    net: Network, settler: Settler, solution: Solution | Solutions, x: Value, xp: Any
) -> Value:
    """Voltage of a current limit, relay or cut-out above the one it changes at. [V]"""
    device = settler.device
    if isinstance(device, Pull) and device.beside:
        both = (_carried(net, solution, settler.owner, r) for r in (device.coil, device.beside))
        turns = xp.absolute(sum(both)) / device.sound
        lets_go = xp.where(x > 0, device.drop_out, device.pull_in * (1 + device.share))
        return (turns - lets_go) / (1 + device.share)
    if isinstance(device, Pull):
        coils = (device.coil, device.other) if device.other else (device.coil,)
        at = [
            xp.absolute(_across(net, solution, settler.owner, coil))
            * _there(net, settler.owner, coil)
            for coil in coils
        ]
        volts = at[0] if len(at) == 1 else xp.maximum(*at)
        return volts - xp.where(x > 0, device.drop_out, device.pull_in)
    if isinstance(device, CutOut):
        volts = _across(net, solution, settler.owner, device.role)
        return volts - xp.where(x > 0, device.restart, device.cut_out)
    if isinstance(device, Guard):
        volts = -_across(net, solution, settler.owner, device.role)
        low = xp.where(x > 0, device.wakes, device.low)
        return xp.minimum(volts - low, xp.where(x > 0, device.calms, device.high) - volts)
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


def _carried(net: Network, solution: Solution | Solutions, owner: str, role: str) -> Value:
    """Current of a winding. [A]"""
    n = net.index.get((owner, role))
    if n is None:
        return 0.0
    law = net.wires[n].law
    assert isinstance(law, Linear)
    return _across(net, solution, owner, role) * law.conductance


def _there(net: Network, owner: str, role: str) -> Value:
    """Tell of a linear branch whether it conducts at all: 1 or True, 0 or False."""
    n = net.index.get((owner, role))
    if n is None:
        return 0.0
    law = net.wires[n].law
    assert isinstance(law, Linear)
    return law.conductance > 0

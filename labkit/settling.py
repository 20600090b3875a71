"""Devices that switch by themselves: current limits, relays, cut-outs and fuses.

A device's state is 0 as it starts (constant voltage, at rest, on, intact) or 1 as it ends up
(limiting, pulled in, off, open).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from labkit.laws import Floats, Value
from labkit.network import Network, Settler
from labkit.newton import Solution, solve_network
from labkit.parts import CurrentLimit, CutOut, Pull, Trip

States = dict[int, float]


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
        for place, (_, earlier) in enumerate(history):
            if earlier == states:
                return history[place:]
        solution = solve_network(net, gates(net, states))
        history.append((solution, states))
        changed = _next(net, solution, states)
        if changed == states:
            return history[-1:]
        states = changed


def _next(net: Network, solution: Solution, states: States) -> States:
    """Let one kind of device change, in the order of `net.settlers`; of fuses the worst alone."""
    changed = dict(states)
    kind: type | None = None
    worst = 1.0
    for n, settler in enumerate(net.settlers):
        if kind is not None and not isinstance(settler.device, kind):
            break
        if isinstance(settler.device, Trip):
            load = overload(net, settler, solution, Floats)
            if not states[n] and load > worst:
                worst, changed = load, {**states, n: 1.0}
            continue
        wanted = wants(net, settler, solution, states[n], Floats)
        if wanted != states[n]:
            kind = type(settler.device)
            changed[n] = wanted
    return changed


def gates(net: Network, states: Mapping[int, Value]) -> dict[int, tuple[Value, Value]]:
    """What the devices' states do to their branches: a factor, and a source current to add."""
    found: dict[int, tuple[Value, Value]] = {}
    for n, settler in enumerate(net.settlers):
        x, device = states[n] * settler.active, settler.device
        if isinstance(device, CurrentLimit):
            found[net.index[settler.owner, device.role]] = 1.0 - x, x * device.amps
        elif isinstance(device, Pull):
            made = x + (1.0 - settler.active)
            for role in device.make:
                _gate(found, net, settler, role, made)
            for role in device.rest:
                _gate(found, net, settler, role, 1.0 - x)
        else:
            _gate(found, net, settler, device.role, 1.0 - x)
    return found


def _gate(
    found: dict[int, tuple[Value, Value]], net: Network, settler: Settler, role: str, factor: Value
) -> None:
    n = net.index.get((settler.owner, role))
    if n is not None:
        found[n] = factor, 0.0


def overload(net: Network, settler: Settler, solution: Solution, xp: Any) -> Value:
    """Current of a fuse or breaker as a share of what opens it."""
    assert isinstance(settler.device, Trip)
    n = net.index[settler.owner, settler.device.role]
    return xp.absolute(solution.amps[n]) / settler.device.amps * settler.active


def wants(net: Network, settler: Settler, solution: Solution, x: Value, xp: Any) -> Value:
    """State a current limit, relay or cut-out would change to."""
    device = settler.device
    if isinstance(device, Pull):
        volts = xp.absolute(_across(net, solution, settler.owner, device.coil))
        threshold = xp.where(x > 0, device.drop_out, device.pull_in)
        return xp.where(volts >= threshold, 1.0, 0.0) * settler.active
    if isinstance(device, CutOut):
        volts = _across(net, solution, settler.owner, device.role)
        threshold = xp.where(x > 0, device.restart, device.cut_out)
        return xp.where(volts >= threshold, 0.0, 1.0) * settler.active
    assert isinstance(device, CurrentLimit)
    # By the voltage alone, so that both states are judged alike: more current than the limit
    # would flow exactly where the terminals stand lower than the limit lets them.
    volts = -_across(net, solution, settler.owner, device.role)
    return xp.where(volts < device.emf - device.amps * device.resistance, 1.0, 0.0) * settler.active


def _across(net: Network, solution: Solution, owner: str, role: str) -> Value:
    n = net.index.get((owner, role))
    if n is None:
        return 0.0
    wire, tied = net.wires[n], solution.tied
    # Between a node that floats and one that does not there is no voltage to speak of.
    alike = (tied[wire.first] == 0) == (tied[wire.second] == 0)
    return (solution.volts[wire.first] - solution.volts[wire.second]) * alike

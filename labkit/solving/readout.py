"""What is read from a solved network: currents of parts, speeds, which word holds for a state.

One set of functions serves one circuit, on floats with `Floats`, and many, on rows with numpy: see
:mod:`labkit.parts.laws`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import reduce
from operator import add
from typing import Any

from labkit.parts import Part
from labkit.parts.laws import Limited, Linear, Value
from labkit.parts.rotor import Motor
from labkit.solving.network import Network

IDEAL = 1e7
"""Above this conductance a source's current is taken from its node. [S]"""

STEADY = 1e-9
"""What differs by more between the states a circuit goes round in has no number. [V, A]"""

Amps = Callable[[int], Value]
"""Current of a wire of a network, by its number. [A]"""


def flows(net: Network, amps: Amps, xp: Any) -> dict[str, dict[str, Value]]:
    """Currents of every part's branches, by part and role; what leaks away is not among them."""
    found: dict[str, dict[str, Value]] = {}
    for n, wire in enumerate(net.wires):
        if not wire.role.startswith("leak"):
            found.setdefault(wire.owner, {})[wire.role] = _from_node(net, amps, n, xp)
    return found


def _from_node(net: Network, amps: Amps, n: int, xp: Any) -> Value:
    """Current of a branch; of a source without resistance what the rest of its node passes on."""
    wire, found = net.wires[n], amps(n)
    ideal = _ideal(net, n)
    if ideal is False or not xp.any(ideal):
        return found
    for node, sign in ((wire.second, 1.0), (wire.first, -1.0)):
        total, known = 0.0 * found, ideal
        for m, other in enumerate(net.wires):
            if m != n and other.first != other.second and node in (other.first, other.second):
                known = xp.where(_ideal(net, m), False, known)
                total = total + amps(m) * (1.0 if other.first == node else -1.0)
        found = xp.where(known, sign * total, found)
    return found


def _ideal(net: Network, n: int) -> Value:
    law = net.wires[n].law
    return isinstance(law, Linear | Limited) and law.conductance > IDEAL


def currents(part: Part, flows: Mapping[str, Value], nothing: Value) -> dict[str, Value]:
    """Currents of a part and, where it has several, of its ways: 'K1', 'K1 30-87'. [A]

    Parameters
    ----------
    part : Part
    flows : mapping of str to float or array
        Currents of its branches by their roles. [A]
    nothing : float or array
        What stands for no current.
    """
    ways = part.ways()
    if len(ways) == 1:
        along = (-i if role.startswith("reversed") else i for role, i in flows.items())
        return {part.id: _sum(along, nothing)}
    found = {way: _sum(_of_way(part, way, flows), nothing) for way in ways}
    whole = _sum((found[way] for way in part.counted()), nothing)
    return {**{f"{part.id} {a}-{b}": i for (a, b), i in found.items()}, part.id: whole}


def _of_way(
    part: Part, way: tuple[str, str], flows: Mapping[str, Value]
) -> Iterable[Value]:  # fmt: skip  # rows that a reader compares
    """Currents of the branches along one of several ways; a short is in the last."""
    last = way == part.ways()[-1]
    roles = part.roles(way)
    return (i for role, i in flows.items() if role in roles or (last and role.startswith("short")))


def _sum(values: Iterable[Value], nothing: Value) -> Value:
    return reduce(add, found) if (found := list(values)) else nothing


def speed(net: Network, inner: Any, id: str, xp: Any, nothing: Value) -> Value:
    """Speed of what turns, as a fraction of rated; `inner` are the voltages behind resistances."""
    total = nothing
    for role in ("main", "reversed"):
        n = net.index.get((id, role))
        if n is not None:
            law = net.wires[n].law
            assert isinstance(law, Motor)
            total = total + xp.where(law.present > 0, law.speed(inner[n], xp), 0.0)
    return total


def which_state(has_device: Value, acts: Value, xp: Any) -> Value:
    """Number of the word in :attr:`labkit.parts.Part.states` that holds."""
    return xp.where(has_device, xp.where(acts, 1, 0), 2)

"""A circuit, or many alike, flattened to nodes and branches for the solver."""

from __future__ import annotations

import copy
import dataclasses
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.parts import (
    TRIP_RATIO,
    Branch,
    CurrentLimit,
    CutOut,
    Device,
    Guard,
    Pull,
    Trip,
)
from labkit.parts.laws import Law, Linear, Value
from labkit.solving.elimination import REFERENCE, Plan, plan

_DEVICE_ORDER = (CurrentLimit, Guard, Pull, CutOut, Trip)


class Wire(NamedTuple):
    """A branch between two numbered nodes. `owner` is the part or bridge it belongs to."""

    owner: str
    role: str
    first: int
    second: int
    law: Law


class Settler(NamedTuple):
    """A part's device with its branches looked up; `active` is 0 where the part has none."""

    owner: str
    device: Device
    active: Value


@dataclass
class Network:
    """Nodes, branches and devices of one circuit, or of `size` circuits of the same structure."""

    node_of: Mapping[str, int]
    wires: list[Wire]
    settlers: list[Settler]
    size: int | None = None  # None: plain floats
    index: dict[tuple[str, str], int] = dataclasses.field(default_factory=dict)

    def __post_init__(self) -> None:
        self.index = {(wire.owner, wire.role): n for n, wire in enumerate(self.wires)}
        self.nodes = max(self.node_of.values(), default=0) + 1

    def with_laws(self, laws: Mapping[int, Law]) -> Network:
        """Return the same network where some branches have another law.

        Where a straight one is not made curved, nor the other way about, all of them share a plan.
        """
        wires = list(self.wires)
        bent = False
        for n, law in laws.items():
            bent |= isinstance(law, Linear) != isinstance(wires[n].law, Linear)
            wires[n] = wires[n]._replace(law=law)
        if bent:
            return Network(self.node_of, wires, self.settlers, self.size)
        _ = self.places  # worked out before it is copied
        other = copy.copy(self)
        other.wires = wires
        return other

    @cached_property
    def curved(self) -> list[int]:
        """Numbers of the branches whose law is no straight line."""
        return [n for n, wire in enumerate(self.wires) if not isinstance(wire.law, Linear)]

    @cached_property
    def plan(self) -> Plan:
        """Order of elimination, cached by structure."""
        edges = frozenset((w.first, w.second) for w in self.wires)
        curved = (self.wires[n] for n in self.curved)
        ends = frozenset(n for w in curved if w.first != w.second for n in (w.first, w.second))
        return plan(self.nodes, edges, ends)

    @cached_property
    def places(self) -> list[tuple[int, float] | None]:
        """Edge of each branch and its sign there, as the plan has it; None of one to itself."""
        edge = self.plan.edge
        return [edge(w.first, w.second) if w.first != w.second else None for w in self.wires]

    @property
    def bound(self) -> Value:
        """Sum of all EMFs, which no voltage in a passive network exceeds. [V]"""
        total: Value = 1.0
        for wire in self.wires:
            if isinstance(wire.law, Linear):
                if _is_row(wire.law.source) or wire.law.source:
                    # 1e-300 is lost beside any conductance but none.
                    total = total + abs(wire.law.source) / (wire.law.conductance + 1e-300)
            else:
                total = total + wire.law.drives()
        return total

    def take(self, keep: Any) -> Network:
        """Return the same network at some of its points only, given by their numbers."""
        wires = [w._replace(law=w.law.take(keep)) for w in self.wires]
        settlers = [
            Settler(
                s.owner, take(s.device, keep), s.active[keep] if _is_row(s.active) else s.active
            )
            for s in self.settlers
        ]
        return Network(self.node_of, wires, settlers, len(keep))


def take(record: Any, keep: Any) -> Any:
    """Return a dataclass of floats and rows at some of its points only."""
    rows = {
        f.name: row[keep]
        for f in dataclasses.fields(record)
        if _is_row(row := getattr(record, f.name))
    }
    return dataclasses.replace(record, **rows) if rows else record


def _is_row(value: Value) -> bool:
    """Tell a numpy row from a plain number, without loading numpy for the sake of plain numbers."""
    return getattr(value, "ndim", 0) > 0


def number_nodes(circuit: Circuit) -> dict[str, int]:
    """Number the nodes, DC- as 0: terminal or name to number."""
    numbers = {NEGATIVE: REFERENCE}
    found = {NEGATIVE: REFERENCE}
    for member, label in circuit.node_of.items():
        found[member] = numbers.setdefault(label, len(numbers))
    return found


def flatten(
    circuit: Circuit, memory: Mapping[str, Mapping[str, Value]] | None = None, dt: float = math.inf
) -> Network:
    """Flatten one circuit, its values plain floats.

    Parameters
    ----------
    circuit : Circuit
    memory : mapping of str to mapping of str to float, optional
        What parts remember, as :attr:`labkit.parts.base.PartState.memory` has it.
    dt : float
        The step of time at whose end the circuit is looked at. [s]
    """
    node_of = number_nodes(circuit)
    wires, settlers = [], []
    for id, part in circuit.parts.items():
        state = circuit.state_of(id)
        if memory is not None:
            state = dataclasses.replace(state, memory=memory.get(id, {}), dt=dt)
        model = part.model(state)
        wires += wires_of(id, model.branches, node_of)
        if model.device is not None:
            settlers.append(Settler(id, model.device, 1.0))
    add_bridges(circuit, node_of, wires, settlers)
    return Network(node_of, wires, in_order(settlers))


def wires_of(owner: str, branches: Iterable[Branch], node_of: Mapping[str, int]) -> list[Wire]:
    """Number the ends of a part's branches; a relay's contact no run passes joins nothing."""
    wires = []
    for branch in branches:
        first = node_of.get(f"{owner}:{branch.first}")
        second = node_of.get(far_end(owner, branch))
        if first is not None and second is not None:
            wires.append(Wire(owner, branch.role, first, second, branch.law))
    return wires


def far_end(owner: str, branch: Branch) -> str:
    """Point of the circuit at which a part's branch ends."""
    there = branch.elsewhere or branch.second == NEGATIVE
    return branch.second if there else f"{owner}:{branch.second}"


def add_bridges(
    circuit: Circuit, node_of: Mapping[str, int], wires: list[Wire], settlers: list[Settler]
) -> None:
    """Add jumpers and test lamps, and the fuse of a jumper."""
    for b in circuit.bridges:
        wires.append(Wire(b.id, "bridge", node_of[b.first], node_of[b.second], b.law))
        if b.fuse is not None:
            settlers.append(Settler(b.id, Trip("bridge", TRIP_RATIO * b.fuse), 1.0))


def in_order(settlers: list[Settler]) -> list[Settler]:
    """Sort devices by which settles before which."""
    return sorted(settlers, key=lambda s: _DEVICE_ORDER.index(type(s.device)))

"""A circuit, or many alike, flattened to nodes and branches for the solver."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from labkit.circuit import NEGATIVE, Circuit
from labkit.elimination import REFERENCE, Plan, plan
from labkit.laws import Law, Linear, Value
from labkit.parts import TRIP_RATIO, Branch, CurrentLimit, CutOut, Device, Model, Pull, Trip

_DEVICE_ORDER = (CurrentLimit, Pull, CutOut, Trip)


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

    @property
    def plan(self) -> Plan:
        """Order of elimination, cached by structure."""
        edges = frozenset((w.first, w.second) for w in self.wires)
        curved = frozenset(
            node
            for w in self.wires
            if not isinstance(w.law, Linear) and w.first != w.second
            for node in (w.first, w.second)
        )
        return plan(self.nodes, edges, curved)

    @property
    def bound(self) -> Value:
        """Sum of all EMFs, which no voltage in a passive network exceeds. [V]"""
        total: Value = 1.0
        for wire in self.wires:
            if isinstance(wire.law, Linear):
                if np.ndim(wire.law.source) or np.ndim(wire.law.conductance):
                    held = np.maximum(wire.law.conductance, 1e-300)
                    total = total + np.abs(wire.law.source) / held
                elif wire.law.source:
                    total = total + abs(wire.law.source) / wire.law.conductance
        return total

    def take(self, keep: Any) -> Network:
        """Return the same network at some of its points only."""
        wires = [w._replace(law=w.law.take(keep)) for w in self.wires]
        settlers = [
            Settler(
                s.owner, take(s.device, keep), s.active[keep] if np.ndim(s.active) else s.active
            )
            for s in self.settlers
        ]
        return Network(self.node_of, wires, settlers, int(np.count_nonzero(keep)))


def take(record: Any, keep: Any) -> Any:
    """Return a dataclass of floats and rows at some of its points only."""
    rows = {
        f.name: row[keep]
        for f in dataclasses.fields(record)
        if np.ndim(row := getattr(record, f.name)) and isinstance(row, np.ndarray)
    }
    return dataclasses.replace(record, **rows) if rows else record


def number_nodes(circuit: Circuit) -> dict[str, int]:
    """Number the nodes, DC- as 0: terminal or name to number."""
    numbers = {NEGATIVE: REFERENCE}
    found = {NEGATIVE: REFERENCE}
    for member, label in circuit.node_of.items():
        found[member] = numbers.setdefault(label, len(numbers))
    return found


def flatten(circuit: Circuit) -> Network:
    """Flatten one circuit, its values plain floats."""
    node_of = number_nodes(circuit)
    wires, settlers = [], []
    for id, part in circuit.parts.items():
        model = part.model(circuit.state_of(id))
        wires += [_wire(id, b, node_of) for b in model.branches if _meets(id, b, node_of)]
        if model.device is not None:
            settlers.append(Settler(id, model.device, 1.0))
    _add_bridges(circuit, node_of, wires, settlers)
    return Network(node_of, wires, _ordered(settlers))


def flatten_many(circuits: Sequence[Circuit]) -> Network:
    """Flatten circuits that differ in faults and positions only; values that differ become rows.

    All must have the same parts, connections taken apart and bridges.
    """
    base = circuits[0]
    node_of = number_nodes(base)
    size = len(circuits)
    columns = _changed(circuits)
    wires, settlers = [], []
    for id, part in base.parts.items():
        sound = part.model(base.state_of(id))
        models: dict[Any, tuple[Model, list[int]]] = {}
        for column in columns.get(id, ()):
            state = circuits[column].state_of(id)
            key = (state.position, state.faults)
            if key not in models:
                models[key] = (part.model(state), [])
            models[key][1].append(column)
        variants = [(sound, []), *models.values()]
        wires += [
            _wire(id, branch, node_of)
            for branch in _merged(variants, size)
            if _meets(id, branch, node_of)
        ]
        settler = _merged_device(id, variants, size)
        if settler is not None:
            settlers.append(settler)
    _add_bridges(base, node_of, wires, settlers)
    return Network(node_of, wires, _ordered(settlers), size)


def _wire(owner: str, branch: Branch, node_of: Mapping[str, int]) -> Wire:
    first, second = (node_of[_point(owner, end)] for end in (branch.first, branch.second))
    return Wire(owner, branch.role, first, second, branch.law)


def _meets(owner: str, branch: Branch, node_of: Mapping[str, int]) -> bool:
    """Tell whether some run passes by both ends: an unused contact of a relay joins nothing."""
    return all(_point(owner, end) in node_of for end in (branch.first, branch.second))


def _point(owner: str, end: str) -> str:
    return NEGATIVE if end == NEGATIVE else f"{owner}:{end}"


def _add_bridges(
    circuit: Circuit, node_of: Mapping[str, int], wires: list[Wire], settlers: list[Settler]
) -> None:
    for b in circuit.bridges:
        wires.append(Wire(b.id, "bridge", node_of[b.first], node_of[b.second], b.law))
        if b.fuse is not None:
            settlers.append(Settler(b.id, Trip("bridge", TRIP_RATIO * b.fuse), 1.0))


def _ordered(settlers: list[Settler]) -> list[Settler]:
    return sorted(settlers, key=lambda s: _DEVICE_ORDER.index(type(s.device)))


def _changed(circuits: Sequence[Circuit]) -> dict[str, list[int]]:
    """Part to the columns in which it is not as in the first circuit."""
    base = circuits[0]
    plain = {f.part for f in base.faults} | base.disturbed
    found: dict[str, list[int]] = {}
    for column, other in enumerate(circuits):
        touched = {f.part for f in other.faults} | plain | other.disturbed
        if other.positions is not base.positions:
            touched |= {i for i, w in other.positions.items() if base.positions.get(i) != w}
        for id in touched:
            found.setdefault(id, []).append(column)
    return found


def _merged(variants: list[tuple[Model, list[int]]], size: int) -> list[Branch]:
    """Branches that are there in any variant, their laws' values as rows where they differ."""
    roles: dict[str, Branch] = {}
    for model, _ in variants:
        for branch in model.branches:
            roles.setdefault(branch.role, branch)
    merged = []
    for role, pattern in roles.items():
        laws = [(_law(model, role, pattern.law), where) for model, where in variants]
        fields = {
            f.name: _row([(getattr(law, f.name), where) for law, where in laws], size)
            for f in dataclasses.fields(pattern.law)
        }
        law = dataclasses.replace(pattern.law, **fields)
        merged.append(Branch(role, pattern.first, pattern.second, law))
    return merged


def _law(model: Model, role: str, pattern: Law) -> Law:
    """A variant's law for a role, or one that conducts nothing where the variant has none."""
    for branch in model.branches:
        if branch.role == role:
            return branch.law
    if isinstance(pattern, Linear):
        return Linear()
    return dataclasses.replace(pattern, present=0.0)


def _row(values: list[tuple[Any, list[int]]], size: int) -> Value:
    """One value if all variants agree, else a row: the first's, then the others' columns."""
    first = values[0][0]
    if all(value == first for value, _ in values):
        return first
    row = np.full(size, first, dtype=float)
    for value, where in values[1:]:
        row[where] = value
    return row


def _merged_device(id: str, variants: list[tuple[Model, list[int]]], size: int) -> Settler | None:
    devices = [model.device for model, _ in variants]
    pattern = next((d for d in devices if d is not None), None)
    if pattern is None:
        return None
    active = _row([(float(m.device is not None), where) for m, where in variants], size)
    fields = {}
    for f in dataclasses.fields(pattern):
        values = [(getattr(m.device or pattern, f.name), where) for m, where in variants]
        first = values[0][0]
        fields[f.name] = (
            _row(values, size) if isinstance(first, float) else getattr(pattern, f.name)
        )
    return Settler(id, dataclasses.replace(pattern, **fields), active)

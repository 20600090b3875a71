"""A circuit, or many alike, flattened to nodes and branches for the solver."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from labkit.circuit import NEGATIVE, Circuit
from labkit.elimination import REFERENCE, Plan, plan
from labkit.laws import Law, Limited, Linear, Value
from labkit.parts import (
    TRIP_RATIO,
    Branch,
    CurrentLimit,
    CutOut,
    Device,
    Fault,
    Model,
    PartState,
    Pull,
    Trip,
)

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
                if not isinstance(wire.law.source, float):
                    held = np.maximum(wire.law.conductance, 1e-300)
                    total = total + np.abs(wire.law.source) / held
                elif wire.law.source:
                    total = total + abs(wire.law.source) / wire.law.conductance
            elif isinstance(wire.law, Limited):
                total = total + wire.law.emf
        return total

    def take(self, keep: Any) -> Network:
        """Return the same network at some of its points only, given by their numbers."""
        wires = [w._replace(law=w.law.take(keep)) for w in self.wires]
        settlers = [
            Settler(
                s.owner, take(s.device, keep), s.active[keep] if np.ndim(s.active) else s.active
            )
            for s in self.settlers
        ]
        return Network(self.node_of, wires, settlers, len(keep))


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
    variants = _variants(circuits)
    wires, settlers = [], []
    for id, part in base.parts.items():
        states, column = variants.get(id, ([base.state_of(id)], None))
        models = [part.model(state) for state in states]
        wires += [
            _wire(id, branch, node_of)
            for branch in _merged(models, column)
            if _meets(id, branch, node_of)
        ]
        settlers += _merged_devices(id, models, column)
    _add_bridges(base, node_of, wires, settlers)
    return Network(node_of, wires, _ordered(settlers), len(circuits))


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


# -- many circuits: the states a part is in, and which circuit has which ------------------------

_Column = np.ndarray[Any, np.dtype[np.intp]] | None  # of each circuit its variant; None: all alike


def _variants(circuits: Sequence[Circuit]) -> dict[str, tuple[list[PartState], _Column]]:
    """Part to the states it is found in, and which of them in which circuit, if not always one."""
    base, size = circuits[0], len(circuits)
    faults: dict[str, dict[int, tuple[Fault, ...]]] = {}
    for n, circuit in enumerate(circuits):
        for fault in circuit.faults:
            if fault.mode != "intermittent" or fault.part in circuit.disturbed:
                there = faults.setdefault(fault.part, {})
                there[n] = (*there.get(n, ()), fault)
    settings = {id(c.positions): c.positions for c in circuits}
    place = {key: n for n, key in enumerate(settings)}
    setting = np.array([place[id(c.positions)] for c in circuits])
    found = {}
    for part in base.parts:
        words = [positions.get(part, "") for positions in settings.values()]
        if part not in faults and len(set(words)) == 1:
            continue
        seen: dict[tuple[str, tuple[Fault, ...]], int] = {}
        column = np.array([seen.setdefault((word, ()), len(seen)) for word in words])[setting]
        for n, these in faults.get(part, {}).items():
            column[n] = seen.setdefault((words[setting[n]], these), len(seen))
        found[part] = ([PartState(base.system, *key) for key in seen], column)
    assert all(column is None or len(column) == size for _, column in found.values())
    return found


def _row(values: list[Any], column: _Column) -> Value:
    """One value if all variants have the same, else a row."""
    if column is None or all(value == values[0] for value in values):
        return values[0]
    return np.array(values, dtype=float)[column]


def _merged(models: list[Model], column: _Column) -> list[Branch]:
    """Branches that are there in any variant, their laws' values as rows where they differ."""
    if column is None:
        return list(models[0].branches)
    by_role = [_by_role(model) for model in models]
    patterns = {key: branch for branches in reversed(by_role) for key, branch in branches.items()}
    merged = []
    for key, pattern in patterns.items():
        laws = [_law(branches.get(key), pattern.law) for branches in by_role]
        fields = {
            f.name: _row([getattr(law, f.name) for law in laws], column)
            for f in dataclasses.fields(pattern.law)
        }
        law = dataclasses.replace(pattern.law, **fields)
        merged.append(Branch(pattern.role, pattern.first, pattern.second, law))
    return merged


def _by_role(model: Model) -> dict[tuple[str, int], Branch]:
    """Branches by role, and by number where a part has two of one role, such as two leaks."""
    found: dict[tuple[str, int], Branch] = {}
    for branch in model.branches:
        nth = sum(role == branch.role for role, _ in found)
        found[branch.role, nth] = branch
    return found


def _law(branch: Branch | None, pattern: Law) -> Law:
    """A variant's law, or one that conducts nothing where the variant has no such branch."""
    if branch is not None:
        return branch.law
    if isinstance(pattern, Linear):
        return Linear()
    return dataclasses.replace(pattern, present=0.0)


def _merged_devices(id: str, models: list[Model], column: _Column) -> list[Settler]:
    """Devices of a part: one for each way in which its device acts on its branches."""
    alike: dict[tuple[Any, ...], list[Device | None]] = {}
    for n, model in enumerate(models):
        if model.device is not None:
            key = (type(model.device), *_acts(model.device))
            alike.setdefault(key, [None] * len(models))[n] = model.device
    settlers = []
    for devices in alike.values():
        pattern = next(d for d in devices if d is not None)
        fields = {
            f.name: _row([getattr(d or pattern, f.name) for d in devices], column)
            for f in dataclasses.fields(pattern)
            if isinstance(getattr(pattern, f.name), float)
        }
        active = _row([float(d is not None) for d in devices], column)
        settlers.append(Settler(id, dataclasses.replace(pattern, **fields), active))
    return settlers


def _acts(device: Device) -> list[Any]:
    values = [getattr(device, f.name) for f in dataclasses.fields(device)]
    return [value for value in values if not isinstance(value, float)]

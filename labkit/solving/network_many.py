"""Many circuits of one structure flattened to one network, what differs between them as rows."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from operator import attrgetter
from typing import Any, NamedTuple

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.parts import AT_TIMES, UNIVERSAL, Branch, Device, Fault, Model, Part, PartState
from labkit.parts.laws import Law, Linear, Value
from labkit.solving.arrays import Numbers
from labkit.solving.network import Network, Settler, add_bridges, in_order, number_nodes, wires_of
from labkit.text.quantities import RESISTANCE

_KIND = attrgetter("mode", "terminal", "to")
_Faults = Mapping[int, tuple[Fault, ...]]  # of one part, by the number of the circuit


class _Variant(NamedTuple):
    """A state of a part, and the circuits it is in; what differs in ohms alone is one state."""

    state: PartState
    columns: Numbers | slice


def flatten_many(circuits: Sequence[Circuit]) -> Network:
    """Flatten circuits that differ in faults and positions only; values that differ become rows.

    All must have the same parts, connections taken apart and bridges.
    """
    base, size = circuits[0], len(circuits)
    node_of = number_nodes(base)
    wires, settlers = [], []
    for part, variants in _variants(circuits):
        models = [part.model(variant.state) for variant in variants]
        row = _Row([variant.columns for variant in variants], size)
        wires += wires_of(part.id, _merged(models, row), node_of)
        settlers += _merged_devices(part.id, models, row)
    add_bridges(base, node_of, wires, settlers)
    return Network(node_of, wires, in_order(settlers), size)


def _variants(circuits: Sequence[Circuit]) -> Iterator[tuple[Part, list[_Variant]]]:
    """Every part with the states it is found in."""
    base = circuits[0]
    faults: dict[str, dict[int, tuple[Fault, ...]]] = {}
    for n, circuit in enumerate(circuits):
        for fault in circuit.faults:
            if fault.mode not in AT_TIMES or fault.part in circuit.disturbed:
                there = faults.get(fault.part)
                if there is None:
                    there = faults[fault.part] = {}
                there[n] = (*there[n], fault) if n in there else (fault,)
    settings, setting = positions_of(circuits)
    for part in base.parts.values():
        words = [positions.get(part.id, "") for positions in settings]
        mine = faults.get(part.id, {})
        if not mine and len(set(words)) == 1:
            yield part, [_Variant(PartState(base.system, words[0]), slice(None))]
        else:
            columns = np.fromiter(mine, np.intp, len(mine))
            sound = _sound(base.system, words, setting, columns)
            found = [words[s] for s in setting[columns].tolist()]
            yield part, [*sound, *_faulty(base.system, part, found, mine)]


def positions_of(circuits: Sequence[Circuit]) -> tuple[list[Mapping[str, str]], Numbers]:
    """Find the positions of switches that occur, and which of them each circuit has."""
    keys = [id(c.positions) for c in circuits]
    settings = dict(zip(keys, circuits, strict=True))
    place = {key: n for n, key in enumerate(settings)}
    setting = np.fromiter(map(place.__getitem__, keys), np.intp, len(keys))
    return [c.positions for c in settings.values()], setting


def _sound(
    system: float, words: Sequence[str], setting: Numbers, faulty: Numbers
) -> Iterator[_Variant]:
    """Circuits where a part is sound, by its position."""
    kinds = list(dict.fromkeys(words))
    column = np.array([kinds.index(word) for word in words])[setting]
    column[faulty] = -1
    for n, word in enumerate(kinds):
        columns = np.flatnonzero(column == n)
        if columns.size:
            yield _Variant(PartState(system, word), columns)


def _faulty(system: float, part: Part, words: Sequence[str], faults: _Faults) -> Iterator[_Variant]:
    """Circuits where a part has faults, by its position and by all of these but their ohms."""
    known = {**UNIVERSAL, **part.modes}
    in_ohms = {mode for mode, facts in known.items() if facts.amount is RESISTANCE}
    alike: dict[Any, list[int]] = {}
    single = [these[0] for these in faults.values() if len(these) == 1]
    one_state = len(single) == len(faults) and len(set(words)) == 1 == len(set(map(_KIND, single)))
    if one_state and single[0].mode in in_ohms:  # no need to look at each
        state = PartState(system, words[0], [_one(single)])
        yield _Variant(state, np.fromiter(faults, np.intp, len(faults)))
        return
    for word, (n, these) in zip(words, faults.items(), strict=True):
        kinds = [(f.mode, f.terminal, f.to) if f.mode in in_ohms else f for f in these]
        key = (word, *kinds)
        if key in alike:
            alike[key].append(n)
        else:
            alike[key] = [n]
    for (word, *_), columns in alike.items():
        each = zip(*[faults[n] for n in columns], strict=True)
        yield _Variant(PartState(system, word, [_one(same) for same in each]), np.array(columns))


def _one(faults: Sequence[Fault]) -> Fault:
    """One fault for those of several circuits, which differ in their ohms at most."""
    first = faults[0]
    if all(fault.value == first.value for fault in faults):
        return first
    return dataclasses.replace(first, value=np.array([fault.value for fault in faults]))


class _Row:
    """Puts what the variants have into one row."""

    def __init__(self, columns: Sequence[Numbers | slice], size: int) -> None:
        self.columns, self.size = columns, size

    def __call__(self, values: Sequence[Value]) -> Value:
        """One value if all variants have the same, else a row."""
        first = values[0]
        if not any(isinstance(value, np.ndarray) or value != first for value in values):
            return first
        row = np.empty(self.size)
        for value, there in zip(values, self.columns, strict=True):
            row[there] = value
        return row


def _merged(models: Sequence[Model], row: _Row) -> list[Branch]:
    """Branches that are there in any variant, their laws' values as rows where they differ."""
    if len(models) == 1:
        return list(models[0].branches)
    by_role = [_by_role(model) for model in models]
    patterns = {key: branch for branches in reversed(by_role) for key, branch in branches.items()}
    merged = []
    for key, pattern in patterns.items():
        laws = [_law(branches.get(key), pattern.law) for branches in by_role]
        fields = {
            f.name: row([getattr(law, f.name) for law in laws])
            for f in dataclasses.fields(pattern.law)
        }
        law = dataclasses.replace(pattern.law, **fields)
        merged.append(dataclasses.replace(pattern, law=law))
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
    values = {f.name: _first(getattr(pattern, f.name)) for f in dataclasses.fields(pattern)}
    return dataclasses.replace(pattern, **{**values, "present": 0.0})


def _first(value: Any) -> Any:
    """One value of what may be another variant's row, which would not fit here."""
    return np.ravel(value)[0]


def _merged_devices(id: str, models: Sequence[Model], row: _Row) -> list[Settler]:
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
            name: row([getattr(d, name) if d else _first(getattr(pattern, name)) for d in devices])
            for name, value in vars(pattern).items()
            if not isinstance(value, str | tuple)
        }
        active = row([float(d is not None) for d in devices])
        settlers.append(Settler(id, dataclasses.replace(pattern, **fields), active))
    return settlers


def _acts(device: Device) -> list[Any]:
    return [value for value in vars(device).values() if isinstance(value, str | tuple)]

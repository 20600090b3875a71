"""A boat of which only what is near a complaint is solved; curves stand for all that is far.

A `NearCircuit` is a circuit of the near runs, with a bridge between two bus bars for the far ones
that hang there. Its switches are those of the whole boat: moving a far one changes the curve. What
a curve does not hold for is solved with the whole boat, by every way of solving there is, so that
nobody needs to know that a circuit is a near one.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from labkit.circuits.circuit import Bridge, Circuit
from labkit.circuits.extract import Extract
from labkit.circuits.structure import Structure, structure_of, together
from labkit.circuits.tracing import NEGATIVE, Run
from labkit.parts import Part, Trait
from labkit.solving.far_side import curve
from labkit.solving.solver import solve

WORTH = 40
"""Circuits of fewer parts are never cut: it gains nothing there. [parts]"""

SMALLER = 0.6
"""Nor are those of which more than this share is near."""

FAR = "far side"
"""Kind of a bridge that stands for what is far."""


class FarSide:
    """Far runs between two bus bars, sound, and their curves as asked for so far.

    Parameters
    ----------
    id : str
        Of the bridge.
    boat : Circuit
        The whole boat, sound, as found.
    runs : tuple of Run
    first, second : str
        Names of the bars.
    """

    def __init__(
        self, id: str, boat: Circuit, runs: tuple[Run, ...], first: str, second: str
    ) -> None:
        self.id, self.first, self.second = id, first, second
        self._boat, self._runs = boat, runs
        met = {step.part for run in runs for step in run.passes}
        self.parts = {id: part for id, part in boat.parts.items() if id in met}
        self._bridges: dict[tuple[tuple[str, str], ...], Bridge | None] = {}

    def bridge(self, positions: Mapping[str, str]) -> Bridge | None:
        """What stands for it while all switches aboard are there; None where nothing flows."""
        own = {id: positions[id] for id in self.parts if id in positions}
        key = tuple(own.items())
        if key not in self._bridges:
            there = self._boat.but(positions=positions)
            far = there.but(runs=self._runs, parts=self.parts, positions=own)
            point = solve(there)
            middle = (point.volts[self.first] or 0.0) - (point.volts[self.second] or 0.0)
            law = curve(far, self.first, self.second, middle)
            made = Bridge(self.id, FAR, self.first, self.second, law) if law else None
            self._bridges[key] = made
        return self._bridges[key]


@dataclass(frozen=True, repr=False)
class NearCircuit(Extract):
    """The near runs of a boat, and what stands for the far ones.

    Its positions are those of the whole boat's switches; its parts and faults are near.

    Attributes
    ----------
    boat : Circuit
        The whole boat, sound, as found.
    far : tuple of FarSide
    """

    far: tuple[FarSide, ...] = ()

    def with_position(self, /, **positions: str) -> Circuit:
        """Return the circuit with switches moved, near ones or far ones."""
        moved = self.boat.with_position(**positions)
        changed = {id: moved.positions[id] for id in positions}
        there = MappingProxyType({**self.positions, **changed})
        own = tuple(b for b in self.bridges if b.kind != FAR)
        far = (side.bridge(there) for side in self.far)
        return self.but(positions=there, bridges=(*own, *(b for b in far if b)))

    def unreduced(self) -> Circuit:
        """The whole boat in the state that this is in."""
        return self.boat.but(
            parts=_all_parts(_Same(self.boat.parts), _Same(self.parts)),
            positions=self.positions,
            faults=self.faults,
            parted=self.parted,
            bridges=tuple(b for b in self.bridges if b.kind != FAR),
            disturbed=self.disturbed,
        )


class _Same:
    """A mapping of parts as a key: this very one."""

    def __init__(self, parts: Mapping[str, Part]) -> None:
        self.parts = parts

    def __hash__(self) -> int:
        return id(self.parts)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.parts is other.parts


@lru_cache(maxsize=32)
def _all_parts(boat: _Same, near: _Same) -> Mapping[str, Part]:
    """The boat's parts with the near ones as they are now; always the same mapping for the same."""
    return MappingProxyType({**boat.parts, **near.parts})


def near_boat(circuit: Circuit, named: Collection[str], least: int = WORTH) -> Circuit:
    """Cut a boat down to what is near some of her parts and nodes.

    Parameters
    ----------
    circuit : Circuit
        As found, sound; with nothing parted or bridged.
    named : collection of str
        Ids of parts, terminals, names of nodes: the loads complained of, what was measured.
    least : int
        Parts from which on it is done. [parts]

    Returns
    -------
    Circuit
        A :class:`NearCircuit`, or the circuit itself where nothing would be gained.
    """
    if len(circuit.parts) < least or circuit.parted or circuit.bridges or circuit.faults:
        return circuit
    plan = structure_of(circuit.runs, circuit.parts.values())
    near = plan.near({name.partition(":")[0] for name in named})
    return _near_boat(_Found(circuit), frozenset(run.name for run in near))


class _Found:
    """A circuit as found, as a key."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self._key = (id(circuit.parts), id(circuit.runs), tuple(circuit.positions.items()))

    def __hash__(self) -> int:
        return hash(self._key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Found) and self._key == other._key


@lru_cache(maxsize=8)
def _near_boat(found: _Found, names: frozenset[str]) -> Circuit:
    circuit = found.circuit
    plan = structure_of(circuit.runs, circuit.parts.values())
    near = [run for run in circuit.runs if run.name in names]
    sides: list[FarSide] = []
    for hangs, far in _far_groups(circuit.runs, near, plan):
        met = {step.part for run in far for step in run.passes}
        drives = any(Trait.SOURCE in circuit.parts[id].traits for id in met)
        if len(hangs) > 2 or not set(hangs) <= plan.bars or (len(hangs) == 2 and drives):
            near += far  # no curve over one voltage says what it does
        elif len(hangs) == 2:
            second = NEGATIVE if NEGATIVE in hangs else max(hangs)
            first = next(label for label in sorted(hangs) if label != second)
            sides.append(FarSide(f"far {len(sides)}", circuit, tuple(far), first, second))
    kept = {run.name for run in near}
    runs = tuple(run for run in circuit.runs if run.name in kept)
    met = {step.part for run in runs for step in run.passes}
    if len(met) > SMALLER * len(circuit.parts):
        return circuit
    parts = MappingProxyType({id: part for id, part in circuit.parts.items() if id in met})
    made = NearCircuit(
        circuit.title,
        circuit.system,
        runs,
        parts,
        circuit.positions,
        file=circuit.file,
        ambient=circuit.ambient,
        boat=circuit,
        far=tuple(sides),
    )
    return made.with_position()


def _far_groups(
    runs: tuple[Run, ...], near: list[Run], plan: Structure
) -> list[tuple[tuple[str, ...], list[Run]]]:
    """Far runs that hang together, and the nodes by which they hang on what is near."""
    names = {run.name for run in near}
    bound = {NEGATIVE}.union(*(plan.ends(run) for run in near))
    far = [run for run in runs if run.name not in names]
    joins: list[set[object]] = [
        {*plan.ends(run) - bound, *(("part", step.part) for step in run.passes)} for run in far
    ]
    found: dict[tuple[str, ...], list[Run]] = {}
    for numbers in together(joins):
        group = [far[n] for n in numbers]
        hangs = set().union(*(plan.ends(run) for run in group)) & bound
        found.setdefault(tuple(sorted(hangs)), []).extend(group)
    return list(found.items())

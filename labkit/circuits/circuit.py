"""A circuit as a technician traces it: runs of parts between nodes. An immutable value.

`build_circuit(...)` makes one in Python; `labkit.circuits.circuit_file` reads one from a file.
Everything that can change aboard (a switch, a fault, a connection taken apart, a jumper) gives a
new one::

    circuit.with_position(S2="on").with_fault("X1 resistance 0.8 ohm")
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import Any

from labkit.circuits.fault_text import parse_fault
from labkit.circuits.tracing import NEGATIVE as NEGATIVE
from labkit.circuits.tracing import Junction, Pass, Run, TestPoint, join, number, trace_problems
from labkit.circuits.water import Water
from labkit.parts import AT_TIMES, Fault, Part, PartState
from labkit.parts.laws import Law
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import VOLTAGE, shorten

AMBIENT = 25.0
"""Temperature of the air aboard where nothing is written. [C] Common practice, no source."""

ENGINE_SPACE = 50.0
"""Temperature of the air in an engine space. [C] 33 CFR 183.425, table 5, note 1."""


@dataclass(frozen=True)
class Bridge:
    """Something put between two points for a while: a jumper, a test lamp, a meter."""

    id: str
    kind: str
    first: str
    second: str
    law: Law
    fuse: float | None = None  # rating of a fuse of its own [A]


@dataclass(frozen=True)
class Accepted:
    """A rule of the survey that an author lets a part break, and why."""

    rule: str
    part: str
    why: str


_FOLLOWS = {
    "runs": ("junctions", "node_of", "test_points"),
    "parts": ("test_points",),
    "parted": ("node_of",),
}
"""What is worked out of a circuit once, by the fields it follows from."""


@dataclass(frozen=True, repr=False)
class Circuit:
    """A circuit and the state it is in.

    Attributes
    ----------
    title : str
    system : float
        Nominal voltage. [V]
    runs : tuple of Run
    parts : mapping of str to Part
        By id, in the order first met.
    positions : mapping of str to str
        Position of every part that is operated.
    faults : tuple of Fault
    parted : frozenset of str
        Terminals whose connection is taken apart, such as "X1:2".
    bridges : tuple of Bridge
    disturbed : frozenset of str
        Ids of the parts being wiggled or shaken now.
    file : str
        Where it was read from, for messages.
    ambient : float
        Temperature of the air aboard. [C]
    water : Water or None
        What comes in, and what pumps it out.
    accepts : tuple of Accepted
        What the survey need not warn of.
    clamp_drift : float
        Most that the clamp aboard wanders by until it is zeroed. [A]
    """

    title: str
    system: float
    runs: tuple[Run, ...]
    parts: Mapping[str, Part]
    positions: Mapping[str, str] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    parted: frozenset[str] = frozenset()
    bridges: tuple[Bridge, ...] = ()
    disturbed: frozenset[str] = frozenset()
    file: str = ""
    ambient: float = AMBIENT
    water: Water | None = None
    accepts: tuple[Accepted, ...] = ()
    clamp_drift: float = 0.0

    def __repr__(self) -> str:
        state = [f"{len(self.parts)} parts", *(str(f) for f in self.faults)]
        return f"<Circuit {self.title!r}: {', '.join(state)}>"

    # -- what is connected to what ----------------------------------------------------------

    @cached_property
    def junctions(self) -> tuple[Junction, ...]:
        """Nodes with nothing taken apart, in tracing order."""
        return join(self.runs)

    @cached_property
    def node_of(self) -> Mapping[str, str]:
        """Terminal or named node to the node it is on now, connections taken apart included."""
        found: dict[str, str] = {}
        for junction in self.junctions:
            rest = [m for m in junction.members if m not in self.parted]
            found.update({m: m for m in junction.members if m in self.parted})
            if rest:
                name = junction.name or rest[0]
                found.update({m: name for m in rest})
        return MappingProxyType(found)

    @cached_property
    def test_points(self) -> tuple[TestPoint, ...]:
        """Places a probe can touch, numbered in tracing order, those of hidden parts last."""
        return number(self.runs, self.junctions, {p.id for p in self.parts.values() if p.hidden})

    def point(self, text: str) -> str:
        """Return a terminal or named node as it is spelt here.

        Raises
        ------
        CircuitError
            If the circuit has no such terminal or node.
        """
        if text in self.node_of:
            return text
        if text.isdecimal() and len(text) < 6 and 1 <= int(text) <= len(self.test_points):
            return self.test_points[int(text) - 1].terminals[0]
        hint = did_you_mean(text, self.node_of)
        raise CircuitError([f"{self._where()}no terminal or node '{shorten(text)}'; {hint}"])

    def part(self, id: str) -> Part:
        """Return a part by its id.

        Raises
        ------
        CircuitError
            If the circuit has no such part.
        """
        if id not in self.parts:
            same_letter_first = sorted(self.parts, key=lambda known: known[:1] != id[:1])
            hint = did_you_mean(id, same_letter_first)
            raise CircuitError([f"{self._where()}no part '{shorten(id)}'; {hint}"])
        return self.parts[id]

    def state_of(self, id: str) -> PartState:
        """Return one part's position and active faults, where they differ from the file."""
        active = tuple(
            f
            for f in self.faults
            if f.part == id and (f.mode not in AT_TIMES or id in self.disturbed)
        )
        return PartState(self.system, self.positions.get(id, ""), active)

    def air_at(self, id: str) -> float:
        """Temperature of the air around a part: an engine space's where it stands in one. [C]"""
        part = self.part(id)
        return max(self.ambient, ENGINE_SPACE) if part.place == "engine space" else self.ambient

    # -- new circuits from this one ---------------------------------------------------------

    def but(self, **fields: Any) -> Circuit:
        """Return the circuit with some fields changed; nodes that stay so are not traced anew."""
        known = self.__dict__.copy()
        known.update(fields)
        for changed in fields:
            for name in _FOLLOWS.get(changed, ()):
                known.pop(name, None)
        made = object.__new__(type(self))
        object.__setattr__(made, "__dict__", known)
        return made

    def with_fault(self, *faults: str | Fault) -> Circuit:
        """Return the circuit with these faults too, each as 'X1 resistance 0.8 ohm'."""
        made = [parse_fault(f, self.parts, self._where(), self.node_of) for f in faults]
        return self.but(faults=(*self.faults, *made))

    def without_faults(self, *parts: str) -> Circuit:
        """Return the circuit with these parts sound, or with every part sound."""
        kept = tuple(f for f in self.faults if parts and not any(map(f.at, parts)))
        return self.but(faults=kept)

    def with_position(self, /, **positions: str) -> Circuit:
        """Return the circuit with switches moved: ``with_position(S2="on")``."""
        for id, word in positions.items():
            part = self.part(id)
            choices = part.choices or tuple(getattr(part, "positions", ()))
            if word not in choices:
                right = ", ".join(f"'{c}'" for c in choices)
                right = f"it has {right}" if right else f"a {part.kind} is not operated"
                raise CircuitError([f"{self._where()}{id}: no position '{shorten(word)}'; {right}"])
        return self.but(positions=MappingProxyType({**self.positions, **positions}))

    def with_parted(self, *terminals: str) -> Circuit:
        """Return the circuit with the connection at these terminals taken apart."""
        points = [self.point(terminal) for terminal in terminals]
        for point in points:
            if ":" not in point:
                raise CircuitError(
                    [f"{self._where()}'{point}' is a node; part a terminal, such as 'X1:2'"]
                )
        return self.but(parted=self.parted | set(points))

    def with_joined(self, *terminals: str) -> Circuit:
        """Return the circuit with these connections made again, or all of them."""
        return self.but(parted=self.parted - set(terminals) if terminals else frozenset())

    def with_bridge(
        self, id: str, kind: str, first: str, second: str, law: Law, fuse: float | None = None
    ) -> Circuit:
        """Return the circuit with something put between two points, perhaps behind a fuse [A]."""
        made = Bridge(id, kind, self.point(first), self.point(second), law, fuse)
        return self.but(bridges=(*self.bridges, made))

    def without_bridge(self, id: str) -> Circuit:
        """Return the circuit with that bridge taken away."""
        return self.but(bridges=tuple(b for b in self.bridges if b.id != id))

    def with_disturbed(self, *ids: str) -> Circuit:
        """Return the circuit with these parts being wiggled, and no others."""
        return self.but(disturbed=frozenset(self.part(id).id for id in ids))

    def unreduced(self) -> Circuit:
        """The circuit with all its parts, where some are only stood for; here itself."""
        return self

    def _where(self) -> str:
        return f"{self.file}: " if self.file else ""


def visible_parts(circuit: Circuit, traced: Collection[str]) -> list[Part]:
    """Parts that are drawn, in tracing order: hidden ones where their run has been traced."""
    runs = [run for run in circuit.runs if run.name in traced]
    found = {step.part for run in runs for step in run.passes}
    return [part for part in circuit.parts.values() if not part.hidden or part.id in found]


# -- building one in Python -----------------------------------------------------------------


@dataclass(frozen=True)
class Via:
    """A part of more than two terminals, and the way a run takes through it: '30-87'."""

    part: Part | str
    way: str


def run(start: str, end: str, *parts: Part | Via, name: str = "") -> tuple[str, str, str, tuple]:  # type: ignore[type-arg]
    """Describe a run for :func:`build_circuit`: from a node, through parts, to a node."""
    return name, start, end, parts


def build_circuit(title: str, *runs: tuple, system: str = "12 V", file: str = "") -> Circuit:  # type: ignore[type-arg]
    """Build a circuit from runs.

    Parameters
    ----------
    title : str
    *runs
        Each made by :func:`run`.
    system : str
        Nominal voltage.

    Raises
    ------
    CircuitError
        With everything that is wrong, a sentence each.

    Examples
    --------
    >>> from labkit.parts import Battery, Resistor
    >>> lamp = build_circuit("one lamp", run("DC-", "stud", Battery("G1", emf="12 V")),
    ...                      run("stud", "DC-", Resistor("R1", resistance="6 ohm")))
    >>> list(lamp.parts)
    ['G1', 'R1']
    """
    parts: dict[str, Part] = {}
    made, problems = [], []
    for index, (name, start, end, passed) in enumerate(runs):
        steps = []
        for item in passed:
            part = item.part if isinstance(item, Via) else item
            id = part if isinstance(part, str) else part.id
            if isinstance(part, Part):
                if id in parts:
                    problems.append(f"part {id}: is already met; pass it again as Via('{id}', ...)")
                parts.setdefault(id, part)
            if id not in parts:
                problems.append(f"part {id}: is met before it is described")
                continue
            steps.append((id, item.way if isinstance(item, Via) else ""))
        made.append((name or f"run {index + 1}", start, end, steps))
    return assemble(title, VOLTAGE.parse(system), made, parts, file, problems)


def assemble(
    title: str,
    system: float,
    runs: Iterable[tuple[str, str, str, list[tuple[str, str]]]],
    parts: Mapping[str, Part],
    file: str = "",
    problems: Iterable[str] = (),
) -> Circuit:
    """Put checked parts and their runs together, or say everything that does not fit.

    Parameters
    ----------
    runs
        Name, from, to, and the parts passed as (id, way), the way '' where there is only one.

    Raises
    ------
    CircuitError
        With the problems passed in and those found here.
    """
    found = list(problems)
    traced = []
    for name, start, end, steps in runs:
        passes = []
        for id, way in steps:
            ends = parts[id].passage(way)
            if ends is None:
                ways = " or ".join(f'"{a}-{b}"' for a, b in parts[id].ways())
                what = f'found via = "{way}"' if way else "via is missing"
                found.append(f"run '{name}', part {id}: {what}; write via = {ways}")
            else:
                passes.append(Pass(id, *ends))
        traced.append(Run(name, start, end, tuple(passes)))
    met = {step.part: f"run '{run.name}', " for run in reversed(traced) for step in run.passes}
    for part in parts.values():
        where = f"{met.get(part.id, '')}part {part.id}"
        found += [f"{where}, {text}" for text in part.problems(system)]
        found += [
            f"{where}, {key}: no part '{shorten(id)}'; {did_you_mean(id, parts)}"
            for key, id in part.refers()
            if id not in parts
        ]
    found += trace_problems(tuple(traced), parts, known_bad=bool(found))
    if found:
        raise CircuitError([f"{file}: {text}" if file else text for text in found])
    positions = {p.id: p.start_position() for p in parts.values() if p.start_position()}
    return Circuit(
        title,
        system,
        tuple(traced),
        MappingProxyType(dict(parts)),
        MappingProxyType(positions),
        file=file,
    )

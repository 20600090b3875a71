"""From runs to nodes: which terminals are connected, in the order a technician traces them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from labkit.parts import Part, Trait
from labkit.text.messages import did_you_mean

NEGATIVE = "DC-"
"""Name of the negative bus, the zero of all voltages."""

STRAYS_TO = ("bond", "sea")
"""Names of the nodes where stray current ends: what bonding wires join, and the water outside. A
single run may lead there."""


class Pass(NamedTuple):
    """A part as a run meets it: in at one terminal, out at another."""

    part: str
    enter: str
    leave: str

    @property
    def first(self) -> str:
        """Terminal met first, such as 'X1:1'."""
        return f"{self.part}:{self.enter}"

    @property
    def second(self) -> str:
        """Terminal met second."""
        return f"{self.part}:{self.leave}"


@dataclass(frozen=True)
class Run:
    """A stretch of parts in series from one node to another."""

    name: str
    start: str
    end: str
    passes: tuple[Pass, ...]


@dataclass(frozen=True)
class Junction:
    """Terminals and named nodes that are connected; `name` is '' where nobody named it."""

    name: str
    members: tuple[str, ...]

    @property
    def label(self) -> str:
        """Its name, or else the terminal met first."""
        return self.name or self.members[0]


@dataclass(frozen=True)
class TestPoint:
    """A place a probe can touch."""

    number: int
    node: str
    terminals: tuple[str, ...]

    __test__ = False  # not a test case, whatever its name


def join(runs: tuple[Run, ...]) -> tuple[Junction, ...]:
    """Group everything the runs connect, in the order met."""
    parent: dict[str, str] = {}

    def root(member: str) -> str:
        parent.setdefault(member, member)
        while parent[member] != member:
            parent[member] = member = parent[parent[member]]
        return member

    for run in runs:
        here = run.start
        root(here)
        for step in run.passes:
            parent[root(step.first)] = root(here)
            here = step.second
        root(here)
        parent[root(run.end)] = root(here)
    groups: dict[str, list[str]] = {}
    for member in parent:
        groups.setdefault(root(member), []).append(member)
    junctions = []
    for members in groups.values():
        names = [m for m in members if ":" not in m]
        name = NEGATIVE if NEGATIVE in names else (names[0] if names else "")
        junctions.append(Junction(name, tuple(sorted(members, key=lambda m: m != name))))
    return tuple(junctions)


def number(
    runs: tuple[Run, ...], junctions: tuple[Junction, ...], hidden: set[str]
) -> tuple[TestPoint, ...]:
    """Number the nodes in tracing order, those seen only by tracing a hidden part last."""
    at = {member: junction for junction in junctions for member in junction.members}
    first: dict[str, Junction] = {}
    behind: dict[str, Junction] = {}
    for run in runs:
        first.setdefault(at[run.start].label, at[run.start])
        for step in run.passes:
            seen = behind if step.part in hidden else first
            seen.setdefault(at[step.second].label, at[step.second])
        if not run.passes or run.passes[-1].part not in hidden or ":" not in run.end:
            first.setdefault(at[run.end].label, at[run.end])
    order = {**first, **{k: v for k, v in behind.items() if k not in first}}
    return tuple(
        TestPoint(n, j.label, tuple(m for m in j.members if ":" in m) or j.members)
        for n, j in enumerate(order.values(), 1)
    )


def trace_problems(
    runs: tuple[Run, ...], parts: Mapping[str, Part], known_bad: bool = False
) -> list[str]:
    """Return what is wrong with how the runs meet, a sentence each.

    `known_bad` says that parts were already refused, so that what seems missing may be among them.
    """
    found: list[str] = []
    met: dict[tuple[str, str, str], str] = {}
    ends: dict[str, list[str]] = {}
    for run in runs:
        if not run.passes and not known_bad:
            found.append(f"run '{run.name}': passes through no part; list them in parts = [...]")
        for step in run.passes:
            way = (step.part, min(step.enter, step.leave), max(step.enter, step.leave))
            if way in met:
                found.append(
                    f"run '{run.name}', part {step.part}: is already met in run '{met[way]}'; give "
                    "it another id, or pass another of its terminals by via"
                )
            met.setdefault(way, run.name)
        for key, end in (("from", run.start), ("to", run.end)):
            ends.setdefault(end, []).append(f"run '{run.name}', {key}")
    terminals = {t for run in runs for step in run.passes for t in (step.first, step.second)}
    named = [end for end in ends if ":" not in end]
    for end, places in ends.items():
        if ":" in end and end not in terminals and not known_bad:
            found.append(f"{places[0]}: no terminal '{end}' here; {did_you_mean(end, terminals)}")
        elif ":" not in end and len(places) == 1 and end not in (NEGATIVE, *STRAYS_TO):
            others = [name for name in {*named, NEGATIVE} if name != end]
            found.append(
                f'{places[0]} = "{end}": nothing else meets this node, so no current can pass; '
                + did_you_mean(end, sorted(others))
            )
    if NEGATIVE not in ends and (runs or not known_bad):
        found.append(f'no run meets "{NEGATIVE}", the negative bus; one must, from or to')
    if not known_bad and not any(Trait.SOURCE in part.traits for part in parts.values()):
        found.append(
            'no source; describe a battery, such as { id = "G1", is = "battery", emf = "12.7 V" }'
        )
    if not found:
        found += _shorted(runs, parts)
    return found


def _shorted(runs: tuple[Run, ...], parts: Mapping[str, Part]) -> list[str]:
    """Loops of sources alone, all without resistance, whose current nothing would limit."""
    at = {m: j.label for j in join(runs) for m in j.members}
    parent = {label: label for label in at.values()}

    def root(label: str) -> str:
        while parent[label] != label:
            label = parent[label]
        return label

    for run in runs:
        for step in run.passes:
            part = parts[step.part]
            if Trait.SOURCE not in part.traits or part.resistance != 0:
                continue
            a, b = root(at[step.first]), root(at[step.second])
            if a == b:
                return [
                    f"run '{run.name}', part {part.id}: closes a loop of sources with no "
                    'resistance; give it one, such as resistance = "8 mohm"'
                ]
            parent[a] = b
    return []

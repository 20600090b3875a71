"""How a boat falls apart at her bus bars: circuits, what feeds them, and what is near a load."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from labkit.circuits.tracing import NEGATIVE, Junction, Run, join
from labkit.parts import Part, Trait

BAR = 3
"""So many ends of parts meet at a bus bar, or more."""


@dataclass(frozen=True)
class Group:
    """Runs that hang together without the bus bars: one circuit of a boat, or what feeds some.

    Attributes
    ----------
    runs : tuple of Run
    parts : frozenset of str
        Ids.
    bars : tuple of str
        Bus bars it hangs on, in the order met.
    loads : tuple of str
        Ids of the parts that use current up, in the order met.
    source : bool
        Whether something in it gives current of its own.
    """

    runs: tuple[Run, ...]
    parts: frozenset[str]
    bars: tuple[str, ...]
    loads: tuple[str, ...]
    source: bool


class Structure:
    """Bus bars and groups of a traced circuit, nothing taken apart.

    Parameters
    ----------
    runs : tuple of Run
    parts : mapping of str to Part

    Attributes
    ----------
    label : dict of str to str
        Terminal or named node to the label of its node.
    bars : frozenset of str
        Named nodes where :data:`BAR` ends of parts or more meet, and DC-.
    groups : tuple of Group
    """

    def __init__(self, runs: tuple[Run, ...], parts: Iterable[Part]) -> None:
        junctions = join(runs)
        self.label = {m: j.label for j in junctions for m in j.members}
        self.bars = frozenset(j.label for j in junctions if _is_bar(j))
        self._parts = {part.id: part for part in parts}
        self.groups = tuple(self._grouped(runs))

    def ends(self, run: Run) -> set[str]:
        """Labels of every node a run meets."""
        passed = {m for step in run.passes for m in (step.first, step.second)}
        return {self.label[m] for m in (run.start, run.end, *passed)}

    def _grouped(self, runs: tuple[Run, ...]) -> Iterator[Group]:
        """A part passed by several runs joins them, as a relay does its coil and its contact."""
        joins: list[set[object]] = [
            {*self.ends(run) - self.bars, *(("part", step.part) for step in run.passes)}
            for run in runs
        ]
        for numbers in together(joins):
            yield self._group(tuple(runs[n] for n in numbers))

    def _group(self, runs: tuple[Run, ...]) -> Group:
        met = dict.fromkeys(step.part for run in runs for step in run.passes)
        steps = [m for run in runs for m in _members(run)]
        hangs = dict.fromkeys(self.label[m] for m in steps if self.label[m] in self.bars)
        traits = {id: self._parts[id].traits for id in met}
        return Group(
            runs,
            frozenset(met),
            tuple(hangs),
            tuple(id for id in met if Trait.LOAD in traits[id]),
            any(Trait.SOURCE in t for t in traits.values()),
        )

    def near(self, named: Collection[str]) -> list[Run]:
        """What is near some parts or nodes: their circuits, the way there, and some witnesses.

        Near are the groups with what is named and what lies on a loop with them, sources too;
        where nothing is named, what lies on a loop with a source. Of the other circuits one
        between each two bars, since whether anything else on a panel works is evidence. Of a bar
        that is named, its plainest circuit.
        """
        named = {*named, *(self.label[name] for name in named if name in self.label)}
        must = [g for g in self.groups if self._named(g, named)]
        must = must or [g for g in self.groups if g.source]
        for bar in named & self.bars - {NEGATIVE}:
            if not any(bar in group.bars and group.loads for group in must):
                must += self._plainest(bar)
        kept = must + [g for g in self.groups if g not in must and not g.loads]
        while True:  # what hangs on a bar where nothing else hangs leads nowhere
            count: dict[str, int] = {}
            for bar in (bar for group in kept for bar in group.bars):
                count[bar] = count.get(bar, 0) + 1
            left = [g for g in kept if g in must or _leads_on(g, count)]
            if len(left) == len(kept):
                break
            kept = left
        touched = {bar for group in kept for bar in group.bars}
        kept += self._witnesses([g for g in self.groups if g.loads and g not in kept], touched)
        names = {run.name for group in kept for run in group.runs}
        return [run for group in self.groups for run in group.runs if run.name in names]

    def _named(self, group: Group, named: set[str]) -> bool:
        if named & group.parts:
            return True
        nodes = set().union(*(self.ends(run) for run in group.runs))
        return bool(named & (nodes - self.bars)) or (not group.loads and bool(named & nodes))

    def _plainest(self, bar: str) -> list[Group]:
        """The circuit with the fewest parts that hangs on a bar, if one does."""
        hanging = [group for group in self.groups if group.loads and bar in group.bars]
        return sorted(hanging, key=lambda group: len(group.parts))[:1]

    @staticmethod
    def _witnesses(far: Iterable[Group], touched: set[str]) -> list[Group]:
        """Of the circuits between the same bars the plainest."""
        found: dict[frozenset[str], Group] = {}
        for group in sorted(far, key=lambda g: len(g.parts)):
            if set(group.bars) <= touched:
                found.setdefault(frozenset(group.bars), group)
        return list(found.values())


@lru_cache(maxsize=16)
def _structure(key: _Key) -> Structure:
    return Structure(key.runs, key.parts)


class _Key:
    """The runs of a circuit, as the very ones they are."""

    def __init__(self, runs: tuple[Run, ...], parts: Iterable[Part]) -> None:
        self.runs, self.parts = runs, parts

    def __hash__(self) -> int:
        return id(self.runs)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self.runs is other.runs


def structure_of(runs: tuple[Run, ...], parts: Iterable[Part]) -> Structure:
    """Return the structure of a circuit's runs; the last few are kept."""
    return _structure(_Key(runs, parts))


def together(joins: list[set[object]]) -> list[list[int]]:
    """Number those together that share anything, in the order met."""
    parent = list(range(len(joins)))

    def root(n: int) -> int:
        while parent[n] != n:
            parent[n] = n = parent[parent[n]]
        return n

    seen: dict[object, int] = {}
    for n, shared in enumerate(joins):
        for key in shared:
            parent[root(n)] = root(seen.setdefault(key, n))
    found: dict[int, list[int]] = {}
    for n in range(len(joins)):
        found.setdefault(root(n), []).append(n)
    return sorted(found.values())


def _members(run: Run) -> list[str]:
    return [run.start, *(m for step in run.passes for m in (step.first, step.second)), run.end]


def _is_bar(junction: Junction) -> bool:
    ends = sum(":" in member for member in junction.members)
    return junction.name == NEGATIVE or bool(junction.name and ends >= BAR)


def _leads_on(group: Group, count: dict[str, int]) -> bool:
    return len(group.bars) > 1 and all(count[bar] > 1 for bar in group.bars)

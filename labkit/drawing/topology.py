"""From runs to what is drawn: stretches of parts between junctions, in lanes that read on.

1. Every part a run passes is a *step* between two junctions; a hidden part nobody has traced is
   no step, and its two junctions are one.
2. Steps that follow one another with nothing branching off make a *stretch*.
3. Stretches are turned so that none leads back: from the negative bus up through a source on the
   left, out to the loads, and down to the negative bus on the right.
4. Stretches that follow one another through a junction make a *lane*, drawn in one row.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.parts import Part, Trait

LEFT, RIGHT = "DC- left", "DC- right"
"""The two ends of the negative bus: below the sources, and beyond the loads."""


@dataclass(frozen=True)
class Step:
    """A part as a run meets it, or what is clipped on, between two junctions."""

    id: str
    kind: str
    enter: str
    leave: str
    start: str
    end: str
    again: bool = False
    bridge: bool = False
    throw: str = ""
    """Third contact of a changeover switch whose other way is drawn with this one."""
    traits: Trait = Trait.NONE
    is_load: bool = False
    """Does work, so that what comes after it is the return side."""
    named: bool = False
    """The names of its terminals stand beside it: there are more than two."""

    @classmethod
    def through(
        cls, part: Part, enter: str, leave: str, start: str = "", end: str = "", again: bool = False
    ) -> Step:
        """A part met from one of its terminals to another."""
        return cls(
            part.id,
            part.kind,
            enter,
            leave,
            start,
            end,
            again,
            traits=part.traits,
            is_load=any({enter, leave} == set(way) for way in part.uses()),
            named=len(part.terminals) > 2,
        )

    def turned(self) -> Step:
        """The same met from the other side."""
        return replace(self, enter=self.leave, leave=self.enter, start=self.end, end=self.start)

    @property
    def is_source(self) -> bool:
        """Gives current of its own."""
        return Trait.SOURCE in self.traits


@dataclass(frozen=True)
class Stretch:
    """Steps in series between two places where something branches off."""

    start: str
    end: str
    steps: tuple[Step, ...]
    run: str = ""

    @property
    def loop(self) -> bool:
        """Tell whether it ends where it began."""
        return self.start == self.end

    def turned(self) -> Stretch:
        """The same read from its other end."""
        return Stretch(
            self.end, self.start, tuple(step.turned() for step in reversed(self.steps)), self.run
        )


@dataclass(frozen=True)
class Lane:
    """Stretches that follow one another in one row."""

    stretches: tuple[Stretch, ...]

    @property
    def start(self) -> str:
        """Where it begins."""
        return self.stretches[0].start

    @property
    def end(self) -> str:
        """Where it ends."""
        return self.stretches[-1].end

    @property
    def stops(self) -> tuple[str, ...]:
        """Every junction it begins at, passes or ends at."""
        return (self.start, *(stretch.end for stretch in self.stretches))


@dataclass(frozen=True)
class Topology:
    """What is drawn, before anything has a place."""

    lanes: tuple[Lane, ...]
    order: tuple[str, ...]
    """Junctions from left to right."""
    numbers: Mapping[str, int]
    """Number of each junction's test point."""
    names: Mapping[str, str]
    """What to write at a junction somebody named."""
    members: Mapping[str, tuple[str, ...]]
    """Terminals at each junction."""
    bus: str = NEGATIVE
    clips: tuple[Step, ...] = ()
    """What is clipped on for a while, between two junctions."""

    def shown(self, junction: str) -> str:
        """A junction's label, or a terminal drawn there if the label is that of a hidden part."""
        drawn = self.members.get(junction, ())
        return drawn[0] if drawn and ":" in junction and junction not in drawn else junction


def trace(circuit: Circuit, traced: Collection[str] = ()) -> Topology:
    """Find the lanes of a circuit; the hidden parts of the runs in `traced` are seen."""
    steps, joined = _steps(circuit, traced)
    at = {member: joined[j.label] for j in circuit.junctions for member in j.members}
    members: dict[str, list[str]] = {}
    names: dict[str, str] = {}
    numbers: dict[str, int] = {}
    number_of = {point.node: point.number for point in circuit.test_points}
    hidden = {s.part for run in circuit.runs for s in run.passes} - {s.id for s, _ in steps}
    for junction in circuit.junctions:
        root = joined[junction.label]
        members.setdefault(root, []).extend(
            m for m in junction.members if ":" in m and m.split(":")[0] not in hidden
        )
        if junction.name and root not in names:
            names[root] = junction.name
        if junction.label in number_of:
            numbers[root] = min(number_of[junction.label], numbers.get(root, 10**6))
    stretches = _stretches(steps, joined.get(NEGATIVE, NEGATIVE))
    stretches, order = _turned(stretches)
    return Topology(
        tuple(_lanes(stretches)),
        order,
        numbers,
        names,
        {root: tuple(found) for root, found in members.items()},
        joined.get(NEGATIVE, NEGATIVE),
        tuple(
            Step(b.id, b.kind, b.first, b.second, at[b.first], at[b.second], bridge=True)
            for b in circuit.bridges
        ),
    )


def _steps(
    circuit: Circuit, traced: Collection[str]
) -> tuple[list[tuple[Step, str]], dict[str, str]]:
    """Every visible step with its run's name, and each junction's drawn junction."""
    at = {member: j.label for j in circuit.junctions for member in j.members}
    joined = {label: label for label in at.values()}
    for run in circuit.runs:
        for step in run.passes:
            if circuit.parts[step.part].hidden and run.name not in traced:
                one, other = joined[at[step.first]], joined[at[step.second]]
                keep, drop = (other, one) if other == NEGATIVE or ":" in one else (one, other)
                joined = {k: keep if v == drop else v for k, v in joined.items()}
    found: list[tuple[Step, str]] = []
    met: set[str] = set()
    for run in circuit.runs:
        for step in run.passes:
            part = circuit.parts[step.part]
            if part.hidden and run.name not in traced:
                continue
            ends = joined[at[step.first]], joined[at[step.second]]
            again = part.id in met
            found.append((Step.through(part, step.enter, step.leave, *ends, again=again), run.name))
            met.add(part.id)
    return found, joined


@dataclass
class _Walk:
    """Steps not yet in a stretch, found by the junction they touch."""

    steps: list[tuple[Step, str]]
    stops: set[str]
    used: set[int] = field(default_factory=set)

    def onward(self, here: str) -> int | None:
        """The one step that leads on from a junction where nothing branches off."""
        if here in self.stops:
            return None
        for index, (step, _) in enumerate(self.steps):
            if index not in self.used and here in (step.start, step.end):
                return index
        return None

    def follow(self, index: int, turned: bool) -> Stretch:
        """Walk from one step on until something branches off."""
        step, run = self.steps[index]
        path = [step.turned() if turned else step]
        forward = [0 if turned else 1]
        self.used.add(index)
        while (found := self.onward(path[-1].end)) is not None:
            self.used.add(found)
            step = self.steps[found][0]
            forward.append(1 if step.start == path[-1].end else 0)
            path.append(step if forward[-1] else step.turned())
        made = Stretch(path[0].start, path[-1].end, tuple(path), run)
        return made if 2 * sum(forward) >= len(forward) else made.turned()


def _stretches(steps: list[tuple[Step, str]], bus: str) -> list[Stretch]:
    ends: dict[str, int] = {}
    for step, _ in steps:
        for end in (step.start, step.end):
            ends[end] = ends.get(end, 0) + 1
    stops = {junction for junction, count in ends.items() if count != 2} | {bus}
    stops |= {step.start for step, _ in steps if step.start == step.end}
    walk = _Walk(steps, stops)
    made: list[Stretch] = []
    for turned in (False, True):
        for index, (step, _) in enumerate(steps):
            if index not in walk.used and (step.end if turned else step.start) in stops:
                made.append(walk.follow(index, turned))
    for index, (step, _) in enumerate(steps):  # loops that nothing branches off from
        if index not in walk.used:
            walk.stops.add(step.start)
            made.append(walk.follow(index, False))
    return [_at_bus(stretch, bus) for stretch in made]


def _at_bus(stretch: Stretch, bus: str) -> Stretch:
    """Name the end of the negative bus a stretch meets, turning it to read left to right."""
    if bus not in (stretch.start, stretch.end):
        return stretch
    sources = [s for s in stretch.steps if s.is_source]
    both = stretch.start == stretch.end
    if sources:
        if (both and sources and sources[0].enter == "+") or (not both and stretch.end == bus):
            stretch = stretch.turned()
        end = RIGHT if stretch.end == bus else stretch.end
        return replace(stretch, start=LEFT, end=end)
    if both:
        return replace(stretch, start=LEFT, end=RIGHT)
    if stretch.start == bus:
        stretch = stretch.turned()
    return replace(stretch, end=RIGHT)


def _turned(stretches: list[Stretch]) -> tuple[list[Stretch], tuple[str, ...]]:
    """Turn what leads back, and put the junctions in order from left to right."""
    junctions = list(dict.fromkeys(j for s in stretches for j in (s.start, s.end)))
    junctions.sort(key=lambda j: (j != LEFT, j == RIGHT))
    onward: dict[str, list[str]] = {j: [] for j in junctions}
    for stretch in stretches:
        if not stretch.loop:
            onward[stretch.start].append(stretch.end)
    leads_back: set[tuple[str, str]] = set()
    state: dict[str, int] = {}

    def visit(junction: str) -> None:
        state[junction] = 1
        for after in onward[junction]:
            if state.get(after) == 1:
                leads_back.add((junction, after))
            elif after not in state:
                visit(after)
        state[junction] = 2

    entered = {after for afters in onward.values() for after in afters}
    for junction in sorted(junctions, key=lambda j: (j != LEFT, j in entered)):
        if junction not in state:
            visit(junction)
    made = [s.turned() if (s.start, s.end) in leads_back else s for s in stretches]
    depth = _depths(junctions, [s for s in made if not s.loop])
    order = sorted(junctions, key=lambda j: (j != LEFT, j == RIGHT, depth[j], junctions.index(j)))
    return made, tuple(order)


def _depths(junctions: Iterable[str], stretches: list[Stretch]) -> dict[str, float]:
    """How many parts lie, at most, between the left and each junction."""
    depth = {j: 0.0 for j in junctions}
    for _ in depth:
        for s in stretches:
            depth[s.end] = max(depth[s.end], depth[s.start] + len(s.steps) + 0.1)
    return depth


def _lanes(stretches: list[Stretch]) -> list[Lane]:
    """Join stretches that follow one another: first along a run, then in the order of the file."""
    after: dict[int, int] = {}
    taken: set[int] = set()
    pairs = [
        (i, j)
        for i, one in enumerate(stretches)
        for j, two in enumerate(stretches)
        if one.end == two.start and not (one.loop or two.loop)
    ]
    for i, j in sorted(pairs, key=lambda p: (stretches[p[0]].run != stretches[p[1]].run, p)):
        if i not in after and j not in taken:
            after[i] = j
            taken.add(j)
    lanes = []
    for i in range(len(stretches)):
        if i not in taken:
            chain = [i]
            while chain[-1] in after:
                chain.append(after[chain[-1]])
            lanes.append(Lane(tuple(stretches[k] for k in chain)))
    return lanes

"""How a drawing is divided: columns of sources, rows of parts, what returns along the bottom."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from labkit.drawing.content import Content
from labkit.drawing.rows import order_rows
from labkit.drawing.topology import LEFT, RIGHT, Lane, Step, Stretch, Topology

_MOST_EXTRA = 4

MANY = 120
"""With more parts than this lying in rows, all that is too wide is wrapped at once, and one way is
tried: a whole boat is drawn in seconds, where each way by itself takes a tenth of one. Our choice.
"""
_LONGEST_RETURN = 6
"""More parts than this do not fit along the bottom at a readable size."""


Shapes = tuple[tuple[int, bool], ...]
"""Of every level: lines with parts, and whether it folds."""


@dataclass
class Level:
    """The parts of a stretch that lie in a row, in as many lines as they need."""

    start: str
    end: str
    cells: list[Content]
    nodes: list[str]
    lane: int
    offset: int = 0
    """Line of the lane at which it begins."""
    filled: int = 1
    """Lines with parts."""
    folded: bool = False
    """Leads back to the left in a line of its own, so that what follows begins there."""
    last: bool = False
    """Nothing follows it in its lane."""

    @property
    def lines(self) -> int:
        """Lines in all."""
        return self.filled + self.folded

    def comes_from_right(self, index: int) -> bool:
        """Tell whether a line without parts can come straight down on the junction it ends at."""
        return self.folded and self.last and index == self.filled

    def line(self, index: int) -> range:
        """Which cells lie in one of its lines."""
        if index >= self.filled:
            return range(0)
        count = len(self.cells)
        return range(index * count // self.filled, (index + 1) * count // self.filled)


@dataclass
class Upright:
    """Parts one above the other, from the negative bus up, or from a row down to it."""

    cells: list[Content]
    nodes: list[str]
    lane: int


@dataclass(frozen=True)
class Throw:
    """The third contact of a changeover switch, met by an upright wire.

    `holder` is the level with the symbol, `cell` its place there; the wire stands after the
    symbol where the current enters by the pole, before it where it leaves by the pole.
    """

    holder: int
    cell: int
    after: bool
    node: str


@dataclass
class Plan:
    """Everything that gets a place."""

    topology: Topology
    rows: list[int]
    """Row of each lane."""
    levels: list[Level] = field(default_factory=list)
    columns: list[Upright] = field(default_factory=list)
    """One for each lane that rises from the negative bus."""
    drop: Upright | None = None
    """The load that closes a loop on the right."""
    back: list[Content] = field(default_factory=list)
    """Parts along the bottom, in the order the current meets them, from right to left."""
    back_nodes: list[str] = field(default_factory=list)
    back_from: str = ""
    """Where the bottom is met: at the right, or below a junction."""
    throws: dict[str, Throw] = field(default_factory=dict)
    """Third contacts of changeover switches, by the name of their upright wire."""

    @property
    def shapes(self) -> Shapes:
        """How every level is wrapped and folded."""
        return tuple((level.filled, level.folded) for level in self.levels)

    @shapes.setter
    def shapes(self, shapes: Shapes) -> None:
        for level, shape in zip(self.levels, shapes, strict=True):
            level.filled, level.folded = shape

    def may_fold(self, level: Level) -> bool:
        """Tell whether what follows a level may begin back at the left."""
        row = self.rows[level.lane]
        alone = self.rows.count(row) == 1
        others = [
            other
            for other in self.levels
            if level.end in (other.start, other.end) and other.lane != level.lane
        ]
        return (
            alone
            and not level.folded
            and bool(level.cells)
            and level.end != RIGHT
            and all(self.rows[other.lane] > row for other in others)
        )

    def count_lines(self) -> None:
        """Find the line of its lane at which every level begins."""
        here: dict[int, int] = {}
        for level in self.levels:
            level.offset = here.get(level.lane, 0)
            here[level.lane] = level.offset + level.folded * level.filled
        for level in self.levels:
            level.last = level is [other for other in self.levels if other.lane == level.lane][-1]


def make_plans(topology: Topology, write: Callable[[Step], Content]) -> Iterator[Plan]:
    """Divide a circuit's lanes in the ways worth trying."""
    ends = [s for lane in topology.lanes for s in lane.stretches if s.end == RIGHT]
    lone = ends[0] if len(ends) == 1 else None
    cut = _returning(lone.steps, lone.start == LEFT) if lone is not None else None
    sunk = frozenset({lone.start}) if lone is not None and cut == (0, 0) else frozenset()
    lanes = [Lane(tuple(s for s in lane.stretches if s is not lone)) for lane in topology.lanes]
    lanes = [lane for lane in lanes if lane.stretches] if sunk else list(topology.lanes)
    ways = order_rows(lanes, topology.order, sunk)
    few = sum(len(s.steps) for lane in lanes for s in lane.stretches) > MANY
    for rows in ways[:1] if few else ways:
        before: list[int] | None = None
        for extra in range(_MOST_EXTRA + 1):
            plan = _plan(Plan(topology, rows), lanes, lone, cut, write, extra)
            standing = [len(column.cells) for column in plan.columns]
            if standing == before:
                break
            before = standing
            yield plan
            if few:
                break


def _plan(
    plan: Plan, lanes: Sequence[Lane], lone: Stretch | None, cut: tuple[int, int] | None,
    write: Callable[[Step], Content], extra: int,
) -> Plan:  # fmt: skip  # rows that a reader compares
    """Divide lanes; `extra` more parts than needed stand in the source's column."""
    sunk = cut == (0, 0)
    if lone is not None and sunk:
        plan.back = [write(step) for step in lone.steps]
        plan.back_nodes = [lone.start, *(step.end for step in lone.steps)]
        plan.back_from = lone.start
    for index, lane in enumerate(lanes):
        for stretch in lane.stretches:
            steps, start = stretch.steps, stretch.start
            nodes = [start, *(step.end for step in steps[:-1]), stretch.end]
            if start == LEFT:
                tall = _upright(steps, extra)
                cells = [write(step) for step in steps[:tall]]
                plan.columns.append(Upright(cells, nodes[: tall + 1], index))
                steps, nodes = steps[tall:], nodes[tall:]
            if stretch is lone and cut is not None:
                load = cut[0] - (len(stretch.steps) - len(steps))
                plan.drop = Upright([write(steps[load])], nodes[load : load + 2], index)
                plan.back = [write(step) for step in steps[load + 1 :]]
                plan.back_nodes, plan.back_from = nodes[load + 1 :], RIGHT
                steps, nodes = steps[:load], nodes[: load + 1]
            cells = [write(step) for step in steps]
            level = Level(start, stretch.end, cells, nodes, index)
            level.folded = stretch.loop
            plan.levels.append(level)
    return plan


def _upright(steps: Sequence[Step], extra: int) -> int:
    """How many parts stand in the column: the source and what lies below it, and `extra` more."""
    needed = 1
    for i, step in enumerate(steps):
        if step.is_source and step.enter != "+":
            needed = i + 1
        elif step.is_load or step.is_source:
            break
    allowed = len(steps)
    for i, step in enumerate(steps):
        if i >= needed and (step.is_load or step.is_source):
            allowed = i
            break
    return max(needed, min(needed + extra, allowed))


def _returning(steps: Sequence[Step], from_bus: bool) -> tuple[int, int] | None:
    """Where the only way home leaves its row, and where it meets the bottom.

    Equal where no load hangs between the two; None where the way home stays in its row.
    """
    first = _upright(steps, 0) if from_bus else 0
    loads = [i for i, s in enumerate(steps) if i >= first and (s.is_load or s.is_source)]
    if loads:
        found = loads[-1], loads[-1] + 1
    elif from_bus:
        return None
    else:
        found = 0, 0
    return found if len(steps) - found[1] <= _LONGEST_RETURN else None

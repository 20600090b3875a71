"""Places for everything in a plan: x by least distances, y by stacking rows."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field

from labkit.drawing.content import DOT, HALF_BODY, HALF_HEIGHT, name_half, name_lines
from labkit.drawing.plan import Level, Plan, Upright
from labkit.drawing.rows import BOTTOM
from labkit.drawing.spacing import Spacing
from labkit.drawing.text import LINE
from labkit.drawing.topology import LEFT, RIGHT

WIDEST = 900.0
"""Width at which a drawing is still readable on a page or in a notebook. [px]"""
MARGIN = 12.0
BESIDE = HALF_HEIGHT + 6
"""From an upright wire to the text beside its symbols. [px]"""

_CLEAR = DOT + 2
_TURN = 24.0
_GAP = 14.0
_CHANNEL = 18.0
_STANDING = 2 * HALF_BODY + 2 * DOT + 16


@dataclass
class Layout:
    """A plan with a place for everything. Keys of `x` are explained at `_Placing`."""

    plan: Plan
    x: dict[Hashable, float] = field(default_factory=dict)
    y: list[float] = field(default_factory=list)
    """Of every line of every row."""
    channel: dict[int, float] = field(default_factory=dict)
    """Where a stretch turns back below a line."""
    first_line: list[int] = field(default_factory=list)
    """Line of the top of each lane."""
    extent: dict[str, tuple[int, int]] = field(default_factory=dict)
    """Uppermost and lowest line of every junction's upright wire."""
    bottom: float = 0.0
    width: float = 0.0
    height: float = 0.0

    def column_reach(self, column: Upright) -> tuple[float, float]:
        """Top and bottom of a column of upright parts. [px]"""
        return self.y[self.top_line(column)], self.bottom

    def top_line(self, column: Upright) -> int:
        """Line a column rises to, or drops from."""
        line = self.first_line[column.lane]
        if column is self.plan.drop:
            line += next(
                level.lines - 1
                for level in self.plan.levels
                if level.lane == column.lane and level.end == RIGHT
            )
        return line

    def line_of(self, level: Level, index: int) -> int:
        """Number of a line of a stretch, counted over the whole drawing."""
        return self.first_line[level.lane] + index


def standing_heights(column: Upright) -> list[float]:
    """Height each upright part needs. [px]"""
    return [max(_STANDING, cell.text_height + 2 * DOT + 6) for cell in column.cells]


def lay_out(plan: Plan) -> Layout:
    """Give everything its place, wrapping long stretches until the drawing is narrow enough."""
    for level in plan.levels:
        level.lines = 1
    while True:
        placing = _Placing(plan)
        layout = placing.layout
        longest = placing.longest_on_the_way()
        if layout.width <= WIDEST or longest is None:
            return layout
        longest.lines += 1


class _Placing:
    """Finds the places.

    Keys of x: ('at', junction), ('column', i), and for line k of level i: ('dot', i, k, n) where
    part n of the stretch begins, ('cell', i, k, n) the left edge of its room, ('turn', i, k) where
    a line that continues begins.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.layout = Layout(plan)
        self.spacing = Spacing()
        self._count_lines()
        self._find_extents()
        self._keep_along_rows()
        guess = self.spacing.solve(MARGIN + HALF_HEIGHT)
        self._keep_uprights_apart(guess)
        self._keep_from_passing(guess)
        self.layout.x = self.spacing.solve(MARGIN + HALF_HEIGHT)
        self._pack_back()
        self._center_lone_cells()
        self._stack()

    # -- lines and extents ------------------------------------------------------------------

    def _count_lines(self) -> None:
        plan = self.plan
        tall = [1] * (max(plan.rows, default=0) + 1)
        for level in plan.levels:
            row = plan.rows[level.lane]
            tall[row] = max(tall[row], level.lines)
        before = [sum(tall[:row]) for row in range(len(tall))]
        self.lines = sum(tall)
        self.layout.first_line = [before[row] for row in plan.rows]

    def _find_extents(self) -> None:
        extent = self.layout.extent

        def touch(junction: str, line: int) -> None:
            top, low = extent.get(junction, (line, line))
            extent[junction] = (min(top, line), max(low, line))

        for level in self.plan.levels:
            if level.start != LEFT:
                touch(level.start, self.layout.line_of(level, 0))
            touch(level.end, self.layout.line_of(level, level.lines - 1))
        for junction in {RIGHT, self.plan.back_from} & set(extent):
            extent[junction] = (extent[junction][0], BOTTOM)

    def clear(self, junction: str, line: int) -> float:
        """Room a junction needs on each side at a line."""
        name = self.plan.topology.names.get(junction, "")
        if name and junction != RIGHT and self.layout.extent[junction][0] == line:
            return max(_CLEAR, name_half(name) + 5)
        return _CLEAR

    # -- least distances --------------------------------------------------------------------

    def _start_of(self, level: Level) -> tuple[Hashable, float]:
        if level.start == LEFT:
            for i, column in enumerate(self.plan.columns):
                if column.lane == level.lane:
                    return ("column", i), BESIDE + column.text_width + 8
        line = self.layout.line_of(level, 0)
        return ("at", level.start), self.clear(level.start, line)

    def _end_of(self, level: Level) -> tuple[Hashable, float]:
        line = self.layout.line_of(level, level.lines - 1)
        room = self.clear(level.end, line)
        if level.end == RIGHT:
            room = max(room, self._beside_drop())
        return ("at", level.end), room

    def _beside_drop(self) -> float:
        drop = self.plan.drop
        return BESIDE + drop.text_width + 8 if drop is not None else _CLEAR

    def _keep_along_rows(self) -> None:
        for i, level in enumerate(self.plan.levels):
            start, end = self._start_of(level), self._end_of(level)
            for k in range(level.lines):
                self._keep_line(i, level, k, start, end)
        self._keep_lanes_apart()
        columns = sorted(
            range(len(self.plan.columns)),
            key=lambda c: self.layout.first_line[self.plan.columns[c].lane],
        )
        for one, two in zip(columns, columns[1:]):
            room = BESIDE + self.plan.columns[one].text_width + 8 + HALF_HEIGHT
            self.spacing.keep(("column", one), ("column", two), room)
        for junction, (_, low) in self.layout.extent.items():
            for c, column in enumerate(self.plan.columns):
                top = self.layout.first_line[column.lane]
                if low >= top:
                    room = BESIDE + column.text_width + 8
                    least = max(self.clear(junction, n) for n in (top, low, self._top(junction)))
                    self.spacing.keep(("column", c), ("at", junction), room + least)
            if junction != RIGHT and RIGHT in self.layout.extent:
                room = max(self._beside_drop(), _TURN) + self.clear(junction, self._top(junction))
                self.spacing.keep(("at", junction), ("at", RIGHT), room)
        back = sum(cell.width for cell in self.plan.back)
        if back:
            for c, column in enumerate(self.plan.columns):
                room = BESIDE + column.text_width + 8 + back
                self.spacing.keep(("column", c), ("at", self.plan.back_from), room)

    def _top(self, junction: str) -> int:
        return self.layout.extent[junction][0]

    def _keep_line(
        self, i: int, level: Level, k: int,
        start: tuple[Hashable, float], end: tuple[Hashable, float],
    ) -> None:  # fmt: skip
        keep = self.spacing.keep
        cells = level.line(k)
        here, room = start
        if k:
            keep(start[0], ("turn", i, k), max(_TURN, start[1]))
            here, room = ("turn", i, k), 8.0
        for n in cells:
            keep(here, ("cell", i, k, n), room)
            inner = level.cells[n].width - 2 * _CLEAR
            if n == cells[-1] and k == level.lines - 1:
                keep(("cell", i, k, n), end[0], inner + end[1])
            else:
                here, room = ("dot", i, k, n + 1), _CLEAR
                keep(("cell", i, k, n), here, inner + room)
        if k < level.lines - 1:
            keep(here, end[0], max(_TURN, end[1]))
        elif not len(cells):
            keep(here, end[0], room + end[1] + 4)

    def _keep_lanes_apart(self) -> None:
        """Lanes that share a row keep their order."""
        place = {j: n for n, j in enumerate(self.plan.topology.order)}
        ends: dict[int, tuple[str, str]] = {}
        for level in self.plan.levels:
            first = ends[level.lane][0] if level.lane in ends else level.start
            ends[level.lane] = (first, level.end)
        for one, (_, end) in ends.items():
            for two, (start, _) in ends.items():
                same = self.plan.rows[one] == self.plan.rows[two]
                if one != two and same and place[end] < place[start] and start != LEFT:
                    room = self.clear(end, self._top(end)) + self.clear(start, self._top(start))
                    self.spacing.keep(("at", end), ("at", start), room + 4)

    def _keep_uprights_apart(self, guess: dict[Hashable, float]) -> None:
        """Upright wires that pass the same line stand side by side, as first guessed."""
        junctions = sorted(
            (j for j in self.layout.extent if ("at", j) in guess and j != RIGHT),
            key=lambda j: (guess["at", j], self.plan.topology.order.index(j)),
        )
        for i, one in enumerate(junctions):
            for two in junctions[i + 1 :]:
                top = max(self.layout.extent[one][0], self.layout.extent[two][0])
                low = min(self.layout.extent[one][1], self.layout.extent[two][1])
                if top <= low:
                    lines = {top, low, self._top(one), self._top(two)}
                    shared = [n for n in lines if top <= n <= low]
                    room = max(self.clear(one, n) + self.clear(two, n) for n in shared)
                    self.spacing.keep(("at", one), ("at", two), max(_TURN, room + 2))

    def _keep_from_passing(self, guess: dict[Hashable, float]) -> None:
        """Where an upright wire must cross a row, it crosses between two parts."""
        for i, level in enumerate(self.plan.levels):
            for k in range(level.lines):
                line = self.layout.line_of(level, k)
                for junction, (top, low) in self.layout.extent.items():
                    if junction in (level.start, level.end, RIGHT) or not top <= line <= low:
                        continue
                    x = guess["at", junction]
                    left, right = guess[self._start_of(level)[0]], guess[self._end_of(level)[0]]
                    if left < x < right:
                        self._pass_between(i, level, k, junction, line, guess)

    def _pass_between(
        self, i: int, level: Level, k: int, junction: str, line: int,
        guess: dict[Hashable, float],
    ) -> None:  # fmt: skip
        x, upright = guess["at", junction], ("at", junction)
        room = self.clear(junction, line)
        ends = {self._start_of(level)[0], self._end_of(level)[0]}
        keys = [key for key in guess if key[0] in ("dot", "cell", "turn") and key[1:3] == (i, k)]  # type: ignore[index]
        for key in keys:
            if key in ends:
                continue
            if key[0] == "cell":  # type: ignore[index]
                inner = level.cells[key[3]].width - 2 * _CLEAR  # type: ignore[index]
                if guess[key] + inner / 2 < x:
                    self.spacing.keep(key, upright, inner + room)
                else:
                    self.spacing.keep(upright, key, room)
            elif guess[key] < x:
                self.spacing.keep(key, upright, _CLEAR + room)
            else:
                self.spacing.keep(upright, key, _CLEAR + room)

    # -- after the places are found ---------------------------------------------------------

    def longest_on_the_way(self) -> Level | None:
        """The stretch to wrap next: the longest of those that make the drawing as wide as it is."""
        last = max(self.layout.x, key=lambda key: self.layout.x[key])
        on_the_way = {key[1] for key in self.spacing.held(last) if key[0] == "cell"}  # type: ignore[index]
        long = [i for i in on_the_way if len(self.plan.levels[i].line(0)) > 1]
        if not long:
            return None
        return self.plan.levels[max(long, key=lambda i: (len(self.plan.levels[i].line(0)), -i))]

    def _pack_back(self) -> None:
        """Parts along the bottom stand at its right end, where the current enters it."""
        if not self.plan.back:
            return
        here = self.layout.x["at", self.plan.back_from]
        self.layout.x["back", 0] = here
        for n, cell in enumerate(self.plan.back):
            here -= cell.width
            self.layout.x["back", n + 1] = here

    def _center_lone_cells(self) -> None:
        """A part alone between two junctions stands midway."""
        x = self.layout.x
        for i, level in enumerate(self.plan.levels):
            if level.lines > 1 or len(level.cells) != 1 or self._is_passed(level):
                continue
            start, end = self._start_of(level), self._end_of(level)
            inner = level.cells[0].width - 2 * _CLEAR
            slack = (x[end[0]] - end[1]) - (x[start[0]] + start[1]) - inner
            x["cell", i, 0, 0] = x[start[0]] + start[1] + max(slack, 0.0) / 2

    def _is_passed(self, level: Level) -> bool:
        line = self.layout.line_of(level, 0)
        left = self.layout.x[self._start_of(level)[0]]
        right = self.layout.x[self._end_of(level)[0]]
        return any(
            top <= line <= low and left < self.layout.x["at", junction] < right
            for junction, (top, low) in self.layout.extent.items()
        )

    def _stack(self) -> None:
        layout, plan = self.layout, self.plan
        above = [_CLEAR] * self.lines
        below = [_CLEAR] * self.lines
        turns = set()
        for level in plan.levels:
            for k in range(level.lines):
                line = layout.line_of(level, k)
                for n in level.line(k):
                    cell = level.cells[n]
                    above[line] = max(above[line], HALF_HEIGHT + 4 + LINE * len(cell.head))
                    below[line] = max(below[line], HALF_HEIGHT + 4 + LINE * len(cell.body))
                if k < level.lines - 1:
                    turns.add(line)
        for junction, name in plan.topology.names.items():
            if junction in layout.extent and junction != RIGHT:
                top = self._top(junction)
                above[top] = max(above[top], DOT + 5 + LINE * len(name_lines(name)))
        y = MARGIN
        for line in range(self.lines):
            y += above[line]
            layout.y.append(y)
            y += below[line]
            if line in turns:
                layout.channel[line] = y + _CHANNEL / 2
                y += _CHANNEL
            y += _GAP
        y += max((HALF_HEIGHT + 4 + LINE * len(c.head) for c in plan.back), default=2.0)
        for column in (*plan.columns, *([plan.drop] if plan.drop else [])):
            y = max(y, layout.y[layout.top_line(column)] + sum(standing_heights(column)))
        layout.bottom = y
        layout.width = max(layout.x.values(), default=0.0) + MARGIN + HALF_HEIGHT
        below_bus = max((HALF_HEIGHT + 4 + LINE * len(c.body) for c in plan.back), default=0.0)
        layout.height = y + max(below_bus, DOT + 4 + LINE) + MARGIN


def upright_places(layout: Layout, column: Upright) -> Iterator[tuple[float, float]]:
    """Low and high end of each part's room in a column, in the column's order. [px]"""
    top, bottom = layout.column_reach(column)
    heights = standing_heights(column)
    spare = (bottom - top - sum(heights)) / len(heights)
    rising = column is not layout.plan.drop
    here = bottom if rising else top
    for height in heights:
        there = here - (height + spare) if rising else here + height + spare
        yield here, there
        here = there

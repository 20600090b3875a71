"""Finds the places of a plan: x by least distances, y by stacking rows.

1. Parts follow one another along their line, junctions lie between the levels they join.
2. A first solution guesses which upright wires pass which rows, and in which order.
3. With that order kept, a second solution keeps everything clear of everything else.
"""

from __future__ import annotations

from collections.abc import Hashable
from itertools import pairwise

from labkit.drawing.content import (
    BESIDE,
    BESIDE_THROW,
    DOT,
    HALF_BODY,
    HALF_HEIGHT,
    Content,
    name_half,
    name_lines,
)
from labkit.drawing.lanes import Level, Plan
from labkit.drawing.layout import Layout, back_head, standing_heights, text_side
from labkit.drawing.rows import BOTTOM
from labkit.drawing.spacing import Spacing
from labkit.drawing.text import LINE
from labkit.drawing.topology import LEFT, RIGHT

MARGIN = 12.0

_CLEAR = DOT + 2
_LEAD = 8.0
_TURN = 24.0
_GAP = 14.0
_CHANNEL = 18.0
_AIR = 5.0
"""Between text and the nearest wire or other text."""


def put(plan: Plan) -> tuple[Layout, list[Level]]:
    """Give everything its place; also tell which levels make the drawing as wide as it is."""
    placing = _Placing(plan)
    return placing.layout, placing.widest()


class _Placing:
    """One attempt to place a plan."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.layout = Layout(plan)
        self.spacing = Spacing()
        self.column_of = {column.lane: c for c, column in enumerate(plan.columns)}
        self._count_lines()
        self._find_extents()
        for i, level in enumerate(plan.levels):
            for k in range(level.lines):
                self._keep_line(i, level, k)
        self._keep_lanes_apart()
        self._keep_columns_apart()
        self._keep_right()
        self._keep_throws()
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
        plan.count_lines()
        tall = [1] * (max(plan.rows, default=0) + 1)
        for level in plan.levels:
            row = plan.rows[level.lane]
            tall[row] = max(tall[row], level.offset + level.lines)
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
        for upright, throw in self.plan.throws.items():
            holder = self.plan.levels[throw.holder]
            touch(upright, self.layout.line_of(holder, 0 if throw.after else holder.filled - 1))
        for junction in {RIGHT, self.plan.back_from} & set(extent):
            extent[junction] = (extent[junction][0], BOTTOM)

    def _top(self, junction: str) -> int:
        return self.layout.extent[junction][0]

    def _clear(self, junction: str, line: int) -> float:
        """Room a junction needs on each side at a line."""
        name = self.plan.topology.names.get(junction, "")
        if name and junction != RIGHT and self._top(junction) == line:
            return max(_CLEAR, name_half(name) + _AIR)
        return _CLEAR

    def _beside_column(self, column: int) -> float:
        """Room a column needs on its right."""
        return BESIDE + text_side(self.plan.columns[column].cells) + 8

    def _beside_drop(self) -> float:
        """Room the negative bus needs on its left."""
        drop = self.plan.drop
        return BESIDE + text_side(drop.cells) + 8 if drop is not None else _CLEAR

    # -- least distances along a row --------------------------------------------------------

    def _start_of(self, level: Level) -> Hashable:
        return (
            ("column", self.column_of[level.lane]) if level.start == LEFT else ("at", level.start)
        )

    def _room(self, key: Hashable, line: int) -> float:
        """Room on each side of what a line begins or ends with."""
        what, which = key[0], key[1]  # type: ignore[index]
        if what == "column":
            return self._beside_column(which)
        if what == "at":
            return self._beside_drop() if which == RIGHT else self._clear(which, line)
        return 0.0

    def _half(self, cell: Content, key: Hashable, line: int) -> float:
        """From the middle of a part to what stands beside it."""
        what = key[0]  # type: ignore[index]
        if what == "dot":
            return max(HALF_BODY + _LEAD + DOT, cell.reach + 1, cell.text_width / 2 + _AIR / 2)
        room = self._room(key, line)
        if what == "turn":
            return max(HALF_BODY + _LEAD, cell.reach + _AIR, cell.text_width / 2 + _AIR)
        if room > _CLEAR:  # a name, or text beside a column
            return room + max(cell.reach, cell.text_width / 2)
        return max(HALF_BODY + _LEAD + DOT, cell.reach + _AIR, cell.text_width / 2 + _AIR)

    def _keep_line(self, i: int, level: Level, k: int) -> None:
        keep, line = self.spacing.keep, self.layout.line_of(level, k)
        start, end = self._start_of(level), ("at", level.end)
        last = k == level.lines - 1
        here: Hashable = start
        if k and level.comes_from_right(k):
            corner = ("dot", i, k - 1, len(level.cells))
            keep(end, corner, self._room(end, line) + _AIR)
            return
        if k:
            here = ("turn", i, k)
            keep(start, here, max(_TURN, self._room(start, line)))
        cells = level.line(k)
        for n in cells:
            keep(here, ("mid", i, k, n), self._half(level.cells[n], here, line))
            there: Hashable = ("dot", i, k, n + 1)
            if last and n == cells[-1]:
                there = end
            keep(("mid", i, k, n), there, self._half(level.cells[n], there, line))
            here = there
        if not cells:
            keep(here, end, self._room(here, line) + self._room(end, line) + _AIR)
        elif not last and not level.folded:
            keep(here, end, max(_TURN, self._room(end, line)))

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
                    room = self._clear(end, self._top(end)) + self._clear(start, self._top(start))
                    self.spacing.keep(("at", end), ("at", start), room + _AIR)

    def _keep_throws(self) -> None:
        """The third contact of a changeover switch is met beside the symbol."""
        for upright, throw in self.plan.throws.items():
            holder = self.plan.levels[throw.holder]
            k = 0 if throw.after else holder.filled - 1
            switch, wire = ("mid", throw.holder, k, throw.cell), ("at", upright)
            if throw.after:
                self.spacing.keep(switch, wire, BESIDE_THROW)
            else:
                self.spacing.keep(wire, switch, BESIDE_THROW)

    def _keep_columns_apart(self) -> None:
        """Columns stand at the left, those that rise higher further out."""
        columns = sorted(
            range(len(self.plan.columns)),
            key=lambda c: self.layout.first_line[self.plan.columns[c].lane],
        )
        for one, two in pairwise(columns):
            room = self._beside_column(one) + HALF_HEIGHT
            self.spacing.keep(("column", one), ("column", two), room)
        for c in columns:
            line = self.layout.first_line[self.plan.columns[c].lane]
            for junction, (top, low) in self.layout.extent.items():
                if low >= line:
                    widest = self._clear(junction, max(top, line))
                    self.spacing.keep(
                        ("column", c), ("at", junction), self._beside_column(c) + widest
                    )
            if self.plan.back:
                room = self._beside_column(c) + self._back_width()
                self.spacing.keep(("column", c), ("at", self.plan.back_from), room)

    def _back_width(self) -> float:
        return sum(cell.width for cell in self.plan.back)

    def _keep_right(self) -> None:
        """The negative bus stands right of everything, and what returns has room left of it."""
        if self.plan.back:
            room = self._back_width() + 3 * DOT
            self.spacing.keep(("edge",), ("at", self.plan.back_from), room)
        if RIGHT not in self.layout.extent:
            return
        for i, level in enumerate(self.plan.levels):
            junction = level.end
            if junction != RIGHT:
                room = max(self._beside_drop() + self._clear(junction, self._top(junction)), _TURN)
                self.spacing.keep(("at", junction), ("at", RIGHT), room)
            for k in range(level.lines - 1):
                if cells := level.line(k):
                    key = ("dot", i, k, cells[-1] + 1)
                    self.spacing.keep(key, ("at", RIGHT), max(_TURN, self._beside_drop() + _CLEAR))

    # -- least distances between what passes ------------------------------------------------

    def _keep_uprights_apart(self, guess: dict[Hashable, float]) -> None:
        """Upright wires that pass the same line stand side by side, as first guessed."""
        order = {j: n for n, j in enumerate(self.plan.topology.order)}
        junctions = sorted(
            (j for j in self.layout.extent if j != RIGHT),
            key=lambda j: (guess["at", j], order.get(j, len(order))),
        )
        for i, one in enumerate(junctions):
            for two in junctions[i + 1 :]:
                top = max(self.layout.extent[one][0], self.layout.extent[two][0])
                low = min(self.layout.extent[one][1], self.layout.extent[two][1])
                if top <= low:
                    lines = {top, low, self._top(one), self._top(two)}
                    shared = [n for n in lines if top <= n <= low]
                    room = max(self._clear(one, n) + self._clear(two, n) for n in shared)
                    self.spacing.keep(("at", one), ("at", two), max(_TURN, room + 2))

    def _keep_from_passing(self, guess: dict[Hashable, float]) -> None:
        """Where an upright wire must cross a row, it crosses between two parts."""
        for i, level in enumerate(self.plan.levels):
            left, right = guess[self._start_of(level)], guess["at", level.end]
            for k in range(level.lines):
                line = self.layout.line_of(level, k)
                for junction, (top, low) in self.layout.extent.items():
                    if junction in (level.start, level.end, RIGHT) or not top <= line <= low:
                        continue
                    x = guess["at", junction]
                    if left < x and (x < right or level.lines > 1):
                        self._pass_between(i, level, k, junction, guess)

    def _pass_between(
        self, i: int, level: Level, k: int, junction: str, guess: dict[Hashable, float]
    ) -> None:
        x, upright = guess["at", junction], ("at", junction)
        room = self._clear(junction, self.layout.line_of(level, k))
        keys: list[Hashable] = [("turn", i, k)] if k else []
        for n in level.line(k):
            keys += [("mid", i, k, n), ("dot", i, k, n + 1)]
        for key in keys:
            if key not in guess:
                continue
            need = _CLEAR
            if key[0] == "mid":  # type: ignore[index]
                cell = level.cells[key[3]]  # type: ignore[index]
                need = max(HALF_BODY + 2, cell.reach, cell.text_width / 2)
                throw = self.plan.throws.get(junction)
                if throw and (throw.holder, throw.cell) == (i, key[3]):  # type: ignore[index]
                    continue
            if guess[key] < x:
                self.spacing.keep(key, upright, need + room)
            else:
                self.spacing.keep(upright, key, need + room)

    # -- after the places are found ---------------------------------------------------------

    def widest(self) -> list[Level]:
        """Levels that push the rightmost thing to where it is."""
        if not self.layout.x:
            return []
        last = max(self.layout.x, key=lambda key: self.layout.x[key])
        levels = {key[1] for key in self.spacing.held(last) if key[0] == "mid"}  # type: ignore[index]
        return [self.plan.levels[i] for i in sorted(levels)]

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
            line = self.layout.line_of(level, 0)
            start, end = self._start_of(level), ("at", level.end)
            passed = any(
                top <= line <= low and x[start] < x["at", junction] < x[end]
                for junction, (top, low) in self.layout.extent.items()
            )
            if level.lines == 1 and len(level.cells) == 1 and not passed:
                low = x[start] + self._half(level.cells[0], start, line)
                high = x[end] - self._half(level.cells[0], end, line)
                x["mid", i, 0, 0] = (low + high) / 2

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
                    above[line] = max(above[line], cell.above)
                    below[line] = max(below[line], cell.below)
                if k < level.lines - 1 and not level.comes_from_right(k + 1):
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
        y += max(back_head(plan), 2.0)
        for column in (*plan.columns, *([plan.drop] if plan.drop else [])):
            need = sum(standing_heights(column)) + (back_head(plan) if column is plan.drop else 0)
            y = max(y, layout.y[layout.top_line(column)] + need)
        layout.bottom = y
        layout.width = self._right_edge() + MARGIN
        below_bus = max((cell.below for cell in plan.back), default=0.0)
        layout.height = y + max(below_bus, DOT + 4 + LINE) + MARGIN

    def _right_edge(self) -> float:
        """How far anything reaches to the right, the names above upright wires too. [px]"""
        x, edge = self.layout.x, max(self.layout.x.values(), default=0.0) + HALF_HEIGHT
        names = self.plan.topology.names
        written = [j for j in self.layout.extent if j != RIGHT and names.get(j)]
        return max([edge, *(x["at", j] + name_half(names[j]) for j in written)])

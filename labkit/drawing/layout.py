"""A plan with a place for everything, chosen among several ways to divide and to wrap it."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, field
from itertools import count

from labkit.drawing.content import DOT, HALF_BODY, Content
from labkit.drawing.geometry import Link
from labkit.drawing.lanes import MANY, Level, Plan, Shapes, Upright
from labkit.drawing.topology import RIGHT

WIDEST = 900.0
"""Width at which a drawing is still readable on a page or in a notebook. [px]"""

_MOST_STEPS, _FRONT = 12, 6

_STANDING = 2 * HALF_BODY + 2 * DOT + 16


@dataclass
class Layout:
    """A plan with a place for everything.

    Keys of `x`: ('at', junction), ('column', i) and, for line k of level i, ('dot', i, k, n) where
    part n of the level begins, ('mid', i, k, n) its middle, ('turn', i, k) where a line that
    continues begins; ('back', n) where part n along the bottom begins.
    """

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
    links: dict[str, list[Link]] = field(default_factory=dict)
    """Mechanical links found in it, by the style of its symbols."""
    bottom: float = 0.0
    width: float = 0.0
    height: float = 0.0

    def line_of(self, level: Level, index: int) -> int:
        """Number of a line of a level, counted over the whole drawing."""
        return self.first_line[level.lane] + level.offset + index

    def top_line(self, column: Upright) -> int:
        """Line a column rises to, or drops from."""
        if column is not self.plan.drop:
            return self.first_line[column.lane]
        last = next(
            level for level in self.plan.levels if level.lane == column.lane and level.end == RIGHT
        )
        return self.line_of(last, last.lines - 1)

    def column_reach(self, column: Upright) -> tuple[float, float]:
        """Top and bottom of the room for a column's parts and their text. [px]"""
        above_back = back_head(self.plan) if column is self.plan.drop else 0.0
        return self.y[self.top_line(column)], self.bottom - above_back

    def cost(self, widest: float) -> float:
        """Height, and what else a reader minds: too wide, wrapped, a tall stack at the left."""
        turns = sum(level.lines - 1 for level in self.plan.levels)
        stacked = sum(len(column.cells) - 1 for column in self.plan.columns)
        return (
            self.height
            + 0.15 * self.width
            + 60 * turns
            + 12 * stacked
            + (600.0 + 20 * (self.width - widest)) * (self.width > widest)
        )


def back_head(plan: Plan) -> float:
    """Height of what is written above the parts along the bottom. [px]"""
    return max((cell.above for cell in plan.back), default=0.0)


def standing_heights(column: Upright) -> list[float]:
    """Height each upright part needs. [px]"""
    return [max(_STANDING, cell.text_height + 2 * DOT + 6) for cell in column.cells]


def text_side(cells: list[Content]) -> float:
    """Widest text beside upright symbols. [px]"""
    return max((cell.text_width for cell in cells), default=0.0)


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


def lay_out(
    plan: Plan, put: Callable[[Plan], tuple[Layout, list[Level]]], widest: float = WIDEST
) -> Layout:
    """Wrap and fold levels, a step at a time from the best ways so far, until it is narrow enough.

    `put` gives a plan its places, and tells which levels make it as wide as it is.
    """

    def tried(shapes: Shapes) -> tuple[float, int, Shapes, list[Level], bool]:
        plan.shapes = shapes
        layout, wide = put(plan)
        return layout.cost(widest), next(number), shapes, wide, layout.width > widest

    at_once = sum(len(level.cells) for level in plan.levels) > MANY
    number = count()
    front = [tried(plan.shapes)]
    best, met = front[0], {plan.shapes}
    for _ in range(_MOST_STEPS):
        onward = []
        for _, _, shapes, wide, too_wide in front:
            plan.shapes = shapes
            ways = _all_narrower(plan, wide) if at_once else _trials(plan, wide)
            onward += [s for s in ways if s not in met] if too_wide else []
            met.update(onward)
        front = sorted(map(tried, dict.fromkeys(onward)))[:_FRONT]
        best = min([best, *front[:1]])
    plan.shapes = best[2]
    return put(plan)[0]


def _trials(plan: Plan, wide: list[Level]) -> list[Shapes]:
    """Ways to make a drawing narrower: one more line, or leading back to the left."""
    found = []
    for level in wide:
        i = plan.levels.index(level)
        if level.filled < len(level.cells):
            found.append(_with(plan.shapes, i, (level.filled + 1, level.folded)))
        if plan.may_fold(level):
            found.append(_with(plan.shapes, i, (level.filled, True)))
    return found


def _all_narrower(plan: Plan, wide: list[Level]) -> list[Shapes]:
    """Every level that is too wide with one more line, or else leading back, in one go."""
    shapes = plan.shapes
    for level in wide:
        i = plan.levels.index(level)
        if level.filled < len(level.cells):
            shapes = _with(shapes, i, (level.filled + 1, level.folded))
        elif plan.may_fold(level):
            shapes = _with(shapes, i, (level.filled, True))
    return [shapes]


def _with(shapes: Shapes, i: int, shape: tuple[int, bool]) -> Shapes:
    return (*shapes[:i], shape, *shapes[i + 1 :])

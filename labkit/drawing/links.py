"""The dashed mechanical link between what moves together: a coil and its contacts, two ways.

IEC 60617 draws it so (from memory). Where it would run through symbols or writing it is left out:
one designation at both places ties them, as IEC 61082-1 also has it (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from heapq import heappop, heappush
from itertools import count

from labkit.drawing.content import HALF_HEIGHT
from labkit.drawing.geometry import Box, Link, Point, Sheet, Wire
from labkit.drawing.lanes import Plan
from labkit.drawing.pen import Placed
from labkit.drawing.topology import Step
from labkit.parts import Trait

_AIR, _BESIDE = 3.0, 5.0
"""Least distance from writing and symbols, and from a wire that runs the same way. [px]"""
_STEP, _AROUND = 6.0, 80.0
"""How fine ways are searched for, and how far outside the two ends. [px] Our choice."""
_CROSSING, _BEND = 25.0, 12.0
"""What crossing a wire and turning count, in pixels of length. Our choice."""
_WAYS = ((1, 0), (0, 1), (-1, 0), (0, -1))


def is_coil(step: Step) -> bool:
    """Tell whether a step is a winding of a part of several ways, such as a relay's coil."""
    return step.named and step.is_load


def clear_for_links(plan: Plan) -> Plan:
    """Write above the upper and below the lower of two things that are linked."""
    places: dict[str, list[tuple[int, int, int]]] = {}
    for i, level in enumerate(plan.levels):
        for n, cell in enumerate(level.cells):
            if cell.step.named:
                places.setdefault(cell.step.id, []).append((plan.rows[level.lane], i, n))
    for found in places.values():
        rows = [row for row, _, _ in found]
        for row, i, n in found:
            cell = plan.levels[i].cells[n]
            text = (*cell.head, *cell.body)
            if row == min(rows) < max(rows):
                plan.levels[i].cells[n] = replace(cell, head=text, body=())
            elif row == max(rows) > min(rows):
                plan.levels[i].cells[n] = replace(cell, head=(), body=text)
    return plan


def links(parts: list[Placed], sheet: Sheet) -> Iterator[Link]:
    """Find the links that can be drawn between parts on a sheet."""
    for one, two in _linked(parts):
        if corners := _route(sheet, one, two):
            yield Link(one.step.id, tuple(corners))


def _linked(parts: list[Placed]) -> Iterator[tuple[Placed, Placed]]:
    """Pairs of symbols of one part, in rows, that move together."""
    found: dict[str, list[Placed]] = {}
    for placed in parts:
        level = placed.first.y == placed.second.y
        if placed.step.named and level:
            found.setdefault(placed.step.id, []).append(placed)
    for together in found.values():
        first = next((p for p in together if is_coil(p.step)), together[0])
        if Trait.THROWS in first.step.traits or is_coil(first.step):
            yield from ((first, other) for other in together if other is not first)


def _route(sheet: Sheet, one: Placed, two: Placed) -> list[Point]:
    """Corners of the best clear way from one symbol to another; none where there is no way."""
    ends = [
        [Point(placed.middle.x, placed.middle.y + way * HALF_HEIGHT) for way in (-1, 1)]
        for placed in (one, two)
    ]
    lattice = _Lattice(sheet, [point for pair in ends for point in pair], one.step.id)
    path = lattice.shortest(*ends)
    return [
        point
        for n, point in enumerate(path)
        if n in (0, len(path) - 1) or not _straight(path[n - 1], point, path[n + 1])
    ]


def _straight(before: Point, here: Point, after: Point) -> bool:
    return before.x == here.x == after.x or before.y == here.y == after.y


class _Lattice:
    """Places around two symbols, and in which directions a link may run at each."""

    def __init__(self, sheet: Sheet, ends: list[Point], own: str) -> None:
        self.xs = _lines([point.x for point in ends])
        self.ys = _lines([point.y for point in ends])
        solid = [label.box.grown(_AIR) for label in sheet.labels]
        solid += [s.box.grown(0 if s.name == own else _AIR) for s in sheet.symbols]
        solid += [dot.box.grown(_AIR) for dot in sheet.dots]
        solid += [Box(*point, *point).grown(_BESIDE) for _, point in sheet.joins]
        boxes = [wire.box for wire in sheet.wires]
        level = [b for b in boxes if b.top == b.bottom]
        upright = [b for b in boxes if b.left == b.right]
        beside = [b._replace(top=b.top - _BESIDE, bottom=b.bottom + _BESIDE) for b in level]
        self.shut = (
            self._within([*solid, *beside]),
            self._within(
                [
                    *solid,
                    *(b._replace(left=b.left - _BESIDE, right=b.right + _BESIDE) for b in upright),
                ]
            ),
        )
        """Where no link may run level, and where none may run upright."""
        self.crossed = (upright, level)
        self._costs: dict[tuple[tuple[int, int], tuple[int, int]], float] = {}

    def _within(self, boxes: list[Box]) -> set[tuple[int, int]]:
        return {
            (i, j)
            for box in boxes
            for i in range(len(self.xs))
            if box.left < self.xs[i] < box.right
            for j in range(len(self.ys))
            if box.top < self.ys[j] < box.bottom
        }

    def shortest(self, starts: list[Point], goals: list[Point]) -> list[Point]:
        """The way that costs least, by Dijkstra's algorithm; it leaves and arrives upright."""
        wanted = {self._at(point) for point in goals}
        order = count()
        queue = [(0.0, next(order), self._at(point), 1, [point]) for point in starts]
        done: set[tuple[tuple[int, int], int]] = set()
        while queue:
            cost, _, here, upright, path = heappop(queue)
            if here in wanted and upright:
                return path
            if (here, upright) in done:
                continue
            done.add((here, upright))
            for dx, dy in _WAYS:
                there, way = (here[0] + dx, here[1] + dy), int(dx == 0)
                if (there, way) not in done and self._open(here, there, way):
                    point = Point(self.xs[there[0]], self.ys[there[1]])
                    more = self._cost(here, there) + _BEND * (way != upright)
                    heappush(queue, (cost + more, next(order), there, way, [*path, point]))
        return []

    def _at(self, point: Point) -> tuple[int, int]:
        return self.xs.index(point.x), self.ys.index(point.y)

    def _open(self, here: tuple[int, int], there: tuple[int, int], way: int) -> bool:
        inside = 0 <= there[0] < len(self.xs) and 0 <= there[1] < len(self.ys)
        return inside and here not in self.shut[way] and there not in self.shut[way]

    def _cost(self, here: tuple[int, int], there: tuple[int, int]) -> float:
        """What a piece of the way counts, the same there and back."""
        ends = (here, there) if here < there else (there, here)
        found = self._costs.get(ends)
        if found is None:
            one, two = (Point(self.xs[i], self.ys[j]) for i, j in ends)
            piece = Wire("", one, two).box
            crossed = sum(_meet(piece, wire) for wire in self.crossed[int(one.x == two.x)])
            found = abs(two.x - one.x) + abs(two.y - one.y) + _CROSSING * crossed
            self._costs[ends] = found
        return found


def _meet(piece: Box, wire: Box) -> bool:
    return (
        piece.left <= wire.right
        and wire.left <= piece.right
        and piece.top <= wire.bottom
        and wire.top <= piece.bottom
    )


def _lines(at: list[float]) -> list[float]:
    """Coordinates to search along: those of the ends, and steps around and between them."""
    low, high = min(at) - _AROUND, max(at) + _AROUND
    steps = [low + n * _STEP for n in range(int((high - low) / _STEP) + 1)]
    return sorted({*at, *steps})

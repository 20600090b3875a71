"""Where the flags of leads and clips go: beside what they touch, clear of all that is drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from labkit.drawing.geometry import Box, Point, Sheet

HALF_FLAG = 8.5
"""Half the width of a flag. [px]"""

_AIR = 3.0
_FAR = 120.0
_RINGS = (19.0, 22.0, 26.0, 31.0, 37.0, 44.0, 52.0, 62.0, 74.0, 88.0, 104.0)
"""Distances from the point to its flag that are tried. [px]"""
_ANGLES = tuple(math.radians(-90 + side * turn) for turn in range(0, 181, 15) for side in (-1, 1))
"""Directions that are tried, upwards first."""
_WIRE, _OVER = 14.0, 1000.0
"""So many pixels further off is a flag put rather than on a wire, or its line across something."""


def flag_places(
    sheet: Sheet, page: Box, tips: Sequence[Point], taken: Sequence[Box] = ()
) -> list[Point]:
    """Find the middle of a flag for each tip, one after the other.

    A flag keeps clear of labels, symbols, test points, what is `taken` and the flags before it;
    so does the line to it where there is any such place. Where there is a choice it also keeps
    off wires, and near.
    """
    solid = [*taken, *(label.box for label in sheet.labels)]
    solid += [shape.box for shape in (*sheet.symbols, *sheet.dots)]
    links = [piece for link in sheet.links for piece in link.pieces]
    flags: list[Box] = []
    made = []
    for tip in tips:
        near = [box for box in (*solid, *flags) if _touches(box, tip)]
        wires = [w.box for w in (*sheet.wires, *links) if _touches(w.box, tip)]
        best = (math.inf, Point(tip.x, tip.y - _RINGS[0]))
        for ring in _RINGS:
            if best[0] > ring:
                best = min([best, *_ring(tip, ring, near, wires, page)], key=lambda found: found[0])
        made.append(best[1])
        flags.append(Box.around(*made[-1], HALF_FLAG, HALF_FLAG))
    return made


def _touches(box: Box, tip: Point) -> bool:
    return box.grown(_FAR).holds(Box(*tip, *tip))


def _ring(
    tip: Point, ring: float, near: list[Box], wires: list[Box], page: Box
) -> Iterator[tuple[float, Point]]:
    """Places on a ring that are clear, with what each costs: no less than the ring's distance."""
    others = [box for box in near if not box.holds(Box(*tip, *tip))]
    for turn, angle in enumerate(_ANGLES):
        spot = Point(tip.x + ring * math.cos(angle), tip.y + ring * math.sin(angle))
        room = Box.around(*spot, HALF_FLAG + _AIR, HALF_FLAG + _AIR)
        if page.holds(room) and not any(room.overlaps(box, 0) for box in near):
            over = sum(line_crosses(tip, spot, box) for box in others)
            crossed = sum(room.overlaps(wire.grown(0.1), 0) for wire in wires)
            yield ring + _OVER * over + _WIRE * crossed + 0.1 * turn, spot


def line_crosses(start: Point, end: Point, box: Box) -> bool:
    """Tell whether the straight line from start to end meets the box."""
    enter, leave = 0.0, 1.0
    for here, there, low, high in (
        (start.x, end.x, box.left, box.right),
        (start.y, end.y, box.top, box.bottom),
    ):
        way = there - here
        if abs(way) < 1e-9:
            if not low < here < high:
                return False
            continue
        first, last = sorted(((low - here) / way, (high - here) / way))
        enter, leave = max(enter, first), min(leave, last)
    return enter < leave

"""What is clipped on for a while, laid over the drawing: nothing of what it joins moves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import islice

from labkit.drawing.contacts import UNIT
from labkit.drawing.content import HALF_HEIGHT
from labkit.drawing.flags import line_crosses
from labkit.drawing.geometry import Box, Label, Point, Sheet
from labkit.drawing.pen import Clip, Placed, Placement
from labkit.drawing.symbols import half_length
from labkit.drawing.text import text_rise, text_width
from labkit.drawing.topology import Step

_HALF_BADGE = Point(30.0, 28.0)
"""Least half of the badge with symbol and words. [px]"""
_AIR, _RIM, _STEP = 3.0, 6.0, 20
"""Room round a badge, inside it, and how fine places for it are searched. [px] Our choice."""
_TRIED = 90
"""So many clear places are compared."""
_OVER, _WIRE = 300.0, 12.0
"""So many pixels of detour is a badge put off rather than lead a clip's wire across a symbol or
words, or lie on a wire. Our choice."""


def clip_on(placement: Placement, steps: Sequence[Step], style: str) -> list[Clip]:
    """Find a place for everything clipped on.

    Parameters
    ----------
    placement : Placement
        Everything else, at its place.
    steps : sequence of Step
        What is clipped on, with the terminals (or named nodes) it was clipped to.
    style : str
        Of the symbols.
    """
    made: list[Clip] = []
    page = Point(placement.width, placement.height)
    wires = tuple(wire.box for wire in placement.sheet.wires) if steps else ()
    for step in steps:
        ends = _tip(placement, step.enter, step.start), _tip(placement, step.leave, step.end)
        if ends[0].x > ends[1].x:
            step, ends = step.turned(), (ends[1], ends[0])
        words = step.kind if step.id == step.kind else f"{step.id} {step.kind}"
        half = Point(max(_HALF_BADGE.x, text_width(words) / 2 + _RIM), _HALF_BADGE.y)
        solid = (*_solid(placement.sheet), *(clip.box for clip in made))
        middle = _place(page, solid, wires, ends, half)
        made.append(_clip(step, ends, middle, half, words, style))
    return made


def _tip(placement: Placement, place: str, junction: str) -> Point:
    """Where a clip bites: at a post that was freed, or else at the test point."""
    return placement.posts.get(place) or placement.points[junction]


def _clip(
    step: Step, ends: tuple[Point, Point], middle: Point, half: Point, words: str, style: str
) -> Clip:
    rise, fall = text_rise()
    box = Box.around(*middle, *half)
    y = box.top + HALF_HEIGHT + 1
    long = half_length(step, style) * UNIT
    symbol = Box.around(middle.x, y, long, HALF_HEIGHT)
    placed = Placed(
        step, Point(middle.x - long, y), Point(middle.x + long, y), symbol, Point(middle.x, y)
    )
    base = box.bottom - fall - 2
    width = text_width(words)
    room = Box(middle.x - width / 2, base - rise, middle.x + width / 2, base + fall)
    return Clip(placed, Label(words, middle.x, base, room, owner=step.id), box, ends)


@lru_cache(maxsize=64)
def _place(
    page: Point, solid: tuple[Box, ...], wires: tuple[Box, ...], ends: tuple[Point, Point],
    half: Point,
) -> Point:  # fmt: skip  # rows that a reader compares
    """The middle of a badge: clear of everything, near both ends, few things under its wires.

    The nearest clear places are tried; where there is none, it stands in the middle of the page.
    """
    best = math.inf, Point(page.x / 2, page.y / 2)
    for detour, spot in islice(_clear(page, solid, ends, half), _TRIED):
        if detour >= best[0]:
            break
        badge = Box.around(*spot, *half).grown(_AIR)
        under = sum(badge.overlaps(wire.grown(0.1), 0) for wire in wires)
        leads = zip(ends, (spot.x - half.x, spot.x + half.x), strict=True)
        crossed = sum(_crossed(end, Point(x, spot.y), solid) for end, x in leads)
        best = min(best, (detour + _WIRE * under + _OVER * crossed, spot))
    return best[1]


def _clear(
    page: Point, solid: tuple[Box, ...], ends: tuple[Point, Point], half: Point
) -> Iterator[tuple[float, Point]]:
    """Places where a badge covers nothing, with what they are off the straight way, least first."""
    straight = math.dist(*ends)
    across, down = (
        range(int(half.x + _AIR), int(page.x - half.x - _AIR), _STEP),
        range(int(half.y + _AIR), int(page.y - half.y - _AIR), _STEP),
    )
    spots = [Point(x, y) for x in across for y in down]
    for detour, spot in sorted((_detour(ends, spot) - straight, spot) for spot in spots):
        badge = Box.around(*spot, *half).grown(_AIR)
        if not any(badge.overlaps(box, 0) for box in solid):
            yield detour, spot


def _detour(ends: tuple[Point, Point], spot: Point) -> float:
    return math.dist(ends[0], spot) + math.dist(spot, ends[1])


def _crossed(end: Point, side: Point, solid: tuple[Box, ...]) -> int:
    """How many things a wire from an end to a badge lies across, those at the end not counted."""
    left, right = min(end.x, side.x), max(end.x, side.x)
    top, low = min(end.y, side.y), max(end.y, side.y)
    near = (
        b for b in solid if b.left < right and b.right > left and b.top < low and b.bottom > top
    )
    tip = Box(*end, *end)
    return sum(not box.holds(tip) and line_crosses(end, side, box) for box in near)


def _solid(sheet: Sheet) -> list[Box]:
    """What a badge must not cover."""
    boxes = [label.box for label in sheet.labels]
    boxes += [shape.box for shape in (*sheet.symbols, *sheet.dots)]
    return boxes + [piece.box.grown(1) for link in sheet.links for piece in link.pieces]

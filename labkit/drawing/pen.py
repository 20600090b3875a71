"""Puts symbols, leads, text and test points on a sheet."""

from __future__ import annotations

from dataclasses import dataclass, field

from labkit.circuits.circuit import Circuit
from labkit.drawing.contacts import UNIT
from labkit.drawing.content import (
    DOT,
    HALF_BODY,
    HALF_HEIGHT,
    THROW,
    Content,
    Line,
)
from labkit.drawing.geometry import Box, Label, Point, Shape, Sheet
from labkit.drawing.symbols import half_length
from labkit.drawing.text import LINE, SMALL, text_rise, text_width
from labkit.drawing.topology import Step

GAP_START, GAP_END = 22.0, 29.0
"""From the middle of a symbol to the ends of the gap where a terminal is taken apart. [px]"""


@dataclass(frozen=True)
class Placed:
    """A symbol at its place, met from `first` to `second`; `box` is the room kept for it."""

    step: Step
    first: Point
    second: Point
    box: Box
    middle: Point


@dataclass(frozen=True)
class Clip:
    """Something clipped on: its symbol and words on a badge, and where its two wires end."""

    placed: Placed
    label: Label
    box: Box
    ends: tuple[Point, Point]


@dataclass
class Placement:
    """Everything drawn, and where it can be touched."""

    sheet: Sheet = field(default_factory=Sheet)
    parts: list[Placed] = field(default_factory=list)
    points: dict[str, Point] = field(default_factory=dict)
    """Dot of each junction."""
    terminals: dict[str, Point] = field(default_factory=dict)
    posts: dict[str, Point] = field(default_factory=dict)
    """Test points of their own, of terminals that were taken apart."""
    gaps: list[tuple[str, Point, Point]] = field(default_factory=list)
    clips: list[Clip] = field(default_factory=list)
    width: float = 0.0
    height: float = 0.0

    @property
    def symbols(self) -> list[Placed]:
        """Parts, and what is clipped on."""
        return [*self.parts, *(clip.placed for clip in self.clips)]


class Pen:
    """Puts one thing at a time on a sheet, at places others found."""

    def __init__(self, circuit: Circuit, style: str) -> None:
        self.circuit, self.style = circuit, style
        self.placement = Placement()
        self.sheet = self.placement.sheet

    def part(self, content: Content, x: float, y: float, toward: tuple[int, int]) -> Placed:
        """Put a symbol with its middle at (x, y), met in this direction."""
        dx, dy = toward
        step = content.step
        half = half_length(step, self.style) * UNIT
        first = Point(x - dx * half, y - dy * half)
        second = Point(x + dx * half, y + dy * half)
        tall = (HALF_BODY, HALF_HEIGHT) if dx else (HALF_HEIGHT, HALF_BODY)
        solid = (half, HALF_HEIGHT) if dx else (HALF_HEIGHT, half)
        room, body = Box.around(x, y, *tall), Box.around(x, y, *solid)
        if step.throw:
            room, body = (box._replace(bottom=y + THROW + 4) for box in (room, body))
        placed = Placed(step, first, second, room, Point(x, y))
        self.placement.parts.append(placed)
        self.sheet.symbols.append(Shape(step.id, body))
        for name, way in ((step.enter, -HALF_BODY), (step.leave, HALF_BODY)):
            lead = Point(x + dx * way, y + dy * way)
            self.placement.terminals.setdefault(f"{step.id}:{name}", lead)
        return placed

    def lead(self, node: str, placed: Placed, at_start: bool, end: tuple[float, float]) -> None:
        """Wire from a symbol to where its lead goes, with a gap where the terminal is apart."""
        here = placed.first if at_start else placed.second
        terminal = f"{placed.step.id}:{placed.step.enter if at_start else placed.step.leave}"
        if terminal in self.circuit.parted:
            ux = (here.x > placed.middle.x) - (here.x < placed.middle.x)
            uy = (here.y > placed.middle.y) - (here.y < placed.middle.y)
            near, far = (
                Point(placed.middle.x + ux * d, placed.middle.y + uy * d)
                for d in (GAP_START, GAP_END)
            )
            self.sheet.wire(terminal, here, near)
            self.placement.gaps.append((terminal, near, far))
            here = far
        self.sheet.wire(node, here, end)

    def text(
        self, lines: list[Line], x: float, y: float, anchor: str, owner: str, role: str = "label"
    ) -> None:
        """Put lines of text under one another, the first with its baseline at y."""
        rise, fall = text_rise()
        for n, line in enumerate(lines):
            left = {"middle": x - line.width / 2, "start": x, "end": x - line.width}[anchor]
            base = y + n * LINE
            box = Box(left, base - rise, left + line.width, base + fall)
            self.sheet.labels.append(Label(line.text, x, base, box, anchor, role, owner, line.bold))

    def level_part(self, content: Content, x: float, y: float, leftward: bool = False) -> Placed:
        """Put a part in a row, its id and rating above, its label below."""
        placed = self.part(content, x, y, (-1, 0) if leftward else (1, 0))
        rise, fall = text_rise()
        top = y - HALF_HEIGHT - 3 - fall - LINE * (len(content.head) - 1)
        self.text(list(content.head), x, top, "middle", content.step.id)
        self.text(list(content.body), x, y + HALF_HEIGHT + 3 + rise, "middle", content.step.id)
        self.terminal_names(placed)
        return placed

    def terminal_names(self, placed: Placed) -> None:
        """Number the terminals of a part that has more than two."""
        step = placed.step
        if not step.named:
            return
        rise, fall = text_rise(SMALL)
        level = placed.first.y == placed.second.y
        for name, lead in ((step.enter, placed.first), (step.leave, placed.second)):
            width = text_width(name, SMALL)
            after = lead.x + lead.y > placed.middle.x + placed.middle.y
            if level:
                x = placed.middle.x + (HALF_BODY + 1 if after else -HALF_BODY - 1)
                y, anchor = lead.y - DOT - 1 - fall, "start" if after else "end"
                left = x if after else x - width
            else:
                x, anchor = lead.x - 4, "end"
                y = placed.middle.y + (HALF_BODY + rise - 6 if after else -HALF_BODY - fall + 6)
                left = x - width
            box = Box(left, y - rise, left + width, y + fall)
            self.sheet.labels.append(Label(name, x, y, box, anchor, "terminal", step.id))

    def dot(self, node: str, x: float, y: float) -> None:
        """Put a test point, once for every junction."""
        if node not in self.placement.points:
            self.placement.points[node] = Point(x, y)
            self.sheet.dots.append(Shape(node, Box.around(x, y, DOT, DOT)))

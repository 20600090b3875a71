"""The geometry of a drawing: boxes, wires, and what must not touch what.

Pixels, x to the right and y downwards, as in SVG. Everything that is drawn is first put on a
`Sheet`, so that a test can ask whether a label lies on a wire (`tests/drawing/clashes.py`).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple


class Box(NamedTuple):
    """An upright rectangle. [px]"""

    left: float
    top: float
    right: float
    bottom: float

    @classmethod
    def around(cls, x: float, y: float, half_width: float, half_height: float) -> Box:
        """Box with its middle at (x, y)."""
        return cls(x - half_width, y - half_height, x + half_width, y + half_height)

    def overlaps(self, other: Box, by: float = 0.5) -> bool:
        """Tell whether the boxes share more than a sliver of `by` px."""
        return (
            min(self.right, other.right) - max(self.left, other.left) > by
            and min(self.bottom, other.bottom) - max(self.top, other.top) > by
        )

    def holds(self, other: Box) -> bool:
        """Tell whether the other box lies wholly in this one."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and self.right >= other.right
            and self.bottom >= other.bottom
        )

    def joined(self, other: Box) -> Box:
        """The smallest box around both."""
        return Box(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )

    def grown(self, margin: float) -> Box:
        """The box with a margin all round."""
        return Box(self.left - margin, self.top - margin, self.right + margin, self.bottom + margin)


class Point(NamedTuple):
    """A place on the sheet. [px]"""

    x: float
    y: float


@dataclass(frozen=True)
class Wire:
    """A straight piece of wire of one node, upright or level."""

    node: str
    start: Point
    end: Point

    @property
    def box(self) -> Box:
        """The wire as a box without width."""
        (x1, y1), (x2, y2) = self.start, self.end
        return Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))


@dataclass(frozen=True)
class Label:
    """One line of text. `x`, `y` is the end of its baseline that `anchor` names."""

    text: str
    x: float
    y: float
    box: Box
    anchor: str = "middle"
    role: str = "label"
    owner: str = ""
    bold: int = 0


@dataclass(frozen=True)
class Shape:
    """Something drawn that has a box: the symbol of a part, the dot of a test point."""

    name: str
    box: Box


@dataclass(frozen=True)
class Link:
    """A dashed mechanical link, corner by corner, between two symbols of one part."""

    part: str
    corners: tuple[Point, ...]

    @property
    def pieces(self) -> list[Wire]:
        """Its straight pieces."""
        return [Wire(self.part, *ends) for ends in pairwise(self.corners)]


@dataclass
class Sheet:
    """Everything drawn, with its boxes."""

    labels: list[Label] = field(default_factory=list)
    symbols: list[Shape] = field(default_factory=list)
    dots: list[Shape] = field(default_factory=list)
    wires: list[Wire] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    joins: list[tuple[str, Point]] = field(default_factory=list)

    @property
    def box(self) -> Box:
        """The smallest box around everything."""
        boxes = [label.box for label in self.labels]
        boxes += [shape.box for shape in (*self.symbols, *self.dots)]
        boxes += [wire.box for wire in self.wires]
        boxes += [piece.box for link in self.links for piece in link.pieces]
        whole = boxes[0] if boxes else Box(0, 0, 1, 1)
        for box in boxes:
            whole = whole.joined(box)
        return whole

    def wire(self, node: str, *points: tuple[float, float]) -> None:
        """Put a wire through these points on the sheet; pieces without length are left out."""
        for start, end in pairwise(points):
            if abs(start[0] - end[0]) > 0.01 or abs(start[1] - end[1]) > 0.01:
                self.wires.append(Wire(node, Point(*start), Point(*end)))

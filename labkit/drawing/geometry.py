"""The geometry of a drawing: boxes, wires, and what must not touch what.

Pixels, x to the right and y downwards, as in SVG. Everything that is drawn is first put on a
`Sheet`, so that a test can ask the sheet whether a label lies on a wire.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations, pairwise
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

    def crosses(self, box: Box, by: float = 0.5) -> bool:
        """Tell whether the wire runs through the box."""
        own = self.box
        return (
            own.left < box.right - by
            and own.right > box.left + by
            and own.top < box.bottom - by
            and own.bottom > box.top + by
        )


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


class Clash(NamedTuple):
    """Two things drawn over each other."""

    what: str
    first: str
    second: str

    def __str__(self) -> str:
        return f"{self.what}: {self.first} and {self.second}"


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

    def clashes(self) -> Iterator[Clash]:
        """Find every label, symbol, dot and wire that lies on something it should not touch."""
        solid = [(s.name, s.box) for s in (*self.symbols, *self.dots)]
        for label in self.labels:
            for name, box in solid:
                if label.box.overlaps(box):
                    yield Clash("label on symbol", label.text, name)
            for wire in self.wires:
                if wire.crosses(label.box):
                    yield Clash("label on wire", label.text, wire.node)
        for one, other in combinations(self.labels, 2):
            if one.box.overlaps(other.box):
                yield Clash("label on label", one.text, other.text)
        for (name, box), (second, box2) in combinations(solid, 2):
            if box.overlaps(box2):
                yield Clash("symbol on symbol", name, second)
        for name, box in solid:
            for wire in self.wires:
                if wire.node != name and wire.crosses(box):
                    yield Clash("wire through symbol", wire.node, name)
        for first, other_wire in combinations(self.wires, 2):
            if first.node != other_wire.node and _lie_along(first.box, other_wire.box):
                yield Clash("wire along wire", first.node, other_wire.node)

        yield from self._clashes_of_links()

    def _clashes_of_links(self) -> Iterator[Clash]:
        """Find every label, symbol, dot and wire that a link runs through or along."""
        solid = [("label", label.text, label.box) for label in self.labels]
        solid += [("symbol", shape.name, shape.box) for shape in (*self.symbols, *self.dots)]
        for piece in (piece for link in self.links for piece in link.pieces):
            for what, name, box in solid:
                if name != piece.node and piece.crosses(box):
                    yield Clash(f"link through {what}", piece.node, name)
            for wire in self.wires:
                if _lie_along(piece.box, wire.box):
                    yield Clash("link along wire", piece.node, wire.node)

    def crossings(self) -> list[Point]:
        """Places where wires of two nodes cross."""
        found = []
        for first, second in combinations(self.wires, 2):
            if first.node == second.node:
                continue
            a, b = first.box, second.box
            level, upright = (a, b) if a.top == a.bottom else (b, a)
            if level.top == level.bottom and upright.left == upright.right:
                x, y = upright.left, level.top
                if level.left <= x <= level.right and upright.top <= y <= upright.bottom:
                    found.append(Point(x, y))
        return found


def _lie_along(a: Box, b: Box) -> bool:
    """Tell whether two pieces of wire run along each other, closer than the eye can part them."""
    near = 4.0
    if a.top == a.bottom and b.top == b.bottom:
        return abs(a.top - b.top) < near and min(a.right, b.right) - max(a.left, b.left) > 0.5
    if a.left == a.right and b.left == b.right:
        return abs(a.left - b.left) < near and min(a.bottom, b.bottom) - max(a.top, b.top) > 0.5
    return False

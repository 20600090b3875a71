"""What lies on what in a drawing and should not: a test's eyes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from labkit.drawing.geometry import Box, Point, Sheet, Wire


class Clash(NamedTuple):
    """Two things drawn over each other."""

    what: str
    first: str
    second: str

    def __str__(self) -> str:
        return f"{self.what}: {self.first} and {self.second}"


def clashes(sheet: Sheet) -> Iterator[Clash]:
    """Find every label, symbol, dot and wire that lies on something it should not touch."""
    solid = [(s.name, s.box) for s in (*sheet.symbols, *sheet.dots)]
    for label in sheet.labels:
        for name, box in solid:
            if label.box.overlaps(box):
                yield Clash("label on symbol", label.text, name)
        for wire in sheet.wires:
            if _crosses(wire, label.box):
                yield Clash("label on wire", label.text, wire.node)
    for one, other in combinations(sheet.labels, 2):
        if one.box.overlaps(other.box):
            yield Clash("label on label", one.text, other.text)
    for (name, box), (second, box2) in combinations(solid, 2):
        if box.overlaps(box2):
            yield Clash("symbol on symbol", name, second)
    for name, box in solid:
        for wire in sheet.wires:
            if wire.node != name and _crosses(wire, box):
                yield Clash("wire through symbol", wire.node, name)
    for first, other_wire in combinations(sheet.wires, 2):
        if first.node != other_wire.node and _lie_along(first.box, other_wire.box):
            yield Clash("wire along wire", first.node, other_wire.node)

    yield from _clashes_of_links(sheet)


def _clashes_of_links(sheet: Sheet) -> Iterator[Clash]:
    """Find every label, symbol, dot and wire that a link runs through or along."""
    solid = [("label", label.text, label.box) for label in sheet.labels]
    solid += [("symbol", shape.name, shape.box) for shape in (*sheet.symbols, *sheet.dots)]
    for piece in (piece for link in sheet.links for piece in link.pieces):
        for what, name, box in solid:
            if name != piece.node and _crosses(piece, box):
                yield Clash(f"link through {what}", piece.node, name)
        for wire in sheet.wires:
            if _lie_along(piece.box, wire.box):
                yield Clash("link along wire", piece.node, wire.node)


def crossings(sheet: Sheet) -> list[Point]:
    """Places where wires of two nodes cross."""
    found = []
    for first, second in combinations(sheet.wires, 2):
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


def _crosses(wire: Wire, box: Box, by: float = 0.5) -> bool:
    """Tell whether a wire runs through a box."""
    own = wire.box
    return (
        own.left < box.right - by
        and own.right > box.left + by
        and own.top < box.bottom - by
        and own.bottom > box.top + by
    )

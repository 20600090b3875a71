"""From a layout to the sheet: every symbol, wire, dot and line of text at its place."""

from __future__ import annotations

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.drawing.contacts import UNIT
from labkit.drawing.content import (
    BESIDE,
    DOT,
    THROW,
    Line,
    name_lines,
)
from labkit.drawing.flags import flag_places
from labkit.drawing.geometry import Box, Label, Point, Shape
from labkit.drawing.lanes import Level, Upright
from labkit.drawing.layout import Layout, upright_places
from labkit.drawing.links import links
from labkit.drawing.pen import GAP_END, GAP_START, Pen, Placed, Placement
from labkit.drawing.symbols import half_length
from labkit.drawing.text import LINE, SMALL, text_rise, text_width
from labkit.drawing.topology import LEFT, RIGHT


def place(layout: Layout, circuit: Circuit, style: str) -> Placement:
    """Put a layout on a sheet."""
    placer = _Placer(layout, circuit, style)
    placer.levels()
    placer.throws()
    placer.columns()
    placer.junctions()
    placer.bottom()
    placer.joins()
    if style not in layout.links:
        layout.links[style] = list(links(placer.placement.parts, placer.sheet))
    placer.sheet.links = layout.links[style]
    placer.placement.width, placer.placement.height = layout.width, layout.height
    placer.posts()
    return placer.placement


class _Placer(Pen):
    def __init__(self, layout: Layout, circuit: Circuit, style: str) -> None:
        super().__init__(circuit, style)
        self.layout = layout
        self.plan = layout.plan
        self.attached: dict[str, list[float]] = {}
        """y of everything that meets a junction's upright wire."""

    # -- rows -------------------------------------------------------------------------------

    def levels(self) -> None:
        """Put the parts of every row."""
        for i, level in enumerate(self.plan.levels):
            for k in range(level.lines):
                self.line(i, level, k)

    def line(self, i: int, level: Level, k: int) -> None:
        """Put one line of a stretch."""
        layout, x = self.layout, self.layout.x
        number = layout.line_of(level, k)
        y = layout.y[number]
        last = k == level.lines - 1
        cells = level.line(k)
        if k == 0:
            here = Point(self.start(level), y)
            self.attach(level.start, y)
        else:
            turning = ("at", level.end) if level.comes_from_right(k) else ("turn", i, k)
            here = Point(x[turning], y)
        if k:
            entering = self.node(level.nodes[cells[0] if cells else -1])
            self.turn(i, level, k, entering, here)
        before: Placed | None = None
        for n in cells:
            placed = self.level_part(level.cells[n], x["mid", i, k, n], y)
            node = self.node(level.nodes[n])
            if before is not None:
                here = Point(x["dot", i, k, n], y)
                self.lead(node, before, False, here)
                self.dot(node, *here)
            self.lead(node, placed, True, here)
            before = placed
        after = self.node(level.nodes[cells[-1] + 1 if cells else -1])
        end = Point(x["at", level.end], y) if last else Point(x["dot", i, k, cells[-1] + 1], y)
        if before is not None:
            self.lead(after, before, False, end)
        else:
            self.sheet.wire(after, here, end)
        if last:
            self.attach(level.end, y)

    def turn(self, i: int, level: Level, k: int, node: str, here: Point) -> None:
        """Lead from the end of the line before back to the left, where this line begins."""
        number = self.layout.line_of(level, k) - 1
        above = self.layout.y[number]
        channel = here.y if level.comes_from_right(k) else self.layout.channel[number]
        far = self.layout.x["dot", i, k - 1, level.line(k - 1)[-1] + 1]
        if node not in self.layout.extent:
            self.dot(node, far, above)
        self.sheet.wire(node, (far, above), (far, channel), (here.x, channel), here)

    def start(self, level: Level) -> float:
        """Where a stretch leaves its junction or column."""
        if level.start != LEFT:
            return self.layout.x["at", level.start]
        return next(
            self.layout.x["column", c]
            for c, column in enumerate(self.plan.columns)
            if column.lane == level.lane
        )

    def node(self, name: str) -> str:
        """The junction drawn here: the bus has two ends."""
        return self.plan.topology.bus if name in (LEFT, RIGHT) else name

    def attach(self, junction: str, y: float) -> None:
        """Remember that a row meets a junction's upright wire."""
        if junction != LEFT:
            self.attached.setdefault(junction, []).append(y)

    def throws(self) -> None:
        """Lead from the third contact of every changeover switch to the row below."""
        for upright, throw in self.plan.throws.items():
            level = self.plan.levels[throw.holder]
            k = 0 if throw.after else level.filled - 1
            middle = self.layout.x["mid", throw.holder, k, throw.cell]
            step, node = level.cells[throw.cell].step, self.node(throw.node)
            side = 1 if throw.after else -1
            y = self.layout.y[self.layout.line_of(level, k)] + THROW
            x, low = self.layout.x["at", upright], self.attached[upright][0]
            contact = Point(middle + side * half_length(step, self.style) * UNIT, y)
            here: tuple[float, float] = contact
            terminal = f"{step.id}:{step.throw}"
            self.placement.terminals.setdefault(terminal, Point(x, y))
            if terminal in self.circuit.parted:
                here = Point(x, y + GAP_END - GAP_START)
                self.sheet.wire(terminal, contact, (x, y))
                self.placement.gaps.append((terminal, Point(x, y), Point(*here)))
            self.sheet.wire(node, here, (x, here[1]), (x, low))
            if node not in self.layout.extent and node != self.plan.topology.bus:
                self.dot(node, x, low)
            rise, _ = text_rise(SMALL)
            width = text_width(step.throw, SMALL)
            left, top = contact.x - side * 4 - width / 2, y + 5
            box = Box(left, top, left + width, top + sum(text_rise(SMALL)))
            self.sheet.labels.append(
                Label(step.throw, left + width / 2, top + rise, box, "middle", "terminal", step.id)
            )

    # -- uprights ---------------------------------------------------------------------------

    def columns(self) -> None:
        """Put the upright parts."""
        for c, column in enumerate(self.plan.columns):
            self.upright(column, self.layout.x["column", c])
        if self.plan.drop is not None:
            self.upright(self.plan.drop, self.layout.x["at", RIGHT])

    def upright(self, column: Upright, x: float) -> None:
        """Put a column's parts, their text beside them towards the middle of the drawing."""
        dropping = column is self.plan.drop
        places = list(upright_places(self.layout, column))
        foot = self.layout.bottom if dropping else places[-1][1]
        for n, (content, (low, high)) in enumerate(zip(column.cells, places, strict=True)):
            y = (low + high) / 2
            placed = self.part(content, x, y, (0, 1) if dropping else (0, -1))
            lines = [*content.head, *content.body]
            rise, fall = text_rise()
            top = y - (LINE * (len(lines) - 1) - rise + fall) / 2
            side, anchor = (x - BESIDE, "end") if dropping else (x + BESIDE, "start")
            self.text(lines, side, top, anchor, content.step.id)
            self.terminal_names(placed)
            start, end = self.node(column.nodes[n]), self.node(column.nodes[n + 1])
            self.lead(start, placed, True, (x, low))
            self.lead(end, placed, False, (x, foot if n == len(places) - 1 else high))
            if n:
                self.dot(start, x, low)
        last = self.node(column.nodes[-1])
        if dropping:
            first = self.node(column.nodes[0])
            if first not in self.placement.points and first not in self.layout.extent:
                self.dot(first, x, places[0][0])
            if self.plan.back:
                self.dot(last, x, foot)
        elif last not in self.layout.extent and last != self.plan.topology.bus:
            self.dot(last, x, foot)

    def junctions(self) -> None:
        """Put every junction's upright wire, its test point and its name."""
        for junction, ys in self.attached.items():
            if junction in self.plan.throws:
                continue
            x = self.layout.x["at", junction]
            node = self.node(junction)
            sinks = junction == self.plan.back_from or junction == RIGHT
            top, low = min(ys), max(ys)
            if junction == RIGHT and self.plan.drop is not None:
                continue
            if sinks:
                low = self.layout.bottom
            self.sheet.wire(node, (x, top), (x, low))
            if junction == RIGHT:
                continue
            self.dot(node, x, top)
            self.name(node, x, top)

    def name(self, node: str, x: float, y: float) -> None:
        """Write a junction's name above its test point."""
        name = self.plan.topology.names.get(node, "")
        if name:
            lines = name_lines(name)
            _, fall = text_rise()
            top = y - DOT - 3 - fall - LINE * (len(lines) - 1)
            self.text([Line(t) for t in lines], x, top, "middle", node, "name")

    # -- the negative bus -------------------------------------------------------------------

    def bottom(self) -> None:
        """Put the negative bus, with the parts the current passes on its way home."""
        y, x = self.layout.bottom, self.layout.x
        bus = self.plan.topology.bus
        feet = [x["column", c] for c in range(len(self.plan.columns))]
        right = x.get(("at", self.plan.back_from)) if self.plan.back else x.get(("at", RIGHT))
        if right is None and not feet:
            return
        here = right if right is not None else max(feet)
        before: Placed | None = None
        for n, content in enumerate(self.plan.back):
            middle = x["back", n] - content.width / 2
            placed = self.level_part(content, middle, y, leftward=True)
            node = self.node(self.plan.back_nodes[n])
            if before is not None:
                self.lead(node, before, False, (here, y))
                self.dot(node, here, y)
            self.lead(node, placed, True, (here, y))
            before, here = placed, x["back", n + 1]
        left = min(feet) if feet else here - 2 * DOT * bool(self.plan.back)
        if before is not None:
            self.lead(bus, before, False, (left, y))
        else:
            self.sheet.wire(bus, (here, y), (left, y))
        if feet:
            self.sheet.wire(bus, (left, y), (max(feet), y))
        self.dot(bus, left, y)
        rise, _ = text_rise()
        name = Line(self.plan.topology.names.get(bus, NEGATIVE).replace("DC-", "DC−"))
        self.text([name], left, y + DOT + 3 + rise, "middle", bus, "name")

    def posts(self) -> None:
        """Give every terminal that was taken apart a test point of its own, beside it."""
        page = Box(0, 0, self.placement.width, self.placement.height)
        tips = [near for _, near, _ in self.placement.gaps]
        links = [piece for link in self.sheet.links for piece in link.pieces]
        wires = [wire.box.grown(0.6) for wire in (*self.sheet.wires, *links)] if tips else []
        spots = flag_places(self.sheet, page, tips, wires)
        for gap, spot in zip(self.placement.gaps, spots, strict=True):
            self.placement.posts[gap[0]] = spot
            self.sheet.dots.append(Shape(gap[0], Box.around(*spot, DOT, DOT)))

    def joins(self) -> None:
        """Mark where three wires or more of one node meet."""
        by_node: dict[str, list[tuple[Point, Point]]] = {}
        for wire in self.sheet.wires:
            by_node.setdefault(wire.node, []).append((wire.start, wire.end))
        for node, wires in by_node.items():
            for point in dict.fromkeys(end for wire in wires for end in wire):
                ways = set().union(*(_ways(point, *wire) for wire in wires))
                dot = self.placement.points.get(node)
                if len(ways) > 2 and (
                    dot is None or abs(dot.x - point.x) + abs(dot.y - point.y) > DOT
                ):
                    self.sheet.joins.append((node, point))


def _ways(point: Point, start: Point, end: Point) -> set[tuple[int, int]]:
    """Directions in which a piece of wire leaves a point."""
    if start.x == end.x == point.x:
        low, high = sorted((start.y, end.y))
        return (
            {(0, s) for s, there in ((-1, low), (1, high)) if (there - point.y) * s > 0.1}
            if low <= point.y <= high
            else set()
        )
    if start.y == end.y == point.y:
        low, high = sorted((start.x, end.x))
        return (
            {(s, 0) for s, there in ((-1, low), (1, high)) if (there - point.x) * s > 0.1}
            if low <= point.x <= high
            else set()
        )
    return set()

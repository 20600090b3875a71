"""Draw a circuit from its runs alone: `draw(circuit)` gives a `Drawing`, an SVG with its places."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.drawing.clips import clip_on
from labkit.drawing.content import Content, content_of
from labkit.drawing.flags import flag_places
from labkit.drawing.geometry import Box, Point
from labkit.drawing.lanes import make_plans
from labkit.drawing.layout import WIDEST, Layout, lay_out
from labkit.drawing.links import clear_for_links
from labkit.drawing.pen import Placement
from labkit.drawing.place import place
from labkit.drawing.placing import put
from labkit.drawing.render import part_key, to_svg
from labkit.drawing.seen import Seen, look
from labkit.drawing.symbols import STYLES
from labkit.drawing.throws import join_throws
from labkit.drawing.topology import Step, Topology, trace
from labkit.drawing.words import describe, tell
from labkit.text.files import write
from labkit.text.messages import did_you_mean
from labkit.text.picture import img

_KEPT: dict[Hashable, Layout] = {}
_MOST_KEPT = 32


@dataclass(frozen=True)
class Spot:
    """A test point on the drawing. [px]"""

    number: int
    node: str
    x: float
    y: float
    terminals: tuple[str, ...] = ()


@dataclass(frozen=True)
class HotSpot:
    """A part on the drawing that can be operated, looked at or taken away.

    `bbox` is left, top, right, bottom. [px]
    """

    id: str
    kind: str
    bbox: tuple[float, float, float, float]
    way: str = ""


@dataclass(frozen=True, repr=False)
class Drawing:
    """A circuit drawn.

    Attributes
    ----------
    title : str
    svg : str
        The drawing; the same circuit always gives the same bytes.
    width, height : float
        Of the SVG's view box. [px]
    test_points : tuple of Spot
        Where to put a probe, in the order of their numbers.
    hot_spots : tuple of HotSpot
        Where to operate a switch, part a connector, pull a fuse, look at a load, take a clip away.
    terminals : dict of str to (x, y)
        Where each part's lead ends, 'X1:2' to its place; taken apart, its own test point. [px]
    description : str
        The circuit in words, run by run, as a screen reader tells it.
    """

    title: str
    svg: str
    width: float
    height: float
    test_points: tuple[Spot, ...]
    hot_spots: tuple[HotSpot, ...]
    terminals: dict[str, tuple[float, float]]
    description: str
    placement: Placement = field(compare=False)

    def __repr__(self) -> str:
        parts = len({placed.step.id for placed in self.placement.parts})
        return f"<Drawing {self.title!r}: {parts} parts, {len(self.test_points)} test points>"

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        alt = f"{self.title}. {self.description}"
        return {"text/plain": repr(self), "text/html": img(self.svg, alt, self.width)}

    def flags(self, tips: Sequence[tuple[float, float]]) -> list[Point]:
        """Where flags go that stand for leads with their tips at these places. [px]"""
        page = Box(0, 0, self.width, self.height)
        badges = [clip.box for clip in self.placement.clips]
        return flag_places(self.placement.sheet, page, [Point(*tip) for tip in tips], badges)

    def save(self, path: str | Path) -> Path:
        """Write the SVG to a file and return its path.

        Raises
        ------
        ValueError
            If the name does not end in .svg.
        """
        path = Path(path)
        if path.suffix != ".svg":
            raise ValueError(f"{path}: a drawing is saved as SVG; name it {path.stem}.svg")
        write(path, self.svg + "\n")
        return path


def draw(
    circuit: Circuit,
    *,
    style: str = "iec",
    wires: bool = False,
    seen: Collection[str] = (),
    traced: Collection[str] = (),
    does: Mapping[str, str] | None = None,
    widest: float = WIDEST,
) -> Drawing:
    """Draw a circuit.

    Parameters
    ----------
    circuit : Circuit
        Drawn in its present positions, with what is taken apart or bridged. Its faults are not
        drawn.
    style : str
        Symbols: 'iec' (IEC 60617) or 'north american' (ANSI/IEEE 315).
    wires : bool
        Write the number and colour of each wire that has them.
    seen : collection of str
        Ids of fuses, breakers and lamps that were seen to be blown; they are drawn so.
    traced : collection of str
        Names of runs whose hidden parts were found; they are drawn too.
    does : mapping of str to str, optional
        What loads are seen to do, in the words of `labkit.measuring.senses.sensed`: it shows what
        turns, glows and has pulled in.
    widest : float
        Width at which rows are wrapped, where they can be. [px]

    Raises
    ------
    ValueError
        For a style, id or run the circuit does not have.
    """
    _check(circuit, style, seen, traced)
    topology = trace(circuit, traced)
    placement = place(_laid_out(topology, circuit, wires, widest), circuit, style)
    placement.clips = clip_on(placement, topology.clips, style)
    looks = {part_key(p): look(p.step, circuit, seen, does or {}) for p in placement.symbols}
    return _made(circuit, topology, placement, looks, style, describe(circuit, looks, traced))


def extent(circuit: Circuit, widest: float = WIDEST) -> tuple[float, float]:
    """Width and height of a circuit's drawing, which is not made. [px]"""
    layout = _laid_out(trace(circuit, ()), circuit, False, widest)
    return layout.width, layout.height


def _laid_out(topology: Topology, circuit: Circuit, wires: bool, widest: float) -> Layout:
    """The best layout, kept: a switch that moves changes what is drawn, but no place."""

    def write(step: Step) -> Content:
        return content_of(step, circuit, wires)

    steps = (s for lane in topology.lanes for stretch in lane.stretches for s in stretch.steps)
    written = tuple(write(step) for step in steps)
    key = topology.lanes, topology.order, tuple(topology.names.items()), written, widest
    if key not in _KEPT:
        while len(_KEPT) >= _MOST_KEPT:
            _KEPT.pop(next(iter(_KEPT)))
        plans = (clear_for_links(join_throws(p, write)) for p in make_plans(topology, write))
        layouts = [lay_out(plan, put, widest) for plan in plans]
        _KEPT[key] = min(layouts, key=lambda layout: layout.cost(widest))
    return _KEPT[key]


def _drawn(circuit: Circuit, traced: Collection[str]) -> tuple[str, ...]:
    """Ids of the parts that are drawn: a message must not name one nobody has found."""
    steps = [(run.name, step.part) for run in circuit.runs for step in run.passes]
    return tuple(
        dict.fromkeys(id for run, id in steps if run in traced or not circuit.parts[id].hidden)
    )


def _check(circuit: Circuit, style: str, seen: Collection[str], traced: Collection[str]) -> None:
    for what, given, right in (
        ("style", [style], STYLES),
        ("seen", seen, _drawn(circuit, traced)),
        ("traced", traced, tuple(run.name for run in circuit.runs)),
    ):
        if isinstance(given, str):
            raise ValueError(f'{what}: found "{given}"; write a set, such as {what}={{"{given}"}}')
        for word in given:
            if word not in right:
                raise ValueError(f"{what}: found '{word}'; {did_you_mean(word, right)}")


def _made(
    circuit: Circuit, topology: Topology, placement: Placement, looks: dict[str, Seen], style: str,
    description: str,
) -> Drawing:  # fmt: skip  # rows that a reader compares
    told = {part_key(p): tell(p.step, circuit, looks[part_key(p)]) for p in placement.symbols}
    apart = {
        terminal: topology.numbers[node]
        for node, terminals in topology.members.items()
        for terminal in terminals
        if terminal in placement.posts
    }
    svg = to_svg(placement, looks, style, topology.numbers, circuit.title, description, told, apart)
    points = [
        Spot(
            topology.numbers[node],
            topology.shown(node),
            round(point.x, 2),
            round(point.y, 2),
            topology.members.get(node, ()),
        )
        for node, point in placement.points.items()
    ]
    hot = []
    boxes = [(p.step, p.box) for p in placement.parts if circuit.parts[p.step.id].operable]
    for step, box in (*boxes, *((clip.placed.step, clip.box) for clip in placement.clips)):
        left, top, right, bottom = (round(v, 2) for v in box)
        way = f"{step.enter}-{step.leave}"
        hot.append(HotSpot(step.id, step.kind, (left, top, right, bottom), way))
    ends = placement.terminals | placement.posts
    terminals = {name: (round(p.x, 2), round(p.y, 2)) for name, p in ends.items()}
    return Drawing(
        circuit.title,
        svg,
        placement.width,
        placement.height,
        tuple(sorted(points, key=lambda point: point.number)),
        tuple(hot),
        terminals,
        description,
        placement,
    )

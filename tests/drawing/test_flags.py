"""The flags of the leads: clear of all that is written and drawn, wherever the leads are."""

from __future__ import annotations

from itertools import combinations, pairwise
from pathlib import Path

import pytest

from labkit import load_circuit
from labkit.drawing import Drawing, draw
from labkit.drawing.flags import HALF_FLAG, line_crosses
from labkit.drawing.geometry import Box, Point
from tests.boats import share
from tests.drawing.random_circuits import random_circuit

FOLDER = Path(__file__).parents[2] / "exercises" / "circuits"
FILES = share(sorted(FOLDER.glob("*.toml")), 2)
shipped = pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)


def covered(drawing: Drawing, *tips: Point) -> list[str]:
    """What the flags for these tips, or the lines to them, lie on."""
    sheet, page = drawing.placement.sheet, Box(0, 0, drawing.width, drawing.height)
    flags = drawing.flags(tips)
    boxes = [Box.around(*flag, HALF_FLAG, HALF_FLAG) for flag in flags]
    solid = [(label.text, label.box) for label in sheet.labels]
    solid += [(shape.name, shape.box) for shape in (*sheet.symbols, *sheet.dots)]
    found = ["a flag on a flag" for a, b in combinations(boxes, 2) if a.overlaps(b, 0)]
    found += ["a flag beyond the edge" for box in boxes if not page.holds(box)]
    for tip, flag, box in zip(tips, flags, boxes, strict=True):
        found += [f"a flag on {name}" for name, thing in solid if box.overlaps(thing, 0)]
        found += [
            f"a lead across {name}"
            for name, thing in solid
            if not thing.holds(Box(*tip, *tip)) and line_crosses(tip, flag, thing)
        ]
    return found


def everything(path: Path) -> Drawing:
    circuit = load_circuit(path)
    return draw(circuit, traced={run.name for run in circuit.runs})


@shipped
def test_no_flag_covers_anything_at_any_test_point(path: Path) -> None:
    drawing = everything(path)
    points = [Point(spot.x, spot.y) for spot in drawing.test_points]

    for point in points:
        assert covered(drawing, point, point) == [], "both leads on one point"
    for red, black in pairwise(points):
        assert covered(drawing, red, black) == []
        assert covered(drawing, black, red) == []
    for red in points[1:]:
        assert covered(drawing, red, points[0]) == [], "the black lead left on the bus"


@shipped
def test_no_flag_covers_anything_at_any_terminal(path: Path) -> None:
    drawing = everything(path)

    for place in drawing.terminals.values():
        on = [what for what in covered(drawing, Point(*place)) if not what.startswith("a lead")]
        assert on == [], "between two parts there may be room for a lead alone"


def test_flags_keep_clear_on_circuits_nobody_would_wire() -> None:
    covers = 0
    for seed in range(0, 60, 15):
        drawing = draw(random_circuit(seed))
        for spot in drawing.test_points:
            covers += bool(covered(drawing, Point(spot.x, spot.y)))

    assert covers == 0


def test_a_line_meets_a_box_only_where_it_runs_through_it() -> None:
    box = Box(10, 10, 20, 20)

    assert line_crosses(Point(0, 0), Point(30, 30), box)
    assert line_crosses(Point(15, 0), Point(15, 12), box)
    assert not line_crosses(Point(0, 0), Point(9, 9), box)
    assert not line_crosses(Point(0, 25), Point(30, 25), box)
    assert not line_crosses(Point(5, 0), Point(5, 30), box)

"""What must be true of any drawing, and whether it is of two hundred circuits nobody would wire.

    python -m tests.drawing.whole [seed ...]

Every random circuit is drawn and held to it, and every shipped one taken apart at each of its
terminals; a line is printed for each that is not so, and then
it fails. It takes ten minutes or so.
"""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path

from labkit import load_circuit
from labkit.circuits.circuit import Circuit
from labkit.drawing import Drawing, draw
from labkit.drawing.geometry import Box
from tests.boats import CIRCUITS
from tests.drawing.clashes import clashes
from tests.drawing.continuity import circuit_joins, ink_joins, touches
from tests.drawing.random_circuits import random_circuit

SEEDS = range(200)


def check(drawing: Drawing, circuit: Circuit, traced: set[str]) -> None:
    """Hold a drawing to everything that must be true of any."""
    sheet, page = drawing.placement.sheet, Box(0, 0, drawing.width, drawing.height)
    assert [str(clash) for clash in clashes(sheet)] == []
    assert page.holds(sheet.box.grown(2)), "something is cut off at the edge"
    check_ink(drawing, circuit, traced)
    check_contents(drawing, circuit, traced)
    check_badges(drawing)


def check_badges(drawing: Drawing) -> None:
    """What is clipped on covers no symbol, no test point, no word and nothing else clipped on."""
    sheet, page = drawing.placement.sheet, Box(0, 0, drawing.width, drawing.height)
    solid = [(label.text, label.box) for label in sheet.labels]
    solid += [(shape.name, shape.box) for shape in (*sheet.symbols, *sheet.dots)]
    for clip in drawing.placement.clips:
        covered = [name for name, box in solid if clip.box.overlaps(box, 0)]
        assert covered == [], f"{clip.label.text} covers {covered}"
        assert page.holds(clip.box), f"{clip.label.text} is cut off at the edge"
        solid.append((clip.label.text, clip.box))


def check_ink(drawing: Drawing, circuit: Circuit, traced: set[str]) -> None:
    """Two terminals are joined by ink exactly where the circuit joins them."""
    ink, meant = ink_joins(drawing), circuit_joins(circuit, traced)
    pairs = {(ink[terminal], meant[terminal]) for terminal in ink}
    pieces, nodes = {piece for piece, _ in pairs}, {node for _, node in pairs}
    assert len(pairs) == len(pieces) == len(nodes), (
        "ink joins what the circuit does not, or not all"
    )
    wires = drawing.placement.sheet.wires
    for one in wires:
        for other in wires:
            if one.node != other.node and not {one.node, other.node} & circuit.parted:
                for end in (one.start, one.end):
                    assert not touches(other, end), f"{one.node} ends on {other.node}"


def check_contents(drawing: Drawing, circuit: Circuit, traced: set[str]) -> None:
    """Every part met is drawn once, every node has one numbered dot on its own ink."""
    runs = [(run.name in traced, step) for run in circuit.runs for step in run.passes]
    meant = sorted(
        (step.part, *sorted((step.enter, step.leave)))
        for is_traced, step in runs
        if is_traced or not circuit.parts[step.part].hidden
    )
    drawn = []
    for placed in drawing.placement.parts:
        step = placed.step
        drawn.append((step.id, *sorted((step.enter, step.leave))))
        if step.throw:
            pole = step.enter if step.leave != "1" else step.leave
            drawn.append((step.id, *sorted((pole, step.throw))))
    assert sorted(drawn) == meant
    clips = drawing.placement.clips
    assert [clip.placed.step.id for clip in clips] == [bridge.id for bridge in circuit.bridges]
    numbers = [spot.number for spot in drawing.test_points]
    assert len(set(numbers)) == len(numbers)
    joins = circuit_joins(circuit, traced)
    assert len(numbers) == len({joins[t] for t in joins if t not in circuit.parted})
    for node, point in drawing.placement.points.items():
        own = [wire for wire in drawing.placement.sheet.wires if wire.node == node]
        assert any(touches(wire, point) for wire in own), f"the dot of {node} is off its wire"


def names(circuit: Circuit) -> set[str]:
    return {run.name for run in circuit.runs}


def check_random(seed: int) -> None:
    """Hold a random circuit to it, traced or not, in either style, with wire numbers or not."""
    circuit = random_circuit(seed)
    traced = names(circuit) if seed % 3 == 0 else set()
    style = "north american" if seed % 2 else "iec"
    check(draw(circuit, wires=seed % 2 == 0, traced=traced, style=style), circuit, traced)


def check_parted(path: Path, every: int = 1) -> None:
    """Take a shipped circuit apart at one terminal after another, or at one in so many."""
    circuit = load_circuit(path)
    terminals = [t for point in circuit.test_points for t in point.terminals if ":" in t]
    for terminal in terminals[::every]:
        drawing = draw(circuit.with_parted(terminal), traced=names(circuit))
        assert [str(clash) for clash in clashes(drawing.placement.sheet)] == []
        assert terminal in [name for name, _, _ in drawing.placement.gaps]


def main(seeds: list[int]) -> int:
    """Print what is wrong with drawings of random circuits, and count them."""
    wrong = 0
    tried = [(f"circuit {seed}", partial(check_random, seed)) for seed in seeds or SEEDS]
    if not seeds:
        tried += [(f"{path.stem} taken apart", partial(check_parted, path)) for path in CIRCUITS]
    for name, tries in tried:
        try:
            tries()
        except AssertionError as error:
            wrong += 1
            print(f"{name}: {str(error) or 'what was drawn is not what was meant'}", flush=True)
    print(f"{len(tried)} circuits drawn, {wrong} of them wrong")
    return wrong


if __name__ == "__main__":
    sys.exit(main([int(word) for word in sys.argv[1:]]) > 0)

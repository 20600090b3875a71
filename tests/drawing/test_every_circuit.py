"""Every circuit we ship and two hundred nobody would wire: legible, whole, and wired as traced."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from labkit import Circuit, load_circuit
from labkit.drawing import Drawing, draw
from labkit.drawing.geometry import Box
from labkit.drawing.layout import WIDEST
from labkit.parts.laws import Linear
from tests.drawing.continuity import circuit_joins, ink_joins, touches
from tests.drawing.random_circuits import random_circuit

FOLDER = Path(__file__).parents[2] / "exercises" / "circuits"
SHIPPED = sorted(FOLDER.glob("*.toml"))
SEEDS = range(200)

shipped = pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
tens = pytest.mark.parametrize("first", SEEDS[::10])


def check(drawing: Drawing, circuit: Circuit, traced: set[str]) -> None:
    """Hold a drawing to everything that must be true of any."""
    sheet, page = drawing.placement.sheet, Box(0, 0, drawing.width, drawing.height)
    assert [str(clash) for clash in sheet.clashes()] == []
    assert page.holds(sheet.box.grown(2)), "something is cut off at the edge"
    check_ink(drawing, circuit, traced)
    check_contents(drawing, circuit, traced)


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
        if not step.bridge:
            drawn.append((step.id, *sorted((step.enter, step.leave))))
            if step.throw:
                pole = step.enter if step.leave != "1" else step.leave
                drawn.append((step.id, *sorted((pole, step.throw))))
    assert sorted(drawn) == meant
    bridges = [p.step.id for p in drawing.placement.parts if p.step.bridge]
    assert sorted(bridges) == sorted(bridge.id for bridge in circuit.bridges)
    numbers = [spot.number for spot in drawing.test_points]
    assert len(set(numbers)) == len(numbers)
    joins = circuit_joins(circuit, traced)
    assert len(numbers) == len({joins[t] for t in joins if t not in circuit.parted})
    for node, point in drawing.placement.points.items():
        own = [wire for wire in drawing.placement.sheet.wires if wire.node == node]
        assert any(touches(wire, point) for wire in own), f"the dot of {node} is off its wire"


def names(circuit: Circuit) -> set[str]:
    return {run.name for run in circuit.runs}


@shipped
@pytest.mark.parametrize("wires", [False, True], ids=["plain", "with wire numbers"])
def test_a_shipped_circuit_is_drawn_whole_and_legible(path: Path, wires: bool) -> None:
    circuit = load_circuit(path)

    for traced in (set(), names(circuit)):
        check(draw(circuit, wires=wires, traced=traced), circuit, traced)


@shipped
def test_a_shipped_circuit_fits_the_page_without_shrinking(path: Path) -> None:
    circuit = load_circuit(path)

    assert draw(circuit).width <= WIDEST
    assert draw(circuit, wires=True, traced=names(circuit)).width <= WIDEST


@shipped
def test_wires_of_a_shipped_circuit_hardly_ever_cross(path: Path) -> None:
    assert len(draw(load_circuit(path)).placement.sheet.crossings()) <= 1


@shipped
def test_no_text_is_smaller_than_eleven_pixels(path: Path) -> None:
    root = ET.fromstring(draw(load_circuit(path), wires=True).svg)
    sizes = [float(e.attrib["font-size"]) for e in root.iter() if "font-size" in e.attrib]

    assert root.attrib["font-size"] == "12"
    assert min(sizes) >= 11


@shipped
def test_every_terminal_of_a_shipped_circuit_can_be_taken_apart_legibly(path: Path) -> None:
    circuit = load_circuit(path)
    terminals = [t for point in circuit.test_points for t in point.terminals if ":" in t]

    for terminal in terminals:
        apart = circuit.with_parted(terminal)
        drawing = draw(apart, traced=names(circuit))
        assert [str(clash) for clash in drawing.placement.sheet.clashes()] == []
        assert terminal in [name for name, _, _ in drawing.placement.gaps]


@shipped
def test_what_is_clipped_on_is_drawn_legibly_wherever_it_is(path: Path) -> None:
    circuit, law = load_circuit(path), Linear.resistor(1.0)
    keys = [s.terminals[0] if ":" in s.node else s.node for s in draw(circuit).test_points]

    for first, second in list(pairwise(keys))[1::4]:
        clipped = circuit.with_bridge("jumper", "jumper", first, second, law)
        clipped = clipped.with_bridge("test lamp", "test lamp", second, "DC-", law)
        check(draw(clipped), clipped, set())


@pytest.mark.parametrize(
    ("name", "first", "second"),
    [("horn", "K1:30", "K1:87"), ("windlass", "X1:1", "X1:2"), ("wheelhouse", "W2:1", "W2:2"),
     ("bilge-pump", "S2:1", "S2:2"), ("hoist", "S1:1", "S1:2"), ("washdown", "X1:1", "X1:2")],
)  # fmt: skip
def test_clipping_a_jumper_on_leaves_the_other_parts_in_their_order(
    name: str, first: str, second: str
) -> None:
    def read(drawing: Drawing) -> list[str]:
        parts = [p for p in drawing.placement.parts if not p.step.bridge]
        lying = [p for p in parts if p.first.y == p.second.y]
        lying.sort(key=lambda p: (round(p.middle.y), p.middle.x))
        return [p.step.id for p in (*(p for p in parts if p not in lying), *lying)]

    circuit = load_circuit(FOLDER / f"{name}.toml")
    clipped = circuit.with_bridge("jumper", "jumper", first, second, Linear.resistor(1.0))
    assert read(draw(clipped)) == read(draw(circuit))


@tens
def test_random_circuits_are_drawn_whole_and_legible(first: int) -> None:
    for seed in range(first, first + 10):
        circuit = random_circuit(seed)
        traced = names(circuit) if seed % 3 == 0 else set()
        style = "north american" if seed % 2 else "iec"

        check(draw(circuit, wires=seed % 2 == 0, traced=traced, style=style), circuit, traced)


def test_random_circuits_have_everything_a_file_can_say() -> None:
    made = [random_circuit(seed) for seed in SEEDS]

    kinds = {part.kind for circuit in made for part in circuit.parts.values()}
    assert len(kinds) == 20
    assert any(circuit.parted for circuit in made)
    assert any(circuit.bridges for circuit in made)
    assert any(part.hidden for circuit in made for part in circuit.parts.values())
    assert any(":" in run.start and ":" in run.end for circuit in made for run in circuit.runs)
    assert any(run.start == run.end for circuit in made for run in circuit.runs)


def test_the_same_seed_makes_the_same_circuit() -> None:
    assert random_circuit(7).runs == random_circuit(7).runs

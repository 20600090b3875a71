"""Every circuit we ship and some nobody would wire: legible, whole, and wired as traced."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from labkit import load_circuit
from labkit.drawing import Drawing, draw
from labkit.drawing.layout import WIDEST
from labkit.parts import KINDS, Trait
from labkit.parts.laws import Linear
from tests.boats import share
from tests.drawing.clashes import crossings
from tests.drawing.random_circuits import random_circuit
from tests.drawing.whole import check, check_parted, check_random, names
from tests.kinds import with_traits

FOLDER = Path(__file__).parents[2] / "exercises" / "circuits"
SHIPPED = sorted(FOLDER.glob("*.toml"))
MOST_PARTS = 30
SEEDS = [seed for seed in range(4, 200, 9) if len(random_circuit(seed).parts) <= MOST_PARTS]
"""One in nine of the random circuits, none of the largest, which take seconds each to lay out;
`python -m tests.drawing.whole` draws them all."""


@pytest.fixture(scope="module", params=SHIPPED, ids=lambda path: path.stem)
def path(request: pytest.FixtureRequest) -> Path:
    """A shipped circuit, put to all tests before the next, so that a drawing serves several."""
    return request.param


@lru_cache(maxsize=4)
def drawn(path: Path, full: bool = False) -> Drawing:
    """A shipped circuit as first seen, or with wire numbers and all that can be traced."""
    circuit = load_circuit(path)
    return draw(circuit, wires=full, traced=names(circuit) if full else set())


@pytest.mark.parametrize("full", [False, True], ids=["first seen", "numbered and traced"])
def test_a_shipped_circuit_is_drawn_whole_and_legible(path: Path, full: bool) -> None:
    circuit = load_circuit(path)

    check(drawn(path, full), circuit, names(circuit) if full else set())


def test_a_shipped_circuit_fits_the_page_without_shrinking(path: Path) -> None:
    assert drawn(path).width <= WIDEST
    assert drawn(path, full=True).width <= WIDEST


def test_wires_of_a_shipped_circuit_hardly_ever_cross(path: Path) -> None:
    assert len(crossings(drawn(path).placement.sheet)) <= 1


def test_no_text_is_smaller_than_eleven_pixels(path: Path) -> None:
    root = ET.fromstring(drawn(path, full=True).svg)
    sizes = [float(e.attrib["font-size"]) for e in root.iter() if "font-size" in e.attrib]

    assert root.attrib["font-size"] == "12"
    assert min(sizes) >= 11


def test_a_terminal_of_a_shipped_circuit_can_be_taken_apart_legibly(path: Path) -> None:
    """One terminal in ten; `python -m tests.drawing.whole` takes them all."""
    check_parted(path, every=10)


def test_what_is_clipped_on_is_drawn_legibly_wherever_it_is(path: Path) -> None:
    circuit, law = load_circuit(path), Linear.resistor(1.0)
    keys = [s.terminals[0] if ":" in s.node else s.node for s in draw(circuit).test_points]

    for first, second in share(list(pairwise(keys)), 7, first=1):
        clipped = circuit.with_bridge("jumper", "jumper", first, second, law)
        clipped = clipped.with_bridge("test lamp", "test lamp", second, "DC-", law)
        check(draw(clipped), clipped, set())


def test_nothing_moves_when_something_is_clipped_on_or_taken_apart(path: Path) -> None:
    circuit = load_circuit(path)
    before = drawn(path)
    keys = [s.terminals[0] if ":" in s.node else s.node for s in before.test_points]
    law, page = Linear.resistor(1.0), (before.width, before.height)

    changed = circuit.with_bridge("jumper", "jumper", keys[1], keys[-1], law)
    changed = changed.with_bridge("test lamp", "test lamp", keys[2], "DC-", law)
    for there in (changed, changed.with_parted(next(k for k in keys if ":" in k))):
        after = draw(there)
        assert after.placement.parts == before.placement.parts
        assert after.placement.points == before.placement.points
        assert (after.width, after.height) == page


@pytest.mark.parametrize("name", ["washdown", "cabin-heater", "windlass", "cabin-panel"])
def test_for_a_narrow_page_a_drawing_is_wrapped_further_and_as_legible(name: str) -> None:
    circuit = load_circuit(FOLDER / f"{name}.toml")
    narrow = draw(circuit, widest=400)

    check(narrow, circuit, set())
    assert narrow.width <= 480 < draw(circuit).width


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_circuit_is_drawn_whole_and_legible(seed: int) -> None:
    check_random(seed)


def test_random_circuits_have_everything_a_file_can_say() -> None:
    made = [random_circuit(seed) for seed in SEEDS]

    kinds = {part.kind for circuit in made for part in circuit.parts.values()}
    assert kinds == set(KINDS) - set(with_traits(Trait.GALVANIC))  # these hang in the sea alone
    assert any(circuit.parted for circuit in made)
    assert any(circuit.bridges for circuit in made)
    assert any(part.hidden for circuit in made for part in circuit.parts.values())
    assert any(":" in run.start and ":" in run.end for circuit in made for run in circuit.runs)
    assert any(run.start == run.end for circuit in made for run in circuit.runs)


def test_the_same_seed_makes_the_same_circuit() -> None:
    assert random_circuit(7).runs == random_circuit(7).runs

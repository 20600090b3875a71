"""How wide a bench's drawing is wrapped."""

import pytest

from labkit.circuits.circuit_file import load_circuit
from labkit.drawing import WIDEST, draw
from labkit.drawing.drawing import extent
from labkit.widgets.bench_drawing import SMALL, WINDOW, widest_of
from tests.boats import EXERCISES


def zoom(name: str, widest: float) -> float:
    drawing = draw(load_circuit(EXERCISES / "circuits" / f"{name}.toml"), widest=widest)
    return min(WINDOW[0] / drawing.width, WINDOW[1] / drawing.height)


@pytest.mark.parametrize("name", ["charging", "isolator", "two-batteries", "two-chargers"])
def test_a_drawing_too_tall_to_read_whole_is_wrapped_wider_and_gains_a_third(name: str) -> None:
    circuit = load_circuit(EXERCISES / "circuits" / f"{name}.toml")
    assert zoom(name, WIDEST) < SMALL
    assert zoom(name, widest_of(circuit)) > 1.33 * zoom(name, WIDEST)


@pytest.mark.parametrize("name", ["bilge-pump", "fridge"])
def test_what_can_be_read_stays_as_wide_as_on_paper(name: str) -> None:
    assert widest_of(load_circuit(EXERCISES / "circuits" / f"{name}.toml")) == WIDEST


def test_the_size_of_a_drawing_is_known_before_it_is_made() -> None:
    circuit = load_circuit(EXERCISES / "circuits" / "isolator.toml")
    drawing = draw(circuit, widest=1100)
    assert extent(circuit, 1100) == (drawing.width, drawing.height)

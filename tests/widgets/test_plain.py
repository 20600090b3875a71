"""The bench of lists and buttons."""

from pathlib import Path

import pytest

from labkit import load_circuit
from labkit.aboard.bench import Bench
from labkit.widgets import PlainBench
from labkit.widgets.line import typeset

CIRCUITS = Path(__file__).parents[2] / "exercises" / "circuits"


@pytest.fixture
def bench() -> Bench:
    circuit = load_circuit(CIRCUITS / "washdown.toml")
    return Bench(circuit.with_fault("X1 resistance 0.8 ohm").with_position(S1="on", S2="off"))


def test_the_joint_reads_nothing_until_the_pump_draws_through_it(bench: Bench) -> None:
    view = PlainBench(bench)
    view.red.value, view.black.value = "W2:2", "X1:2"
    view.reader.click()
    assert ">0.0\N{NO-BREAK SPACE}mV<" in view.display.value
    toggle = next(t for t in view.switches.children if t.part == "S2")
    toggle.value = "on"
    assert "- - - -" in view.display.value
    view.reader.click()
    assert bench.reading is not None
    assert 3.0 < (bench.reading.value or 0) < 5.0
    assert typeset(bench.reading.display) in view.display.value


def test_a_bench_has_a_stable_repr_and_a_picture_of_itself(bench: Bench) -> None:
    view = PlainBench(bench)
    view.red.value, view.black.value = "W2:2", "DC-"
    view.reader.click()
    bundle = view._repr_mimebundle_()
    assert bundle["text/plain"].startswith("<PlainBench 'Foredeck washdown pump")
    assert "0x" not in bundle["text/plain"]
    assert typeset(bench.readings[0].display) in bundle["text/html"]
    assert "application/vnd.jupyter.widget-view+json" in bundle


def test_what_cannot_be_done_is_said_in_a_sentence_and_not_logged(bench: Bench) -> None:
    view = PlainBench(bench)
    view.reader.click()
    assert "Put the red lead on a test point first." in view.said.value
    assert bench.log == []


def test_the_clamp_goes_round_the_wire_at_any_one_terminal(bench: Bench) -> None:
    view = PlainBench(bench)
    view.red.value = "panel"
    view.function.value = "clamp"
    assert view.red.value in ("W1:2", "F2:1")
    view.red.value = "X1:2"
    view.reader.click()
    assert bench.log[-1].args["function"] == "clamp"
    assert bench.log[-1].args["red"] == "X1:2"

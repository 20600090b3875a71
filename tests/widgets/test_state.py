"""What a page is told of a bench: all a person could see, and nothing of what is wrong."""

import json
import re
from pathlib import Path

import pytest

from labkit import load_circuit
from labkit.bench import Bench
from labkit.circuit import Circuit
from labkit.widgets import ClickBench, PlainBench

ROOT = Path(__file__).parents[2]
CIRCUITS = ROOT / "exercises" / "circuits"
STATE = ("title", "drawing", "meter", "said", "history", "offers")


def told(view: ClickBench) -> str:
    return json.dumps({name: getattr(view, name) for name in STATE}, sort_keys=True)


FAULTS = {
    "washdown": ["X1 resistance 0.8 ohm", "M1 seized", "F2 blown", "W2 too thin 18 AWG"],
    "radio": ["F2 blown", "F3 wrong fuse 30 A", "X1 open"],
    "windlass": ["K1 welded", "X1 resistance 20 mohm", "F2 missing"],
}
CASES = [(name, fault) for name, faults in FAULTS.items() for fault in faults]


@pytest.mark.parametrize(("name", "fault"), CASES)
def test_before_anything_is_measured_a_sick_circuit_looks_like_a_sound_one(
    name: str, fault: str
) -> None:
    sound = load_circuit(CIRCUITS / f"{name}.toml")
    sick = sound.with_fault(fault)
    assert told(ClickBench(Bench(sick))) == told(ClickBench(Bench(sound)))


@pytest.mark.parametrize(("name", "fault"), CASES)
def test_the_still_picture_does_not_give_the_fault_away(name: str, fault: str) -> None:
    sound = load_circuit(CIRCUITS / f"{name}.toml")
    for view in (ClickBench, PlainBench):
        pictures = [view(Bench(c))._repr_mimebundle_() for c in (sound, sound.with_fault(fault))]
        bundles = [p[0] if isinstance(p, tuple) else p for p in pictures]
        assert bundles[0]["text/html"] == bundles[1]["text/html"]
        assert bundles[0]["text/plain"] == bundles[1]["text/plain"]


def test_nothing_but_readings_differs_once_something_was_measured() -> None:
    sound = load_circuit(CIRCUITS / "washdown.toml").with_position(S1="on", S2="on")
    states = []
    for circuit in (sound, sound.with_fault("X1 resistance 0.8 ohm")):
        view = ClickBench(Bench(circuit))
        for key in ("W2:2", "X1:2"):
            view.handle({"ask": "touch", "with": {"key": key}})
        state = {**view.get_state(), "layout": "an id of its own"}
        state["meter"] = {**state["meter"], "display": "", "spoken": ""}
        state["history"] = [{**line, "shows": ""} for line in state["history"]]
        state["said"] = {**state["said"], "message": ""}
        states.append(state)
    assert states[0] == states[1]


def hidden_circuits() -> list[tuple[Circuit, str]]:
    circuits = [load_circuit(path) for path in sorted(CIRCUITS.glob("*.toml"))]
    return [(c, part.id) for c in circuits for part in c.parts.values() if part.hidden]


@pytest.mark.parametrize(("circuit", "id"), hidden_circuits(), ids=str)
def test_a_hidden_part_is_nowhere_in_the_page_until_its_run_is_traced(
    circuit: Circuit, id: str
) -> None:
    view = ClickBench(Bench(circuit))
    word = re.compile(rf"\b{id}\b")
    assert not word.search(told(view))
    run = next(r for r in circuit.runs if id in [step.part for step in r.passes])
    view.handle({"ask": "do", "with": {"action": "trace", "run": run.name}})
    assert word.search(json.dumps(view.drawing))


def test_the_script_and_the_style_are_files_of_the_package_and_fetch_nothing() -> None:
    folder = ROOT / "labkit" / "widgets"
    for name in ("bench.js", "bench.css"):
        text = (folder / name).read_text()
        assert not re.search(r"https?://(?!www\.w3\.org)|@import|\bimport\s|\bfetch\(", text)
        assert "innerHTML" not in text


def test_the_page_can_ask_only_for_what_is_known() -> None:
    bench = Bench(load_circuit(CIRCUITS / "washdown.toml"))
    view = ClickBench(bench)
    view.handle({"ask": "__init__", "with": {}})
    view.handle({})
    assert bench.log == []
    assert repr(view) == f"<ClickBench {bench.circuit.title!r}: 0 acts, 0.0 min>"

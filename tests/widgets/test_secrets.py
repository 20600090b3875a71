"""No page, picture or list tells what nobody has found: every exercise, every fault dealt."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit
from labkit.exercises.exercise import Exercise, load_exercise
from labkit.widgets import ClickBench, PlainBench
from tests.boats import share

FOLDER = Path(__file__).parents[2] / "exercises"
EXERCISES = sorted(FOLDER.glob("*.toml"))
every = pytest.mark.parametrize("path", EXERCISES, ids=lambda path: path.stem)

STATE = ("title", "drawing", "meter", "said", "history", "offers")


def on_page(view: ClickBench) -> str:
    """All that a clickable bench tells the page, and the picture it leaves behind."""
    view.refresh()
    state = {name: getattr(view, name) for name in STATE}
    picture = view._repr_mimebundle_()[0]["text/html"]
    return json.dumps([state, picture, repr(view)], sort_keys=True)


def in_lists(bench: Bench) -> str:
    """All that a plain bench shows, widget by widget."""
    view = PlainBench(bench)
    shown = []
    waiting = [view]
    while waiting:
        widget = waiting.pop()
        waiting += getattr(widget, "children", ())
        shown += [getattr(widget, name, "") for name in ("value", "options", "description")]
    return json.dumps([shown, view._repr_mimebundle_()["text/html"]], default=str)


def dealt(exercise: Exercise) -> Iterator[Circuit]:
    """The sound boat, then every variant that may be dealt."""
    yield exercise.circuit
    for number in range(len(exercise.variants)):
        yield exercise.variant(number).circuit


@every
def test_before_anything_is_done_every_fault_dealt_looks_like_the_sound_boat(path: Path) -> None:
    told = {(on_page(ClickBench(Bench(c))), in_lists(Bench(c))) for c in dealt(load_exercise(path))}

    assert len(told) == 1


@pytest.mark.parametrize("path", share(EXERCISES, 3), ids=lambda path: path.stem)
def test_faults_look_different_only_where_eye_and_ear_tell_them_apart(path: Path) -> None:
    by_senses: dict[str, set[str]] = {}
    for circuit in dealt(load_exercise(path)):
        view = ClickBench(Bench(circuit))
        model = view.model
        for part, _, _ in model.switches:
            model.operate(part.id)
        for id in {spot.id: None for spot in model.drawing.hot_spots}:
            if model.handled(id)[0] == "look":
                model.operate(id)
        sensed = [(e.shows, [h.text for h in e.hazards]) for e in model.bench.log]
        by_senses.setdefault(json.dumps(sensed), set()).add(on_page(view))

    assert {len(told) for told in by_senses.values()} == {1}


def hidden() -> list[tuple[Path, str]]:
    """Every part nobody drew, with an exercise on its circuit."""
    circuits = {
        e.circuit.title: (path, e.circuit) for path in EXERCISES for e in [load_exercise(path)]
    }
    return [(path, p.id) for path, c in circuits.values() for p in c.parts.values() if p.hidden]


@pytest.mark.parametrize(("path", "id"), hidden(), ids=str)
def test_a_hidden_part_is_nowhere_whatever_is_touched_until_its_run_is_traced(
    path: Path, id: str
) -> None:
    circuit = load_exercise(path).variant(0).circuit
    label = circuit.parts[id].label
    secret = re.compile(rf"\b{id}\b" + (f"|{re.escape(label)}" if label else ""))
    view = ClickBench(Bench(circuit))
    for hand in ("red", "black", "jumper", "take apart"):
        view.handle({"ask": "take", "with": {"hand": hand}})
        for point in view.drawing["points"][:: 1 if hand == "red" else 4]:
            view.handle({"ask": "touch", "with": {"key": point["key"]}})
            assert not secret.search(json.dumps([view.drawing, view.meter, view.said]))
        assert not secret.search(on_page(view)), hand
    assert not secret.search(in_lists(view.model.bench))
    run = next(r for r in circuit.runs if id in [step.part for step in r.passes])
    view.handle({"ask": "do", "with": {"action": "trace", "run": run.name}})
    assert secret.search(on_page(view))

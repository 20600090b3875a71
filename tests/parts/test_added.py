"""A new kind of part is one class and a new failure one line: everything else finds them."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import pytest

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.desk.starter import start
from labkit.diagnosis import Diagnosis, adviser_for
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.faults import candidates, describe, said
from labkit.diagnosis.menu import Menu
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.reviewing import review
from labkit.diagnosis.said import parse_seen
from labkit.drawing import draw
from labkit.exercises.checking import check_circuit, check_exercise
from labkit.exercises.exercise import Exercise, load_exercise
from labkit.hunts.hunt import Hunt
from labkit.measuring.senses import sensed
from labkit.parts import KINDS, Connector, Part, Trait
from labkit.parts.base import PartState
from labkit.parts.laws import Linear, Value
from labkit.parts.modes import OPEN_MODE, RESISTANCE_MODE, SHORT_MODE, Effect, Mode, modes_of
from labkit.parts.traits import Look, Now, Scale
from labkit.questions.predict import Predict
from labkit.solving.solver import solve
from labkit.text.quantities import RESISTANCE


class Horn(Part):
    """An invented horn: a resistance, loud by the current through it."""

    kind: ClassVar[str] = "horn"
    letters: ClassVar[str] = "P"
    traits: ClassVar[Trait] = Trait.LOAD
    default_resistance: ClassVar[float] = 3.0
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="its coil is burnt"), RESISTANCE_MODE, SHORT_MODE
    )
    signs: ClassVar[tuple[Scale, ...]] = (
        (Look(0.05, "is silent"), Look(0.7, "croaks", 1), Look(float("inf"), "blares", 3)),
    )

    def sign(self, now: Now) -> tuple[Value, Value]:
        return 0, abs(now.amps) * self.own_resistance / now.system


WET = Mode(
    "wet", "water inside", "has water in it", 2.0, RESISTANCE, ("30 ohm", "200 ohm"), Effect.LEAKS
)

BOAT = """
title = "Invented boat with a horn"
[[run]]
name = "battery"
from = "DC-"
to = "stud"
parts = [{ id = "G1", is = "battery", emf = "12.7 V", resistance = "10 mohm" }]
[[run]]
name = "horn"
from = "stud"
to = "DC-"
parts = [
  { id = "F1", is = "fuse", rating = "15 A" },
  { id = "S1", is = "switch", position = "off" },
  { id = "X1", is = "connector", label = "plug at the mast" },
  { id = "P1", is = "horn", label = "horn" },
  { id = "X2", is = "joint", label = "negative stud" },
]
"""


@pytest.fixture(autouse=True)
def _added(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(KINDS, "horn", Horn)
    monkeypatch.setattr(Connector, "modes", {**Connector.modes, "wet": WET})


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "horn.toml"
    path.write_text(BOAT, encoding="utf-8")
    return path


@pytest.fixture
def boat(file: Path) -> Circuit:
    return load_circuit(file)


def test_it_is_read_checked_and_solved(boat: Circuit) -> None:
    assert check_circuit(boat) == []
    amps = solve(boat.with_position(S1="on")).amps["P1"]
    assert amps is not None
    assert abs(amps - 12.7 / 3.02) < 0.05  # emf over the horn, the battery and some contacts


def test_what_it_does_is_seen(boat: Circuit) -> None:
    on = boat.with_position(S1="on")
    for made, word in ((boat, "is silent"), (on, "blares"), (on.with_fault("X2 open"), "is silent"),
                       (on.with_fault("X1 resistance 3 ohm"), "croaks")):  # fmt: skip  # in rows
        assert sensed(made, solve(made))["P1"] == word
    assert parse_seen("P1 look croaks S1=on", boat).seen == "croaks"


def test_it_is_drawn_as_a_load_that_can_be_looked_at(boat: Circuit) -> None:
    drawing = draw(boat, does={"P1": "blares"})
    assert "P1" in {spot.id for spot in drawing.hot_spots}
    assert "P1, horn, horn, blares" in drawing.svg
    box = next(spot.bbox for spot in drawing.hot_spots if spot.id == "P1")
    assert box[0] > next(s.bbox for s in drawing.hot_spots if s.id == "S1")[0]


def test_its_return_side_is_told_of(boat: Circuit) -> None:
    bad = boat.with_position(S1="on").with_fault("X2 resistance 2 ohm")
    assert Predict(bad, "P1:2").grade("0 V").misconception == "return is zero"


def test_both_are_suspected_described_and_named(boat: Circuit) -> None:
    names = {one.name for one in candidates(boat)}
    assert {"P1 open", "P1 short", "X1 wet"} <= names
    assert describe("P1 open", boat) == "P1 (horn): its coil is burnt"
    assert describe("X1 wet 30 ohm", boat) == "X1 (plug at the mast): has water in it, 30 ohm"
    assert said("X1 wet", boat.parts) == said("X1 wet") == "X1 water inside"
    model = boat.part("X1").model(PartState(12.0, "joined", boat.with_fault("X1 wet").faults))
    assert [b.law for b in model.branches if b.second == "DC-"] == [Linear.resistor(30.0)]


def test_it_is_looked_at_and_measured_by_the_advice_and_the_review(boat: Circuit) -> None:
    menu = Menu(Diagnosis(boat))
    assert any(m.function == "look" and m.red == "P1" for m in menu.sights)
    adviser = adviser_for(boat, candidates(boat))
    observe = Observer(boat.with_fault("P1 open"))
    look = parse_seen("P1 look is silent S1=on", boat)
    diagnosis = adviser.start.copy().see(look)
    best = adviser.rank(diagnosis, Visit.after(boat, [look]), top=1)[0].measurement
    seen = best.saw(observe(best))
    assert "P1 open" in diagnosis.see(seen).remaining()
    assert "P1" in str(review(adviser, [look, seen]))


def test_a_starter_deals_it_and_a_hunt_ends_by_its_name(file: Path, tmp_path: Path) -> None:
    start(tmp_path / "starter.toml", str(file))
    exercise = load_exercise(tmp_path / "starter.toml")
    assert isinstance(exercise, Exercise)
    assert exercise.proof.load == "P1"
    assert check_exercise(exercise) == []
    text = (tmp_path / "starter.toml").read_text(encoding="utf-8")
    fault = next(line for line in text.splitlines() if line.startswith("faults"))
    (tmp_path / "wet.toml").write_text(text.replace(fault, 'faults = ["X1 wet 30 ohm"]'), "utf-8")
    hunt = Hunt(load_exercise(tmp_path / "wet.toml"))
    assert "water inside" in hunt.question.modes
    assert hunt.name("X1", "water inside").right

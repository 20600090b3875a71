"""Every misconception is named where its answer is given, and a right answer is accused of none."""

import random
from dataclasses import dataclass
from typing import Any

import pytest

from labkit.aboard.bench import Bench
from labkit.exercises.exercise import Dealt, load_exercise
from labkit.questions import (
    MISCONCEPTIONS,
    NameFault,
    Predict,
    PredictBoth,
    Remains,
    Repair,
    Separate,
)
from tests.boats import EXERCISES, pump, resistors, shipped
from tests.questions.test_ideas import ROWS

CORRODED = pump().with_fault("X1 resistance 2 ohm")
OFF = CORRODED.with_position(S1="off")
MAST = shipped("anchor-light").with_position(S2="on").with_fault("X3 open")
RESISTORS = resistors(470, 470)
RETURN = pump().with_fault("W1 resistance 1 ohm")


@dataclass(frozen=True)
class Case:
    """A question, the answer a wrong idea gives to it, and the right one."""

    question: Any
    wrong: tuple[Any, ...]
    right: tuple[Any, ...]
    positions: tuple[dict[str, str], dict[str, str]] = ({}, {})


def predict(question, wrong):
    return Case(question, (wrong,), (question.reading.display,))


def repair(name, variant, repairs, proofs):
    exercise = load_exercise(EXERCISES / f"{name}.toml")
    return Repair(exercise, exercise.variant(variant), repairs, proofs)


FUSE = repair(
    "deckhouse-fuse", 0,
    {
        "the same fuse": ["fit F2"],
        "a bigger fuse": ["fit F2 40 A"],
        "the wire, then the same fuse": ["repair W3", "fit F2"],
    },
    {"all on": {"S1": "on", "S2": "on", "S3": "on", "S4": "on"}, "all off": {}},
)  # fmt: skip  # rows that a reader compares
HORN = repair(
    "horn-hoarse", 0,
    {"plug": ["repair X1"], "both": ["repair X1", "repair X2"], "horn": ["repair M1"]},
    {"blown": {"S1": "on", "S2": "on"}},
)  # fmt: skip  # rows that a reader compares
PUMP = repair(
    "slow-washdown", 0, {"splice": ["repair X1"]},
    {"running": {"S1": "on", "S2": "on"}, "switched off": {"S1": "on", "S2": "off"}},
)  # fmt: skip  # rows that a reader compares
BOTH = PredictBoth(CORRODED, "X1:2", "DC-", {"S1": "off"}, {"S1": "on"})
SIDES = Separate(pump(), "X1 resistance 2 ohm", "W1 resistance 2 ohm")
LEFT = Remains(
    pump(), ["X1:2 DC- volts 12.60 V S1=off"], ["X1 resistance 2 ohm", "W1 resistance 2 ohm"]
)
SLOW = NameFault(load_exercise(EXERCISES / "slow-washdown.toml").deal())
SHORT = "M1 short 0.05 ohm"
SHORTED = NameFault(Dealt((SHORT,), "", pump().with_fault(SHORT)))

CASES = [
    ("sign", predict(Predict(CORRODED, "X1:1", "X1:2"), "-5.6 V")),
    ("factor 1000", predict(Predict(CORRODED, "X1:1", "X1:2"), "5.6 mV")),
    ("sound when loaded", predict(Predict(CORRODED, "X1:2"), "12.5 V")),
    ("sound when loaded", Case(BOTH, ("12.6 V", "12.6 V"), ("12.6 V", "6.9 V"))),
    ("drop without current", predict(Predict(OFF, "X1:2", twin=CORRODED), "6.9 V")),
    ("bus instead of across", predict(Predict(CORRODED, "X1:1", "X1:2"), "12.5 V")),
    ("bus is not the load", predict(Predict(RETURN, "M1:1"), "8.6 V")),
    ("return is zero", predict(Predict(RETURN, "M1:2"), "0 V")),
    ("return is zero", predict(Predict(MAST, "14"), "0 V")),
    ("current is used up", predict(Predict(pump(), "W1:1", function="clamp"), "0 A")),
    ("open reads nothing", predict(Predict(OFF, "S1:1", "S1:2", twin=CORRODED), "0 V")),
    (
        "meter draws nothing",
        predict(Predict(resistors(1e6, 1.0).with_parted("R2:1"), "R1:2"), "12 V"),
    ),
    (
        "meter draws nothing",
        predict(Predict(shipped("meter-board"), "12", "1", "low-z"), "12.5 V"),
    ),
    ("ohms on a live circuit", predict(Predict(RESISTORS, "R1:1", "R1:2", "ohms"), "470 ohm")),
    (
        "ohms on a live circuit",
        Case(SIDES, ("X1:1", "DC-", "ohms"), ("X1:2",)),
    ),
    (
        "ohms of one part",
        predict(
            Predict(
                shipped("meter-board").with_position(S1="off", S2="on"), "R1:1", "R1:2", "ohms"
            ),
            "1 Mohm",
        ),
    ),
    ("volts without load", Case(SIDES, ("X1:2",), ("X1:2",), ({"S1": "off"}, {}))),
    ("volts without load", Case(LEFT, ([],), (list(LEFT.suspects),))),
    (
        "volts without load",
        Case(PUMP, ("splice", "switched off"), ("splice", "running")),
    ),
    ("across hides the side", Case(SIDES, ("M1:1", "M1:2"), ("X1:2",))),
    (
        "fuse without the cause",
        Case(FUSE, ("the same fuse", "all on"), ("the wire, then the same fuse", "all on")),
    ),
    ("fuse without the cause", Case(SHORTED, ("F1", "blown"), ("M1", "shorted"))),
    (
        "bigger fuse",
        Case(FUSE, ("a bigger fuse", "all on"), ("the wire, then the same fuse", "all on")),
    ),
    ("blames the load", Case(SLOW, ("M1", "worn out"), ("X1", "high resistance"))),
    ("blames the load", Case(HORN, ("horn", "blown"), ("both", "blown"))),
    ("stops at the first find", Case(HORN, ("plug", "blown"), ("both", "blown"))),
]  # fmt: skip  # rows that a reader compares
IDS = [f"{slip}, {type(case.question).__name__}" for slip, case in CASES]


@pytest.mark.parametrize(("slip", "case"), CASES, ids=IDS)
def test_the_answer_a_misconception_gives_is_recognised(slip, case):
    verdict = case.question.grade(*case.wrong, **case.positions[0])
    assert verdict.right is False
    assert verdict.misconception == slip
    if slip != "ohms on a live circuit" or isinstance(case.question, Predict):
        assert MISCONCEPTIONS[slip] in verdict.text  # the hazard's own sentence otherwise


@pytest.mark.parametrize(("slip", "case"), CASES, ids=IDS)
def test_a_right_answer_is_accused_of_nothing(slip, case):
    verdict = case.question.grade(*case.right, **case.positions[1])
    assert verdict.right
    assert verdict.misconception == ""


def test_every_misconception_has_a_case():
    named = {row[4] for row in ROWS} - {"-"}  # in the lessons
    assert {slip for slip, _ in CASES} | named == set(MISCONCEPTIONS)


@pytest.mark.parametrize("file", sorted(EXERCISES.glob("*.toml")), ids=lambda file: file.stem)
def test_what_the_meter_shows_is_right_wherever_the_leads_are(file):
    exercise = load_exercise(file)
    chance = random.Random(file.stem)
    found = Bench(exercise.variant(0).circuit).circuit
    loaded = found.with_position(**exercise.proof.positions)
    points = [point.terminals[0] for point in found.test_points]
    for circuit, twin in ((found, loaded), (loaded, found)):
        for function in ("volts", "low-z", "ohms"):
            red, black = chance.sample(points, 2)
            question = Predict(circuit, red, black, function, twin=twin)
            if question.reading.display != "unsteady":
                verdict = question.grade(question.reading.display)
                assert (verdict.right, verdict.misconception) == (True, ""), question.ask

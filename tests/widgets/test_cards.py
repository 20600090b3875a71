"""Cards: a question, an answer, what is said to it."""

from html import escape
from pathlib import Path

import pytest

from labkit.diagnosis import parse_seen
from labkit.exercises.exercise import load_exercise
from labkit.hunts.hunt import Hunt
from labkit.questions import (
    Cause,
    Choose,
    NameFault,
    Predict,
    PredictBoth,
    Remains,
    Repair,
    Separate,
)
from labkit.widgets import Card, HuntCard, ask
from tests.boats import EXERCISES, shipped

FILES = sorted(EXERCISES.glob("*.toml"))


@pytest.fixture
def card() -> Card:
    off = shipped("washdown").with_fault("X1 resistance 0.8 ohm").with_position(S1="on", S2="off")
    return ask(Predict(off, "X1:2", twin=off.with_position(S2="on")))


@pytest.mark.parametrize(
    ("said", "right", "hears"),
    [
        ("12.7 V", True, "You said 12.7 V; the meter shows 12.70 V"),
        ("-12.7 V", False, "sign"),
        ("12.7 mV", False, "millivolts"),
        ("12.7 A", None, "3.5 V"),
        ("12.7 volts", True, "You said 12.7 volts"),
        ("12,7 V", True, "You said 12,7 V"),
        ("12.7", True, "You said 12.7;"),
        ("1,234.5", None, "cannot be read"),
        ("", None, "No number yet"),
    ],
)
def test_a_prediction_is_answered_with_what_was_said_what_it_shows_and_why(
    card: Card, said: str, right: bool | None, hears: str
) -> None:
    verdict = card.answer(said)
    assert verdict.right is right
    assert hears in verdict.text
    assert ("meter shows" in card._said.value) == bool(right)  # a first miss tells no number
    card.show()
    assert hears in card._said.value


def test_nothing_is_shown_before_a_prediction_is_made(card: Card) -> None:
    assert "12.7" not in card._said.value
    assert repr(card).endswith("[not answered yet]")
    sent = [str(child.get_state()) for child in card.children]
    assert not any("12.70" in state for state in sent)


def test_the_enter_key_answers(card: Card) -> None:
    card.fields[0].value = "12.7 V"
    card._entered()
    assert card.verdict is not None
    assert card.verdict.right


def test_a_choice_has_nothing_chosen_at_first() -> None:
    card = ask(Choose("Which?", {"this": "Just so.", "that": "Look again."}, right="this"))
    assert card.fields[0].value is None
    card.fields[0].value = "that"
    assert "Look again." in card._said.value


WASHDOWN = shipped("washdown")
SPLICE, RING = "X1 resistance 1.6 ohm", "X3 resistance 1.6 ohm"
CORRODED = WASHDOWN.with_fault(SPLICE)


def test_both_readings_are_predicted_on_one_card() -> None:
    card = ask(PredictBoth(CORRODED, "X1:2", "DC-", {"S2": "off"}, {"S2": "on"}))
    for box, said in zip(card.fields, ("12.7 V", "12.7 V"), strict=True):
        box.value = said
    assert card.commit().misconception == "sound when loaded"
    card.fields[1].value = "7 V"
    card.button.click()
    assert card.verdict is not None
    assert card.verdict.right


def test_suspects_that_remain_are_ticked() -> None:
    card = ask(Remains(WASHDOWN, ["X1:2 DC- volts 7.04 V S2=on"], [SPLICE, RING]))
    first, second = card.fields[0].children
    second.value = True
    assert card.commit().right is False
    first.value, second.value = True, False
    assert card.commit().right


def test_leads_and_switches_are_set_to_tell_two_apart() -> None:
    card = ask(Separate(WASHDOWN, SPLICE, RING))
    red, black, meter = card.fields[:3]
    assert (black.value, meter.value) == ("DC-", "volts")
    red.value = "X1:2"
    assert card.commit().misconception == "volts without load"
    card.fields[card._names.index("S2")].value = "on"
    assert card.commit().right


def test_leads_are_not_offered_a_part_that_nobody_drew() -> None:
    circuit = load_exercise(EXERCISES / "radio-resets.toml").circuit
    hidden = next(p.id for p in circuit.parts.values() if p.hidden)
    card = ask(Separate(circuit, "F1 blown", "A1 open"))
    assert not any(key.startswith(f"{hidden}:") for _, key in card.fields[0].options)
    assert hidden not in card._names


def test_part_and_mode_are_chosen_and_what_the_readings_prove_is_said() -> None:
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    seen = [parse_seen(text, exercise.circuit) for text in ("X1:1 X1:2 volts 5.478 V S2=on",)]
    card = ask(NameFault(exercise.deal(), seen))
    card.fields[0].value, card.fields[1].value = "X1", "high resistance"
    assert "X1 it is. Known" in card.commit().text
    assert "A guess" in ask(NameFault(exercise.deal(), [])).answer("X1", "resistance").text


def test_a_repair_is_chosen_with_its_proof() -> None:
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    proofs = {"switched off": {"S2": "off"}, "running": {"S2": "on"}}
    card = ask(Repair(exercise, exercise.deal(), {"the splice": ["repair X1"]}, proofs))
    assert card.commit().right is None
    card.fields[0].value, card.fields[1].value = "the splice", "switched off"
    assert card.commit().misconception == "volts without load"
    card.fields[1].value = "running"
    assert card.commit().right


def test_a_cause_is_chosen_like_any_other_answer() -> None:
    running = WASHDOWN.with_position(S2="on")
    card = ask(Cause(running, "F2", {"stuck": ["M1 seized"], "old": ["X1 resistance 1 ohm"]}))
    card.fields[0].value = "old"
    assert card.verdict is not None
    assert card.verdict.right is False
    card.fields[0].value = "stuck"
    assert card.verdict.right


def finished(hunt: Hunt) -> None:
    """Take a reading, mend everything that is wrong and set what has opened."""
    hunt.bench.read("DC-", "DC-")
    for fault in hunt.dealt.circuit.faults:
        hunt.bench.repair(fault.part)
    for id, state in hunt.bench.point.states.items():
        if state == "open":
            hunt.bench.fit(id)


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_every_hunt_can_be_finished(file: Path) -> None:
    hunt = Hunt(load_exercise(file), "Ana")
    assert not hunt.prove().ok
    finished(hunt)
    assert hunt.prove().ok


@pytest.mark.parametrize("file", [EXERCISES / "slow-washdown.toml"], ids=lambda f: f.stem)
def test_a_finished_hunt_is_looked_back_on(file: Path) -> None:
    card = HuntCard(Hunt(load_exercise(file), "Ana"), plain=True)
    fault = card.hunt.dealt.circuit.faults[0]
    card.name(fault.part, fault.mode)
    assert card._looked_back.value == ""
    finished(card.hunt)
    card.prove()
    assert card.said.startswith("Proven.")
    assert "Practise next" in card._looked_back.value
    assert 'alt="Suspects left' in card._looked_back.value


def test_a_hidden_part_can_be_named_once_its_run_was_followed() -> None:
    card = HuntCard(Hunt(load_exercise(EXERCISES / "radio-resets.toml"), "Ana"), plain=True)
    circuit = card.hunt.exercise.circuit
    hidden = next(p.id for p in circuit.parts.values() if p.hidden)
    run = next(r.name for r in circuit.runs if hidden in [p.part for p in r.passes])
    assert hidden not in [id for _, id in card.part.options]
    card.part.value = "A1"
    card.hunt.bench.trace(run)
    assert hidden in [id for _, id in card.part.options]
    assert card.part.value == "A1"


def test_on_paper_a_card_is_a_worksheet_with_its_question_and_room_for_the_answer(
    card: Card,
) -> None:
    assert "I expect ____" in card._repr_mimebundle_()["text/html"]
    assert card.question.ask in card._repr_mimebundle_()["text/html"]
    choice = ask(Choose("Which?", {"<this>": "Just so.", "that": "No."}, right="<this>"))
    assert "☐ &lt;this&gt;<br>☐ that" in choice._repr_mimebundle_()["text/html"]
    assert "Just so" not in choice._repr_mimebundle_()["text/html"]
    choice.answer("<this>")
    assert "Just so" in choice._repr_mimebundle_()["text/html"]


def test_on_paper_a_hunt_keeps_its_complaint_its_cautions_and_its_drawing() -> None:
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    html = HuntCard(Hunt(exercise))._repr_mimebundle_()["text/html"]
    assert escape(exercise.cautions[0]) in html
    assert escape(exercise.complaint) in html
    assert '<img alt="Bench: ' in html

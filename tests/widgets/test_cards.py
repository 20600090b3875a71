"""Cards: a question, an answer, what is said to it."""

import pytest

from labkit.questions import Choose, Predict
from labkit.widgets import ChooseCard, PredictCard
from tests.boats import shipped


@pytest.fixture
def card() -> PredictCard:
    off = shipped("washdown").with_fault("X1 resistance 0.8 ohm").with_position(S1="on", S2="off")
    return PredictCard(Predict(off, "X1:2", twin=off.with_position(S2="on")))


@pytest.mark.parametrize(
    ("said", "right", "hears"),
    [
        ("12.7 V", True, "You said 12.7 V; the meter shows 12.70 V"),
        ("-12.7 V", False, "sign"),
        ("12.7 mV", False, "millivolts"),
        ("12.7 A", None, "12.7 V"),
        ("12.7", None, "unit"),
        ("", None, "cannot be read"),
    ],
)
def test_a_prediction_is_answered_with_what_was_said_what_it_shows_and_why(
    card: PredictCard, said: str, right: bool | None, hears: str
) -> None:
    verdict = card.answer(said)
    assert verdict.right is right
    assert hears in verdict.text
    assert hears in card._said.value


def test_nothing_is_shown_before_a_prediction_is_made(card: PredictCard) -> None:
    assert "12.7" not in card._said.value
    assert repr(card).endswith("[not answered yet]")
    sent = [str(child.get_state()) for child in card.children]
    assert not any("12.70" in state for state in sent)


def test_the_enter_key_answers(card: PredictCard) -> None:
    card._box.value = "12.7 V"
    card._entered({"event": "submit"})
    assert card.verdict is not None
    assert card.verdict.right


def test_a_choice_has_nothing_chosen_at_first() -> None:
    card = ChooseCard(Choose("Which?", {"this": "Just so.", "that": "Look again."}, right="this"))
    assert card._choice.value is None
    assert card._choice.layout.width == "max-content"
    card._choice.value = "that"
    assert "Look again." in card._said.value

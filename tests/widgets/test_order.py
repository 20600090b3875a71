"""The card that puts steps in order."""

import pytest

from labkit.questions import Order
from labkit.widgets import Card, ask

DEAD = Order("Make it dead.", [["switch off"], ["tag the breaker"], ["measure", "look"]])


@pytest.fixture
def card() -> Card:
    return ask(DEAD)


def clicked(card: Card, *steps: str) -> None:
    for step in steps:
        card.fields[0].steps[step].click()


def test_steps_are_offered_in_an_order_that_gives_nothing_away(card: Card) -> None:
    assert list(card.fields[0].steps) == sorted(card.fields[0].steps)
    assert not any(button.description[0].isdigit() for button in card.fields[0].steps.values())


def test_a_step_clicked_says_its_place_and_clicked_again_is_put_back(card: Card) -> None:
    clicked(card, "tag the breaker", "switch off")
    assert card.fields[0].steps["switch off"].description == "2. switch off"
    clicked(card, "tag the breaker")
    assert card.fields[0].value == ["switch off"]
    assert card.fields[0].steps["switch off"].description == "1. switch off"


def test_the_button_grades_the_order_clicked(card: Card) -> None:
    clicked(card, "switch off", "tag the breaker", "look", "measure")
    card.button.click()
    assert card.verdict is not None
    assert card.verdict.right
    assert "Right" in card.children[-1].value


def test_a_wrong_order_names_what_comes_first_and_a_short_one_is_not_graded(
    card: Card,
) -> None:
    wrong = card.answer(["tag the breaker", "switch off", "look", "measure"])
    assert wrong.right is False
    assert "'switch off' comes before 'tag the breaker'" in wrong.text
    assert card.answer(["switch off"]).right is None


def test_a_card_that_was_run_but_not_answered_shows_no_answer(card: Card) -> None:
    assert repr(card) == "Make it dead. [not answered yet]"

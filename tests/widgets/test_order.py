"""The card that puts steps in order."""

import pytest

from labkit.questions import Order
from labkit.widgets.order import OrderCard

DEAD = Order("Make it dead.", [["switch off"], ["tag the breaker"], ["measure", "look"]])


@pytest.fixture
def card() -> OrderCard:
    return OrderCard(DEAD)


def clicked(card: OrderCard, *steps: str) -> None:
    for step in steps:
        card.steps[step].click()


def test_steps_are_offered_in_an_order_that_gives_nothing_away(card: OrderCard) -> None:
    assert list(card.steps) == sorted(card.steps)
    assert not any(button.description[0].isdigit() for button in card.steps.values())


def test_a_step_clicked_says_its_place_and_clicked_again_is_put_back(card: OrderCard) -> None:
    clicked(card, "tag the breaker", "switch off")
    assert card.steps["switch off"].description == "2. switch off"
    clicked(card, "tag the breaker")
    assert card.taken == ["switch off"]
    assert card.steps["switch off"].description == "1. switch off"


def test_the_button_grades_the_order_clicked(card: OrderCard) -> None:
    clicked(card, "switch off", "tag the breaker", "look", "measure")
    commit = card.children[-2].children[0]
    commit.click()
    assert card.verdict is not None
    assert card.verdict.right
    assert "Right" in card.children[-1].value


def test_a_wrong_order_names_what_comes_first_and_a_short_one_is_not_graded(
    card: OrderCard,
) -> None:
    wrong = card.answer(["tag the breaker", "switch off", "look", "measure"])
    assert wrong.right is False
    assert "'switch off' comes before 'tag the breaker'" in wrong.text
    assert card.answer(["switch off"]).right is None


def test_a_card_that_was_run_but_not_answered_shows_no_answer(card: OrderCard) -> None:
    assert repr(card) == "Make it dead. [not answered yet]"

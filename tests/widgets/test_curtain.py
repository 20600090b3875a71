"""The curtain: what answers a question is shown when it is settled, and not before."""

from __future__ import annotations

import pytest

from labkit.questions import Choose, Predict
from labkit.record import read_folder
from labkit.widgets import Card, ask, keep
from labkit.widgets.curtain import WORDS, Behind, Shown
from tests.boats import shipped


class Secret:
    """Something with HTML to keep back."""

    def __repr__(self) -> str:
        return "a secret of 7.04 V"

    def _repr_mimebundle_(self, **_: object) -> dict[str, str]:
        return {"text/plain": repr(self), "text/html": "<p>7.04 V, secret</p>"}


@pytest.fixture
def card() -> Card:
    return ask(Choose("Which?", {"this": "Just so.", "that": "Look again."}, right="this"))


@pytest.fixture
def behind(card: Card) -> Behind:
    return Behind([card], [Secret()], "a secret of 7.04 V")


def sent(behind: Behind) -> str:
    """Everything of it that reaches a page."""
    return str([child.get_state() for child in behind.children])


def test_nothing_of_it_reaches_the_page_before_the_question_is_answered(behind: Behind) -> None:
    bundle = behind._repr_mimebundle_()
    assert "secret" not in sent(behind) + bundle["text/html"] + bundle["text/plain"]
    assert bundle[WORDS] == {"behind": "a secret of 7.04 V"}  # for whoever compares notebooks


def test_a_right_answer_opens_it(card: Card, behind: Behind) -> None:
    card.answer("this")
    assert "7.04 V, secret" in sent(behind)


def test_one_miss_keeps_it_closed_and_a_second_opens_it(card: Card, behind: Behind) -> None:
    card.answer("that")
    assert "secret" not in sent(behind)
    card.answer("that")
    assert "7.04 V, secret" in sent(behind)


def test_an_answer_that_cannot_be_read_is_no_miss() -> None:
    card = ask(Predict(shipped("washdown"), "X1:2"))
    for _ in range(3):
        card.answer("about so much")
    assert not card.settled


def test_it_opens_on_asking_without_an_answer(card: Card, behind: Behind) -> None:
    behind.children[0].children[1].click()
    assert card.settled
    assert "7.04 V, secret" in sent(behind)


def test_several_questions_have_all_to_be_settled(card: Card) -> None:
    other = ask(Choose("And?", {"so": "Yes.", "no": "No."}, right="so"))
    behind = Behind([card, other], [Secret()], "a secret")
    card.answer("this")
    assert "secret" not in sent(behind)
    other.answer("so")
    assert "7.04 V, secret" in sent(behind)


def test_a_question_may_itself_wait_behind_another(card: Card) -> None:
    behind = Behind([card], [lambda: ask(Choose("Next?", {"a": "", "b": ""}, right="a"))], "a card")
    card.answer("this")
    assert "Next?" in repr(behind.children[0])


def test_an_answered_notebook_taken_up_again_has_its_answers_and_what_they_opened(
    tmp_path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LABKIT_RECORDS", str(tmp_path))
    monkeypatch.setattr(Card, "attempt", None)
    monkeypatch.setattr(Card, "former", {})
    asked = Predict(shipped("washdown").with_fault("X1 resistance 1.6 ohm"), "X1:2")
    attempt = keep("A lesson", "Ada")
    ask(asked).answer("12.7 V")
    missed = ask(Choose("Which?", {"this": "", "that": ""}, right="this"))
    missed.answer("that")
    missed.show()
    attempt.close()

    keep("A lesson", "Ada")  # another day
    again, given_up = ask(asked), ask(missed.question)
    assert again.fields[0].value == "12.7 V"
    assert again.settled
    assert again.verdict is not None
    assert again.verdict.right
    assert given_up.settled
    assert "7.04 V, secret" in sent(Behind([again], [Secret()], "a secret"))
    (record,), _ = read_folder(tmp_path)
    assert len(record.of("answer")) == 2  # nothing was answered anew


def test_things_that_wait_for_nothing_are_shown_together() -> None:
    bundle = Shown([Secret(), Secret()])._repr_mimebundle_()
    assert bundle["text/html"].count("secret") == 2
    assert bundle["text/plain"] == "a secret of 7.04 V\na secret of 7.04 V"

"""A final: nothing is said on the way, and everything at the end."""

import pytest

from labkit.hunts.account import HONEST, account
from labkit.text.messages import CircuitError
from labkit.widgets import FinalCard
from labkit.widgets.final_card import NOTED, OVER
from tests.boats import EXERCISES


@pytest.fixture
def final(tmp_path):
    card = FinalCard(EXERCISES / "final", "Ada", tmp_path)
    card.choice.value = next(n for title, n in card.choice.options if "Fog signal" in title)
    return card


def opened(final):
    final.open_hunt()
    (card,) = final._place.children
    return card


def test_a_final_says_nothing_on_the_way_and_the_first_attempt_counts(final, tmp_path):
    card = opened(final)
    assert card.bench.screen.naming["hint"] == ""
    card.name("W1", "open")
    assert card.said == NOTED
    fault = card.hunt.dealt.circuit.faults[0]
    right = next(
        w for w in card.hunt.question.modes if card.hunt.question.grade(fault.part, w).right
    )
    card.name(fault.part, right)
    assert card.said == NOTED
    card.hunt.bench.isolate("F2")
    card.hunt.bench.repair(fault.part)
    card.hunt.bench.fit("F2")
    card.prove()
    assert card.proven
    assert OVER in card._looked_back.value
    card.anew()

    told = account(final.exercises, "Ada", tmp_path)
    one = next(entry for entry in told.entries if entry.title == "Fog signal in clear weather")
    assert one.proven
    assert one.wrong == 1
    assert any(line.startswith("Named wrongly") for line in one.lines)
    said = " ".join(told.lines)
    assert "1 of 6 hunts begun, 1 proven" in said
    assert "Left unproven" in said
    assert "The ghost in the bilge" in said
    assert "What to do next" in said
    assert told.lines[-1] == HONEST


def test_the_account_is_shown_on_the_card_and_without_a_hunt_says_that_none_was_begun(final):
    assert "Not begun." in final.settle()
    assert "0 of 6 hunts begun" in final.told.value


def test_a_name_that_is_none_is_said_so(final):
    card = opened(final)
    card.name("", "")
    assert card.said not in ("", NOTED)


def test_a_folder_without_hunts_is_refused(tmp_path):
    with pytest.raises(CircuitError, match="no exercises"):
        FinalCard(tmp_path)

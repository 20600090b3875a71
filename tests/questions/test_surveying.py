"""A boat on which everything works, and what of it is dangerous."""

from __future__ import annotations

from dataclasses import replace

import pytest

from labkit.circuits.circuit_file import load_circuit
from labkit.questions import SurveyBoat
from tests.boats import EXERCISES
from tests.survey.test_museum import EXPECTED
from tests.survey.test_survey import MUSEUM

BAD = [name for name, findings in EXPECTED.items() if findings]


@pytest.mark.parametrize("name", EXPECTED)
def test_ticking_just_what_is_so_is_right(name: str) -> None:
    question = SurveyBoat(load_circuit(MUSEUM / f"{name}.toml"))
    true = [claim.says for claim in question.claims if claim.true]
    assert len(true) == len(EXPECTED[name])
    assert question.grade(true).right


@pytest.mark.parametrize("name", BAD)
def test_what_is_missed_is_said_with_figures_and_what_would_put_it_right(name: str) -> None:
    question = SurveyBoat(load_circuit(MUSEUM / f"{name}.toml"))
    verdict = question.grade([])
    assert verdict.right is False
    assert verdict.text.startswith("Missed: ")
    assert "missed" in verdict.hint
    assert not any(claim.why in verdict.hint for claim in question.claims)


def test_a_sound_fuse_called_dangerous_is_answered_with_its_limit() -> None:
    question = SurveyBoat(load_circuit(MUSEUM / "forty-on-a-tail.toml"), sound=20)
    (big,) = (claim.says for claim in question.claims if claim.true)
    sound = "F1 is too big for the thinnest wire behind it"
    verdict = question.grade([big, sound])
    assert verdict.right is False
    assert "Not so: F1" in verdict.text
    assert "W1 may carry 80 A, and up to 120 A guard it" in verdict.text


def test_a_claim_that_nobody_made_is_no_answer() -> None:
    assert SurveyBoat(load_circuit(MUSEUM / "good.toml")).grade(["all is well"]).right is None


def test_it_is_answered_on_a_card_as_any_other_question() -> None:
    question = SurveyBoat(load_circuit(MUSEUM / "no-main-fuse.toml"))
    (field,) = question.fields
    assert [shown for shown, _ in field.options] == [claim.says for claim in question.claims]
    assert "nothing guards W1" in [claim.says for claim in question.claims]


def test_a_bare_wire_before_its_fuse_is_not_also_called_guarded() -> None:
    boat = load_circuit(EXERCISES / "surveys" / "circuits" / "sold-as-seen.toml")
    claims = SurveyBoat(replace(boat, accepts=())).claims
    assert "too much bare wire lies before F1" in [claim.says for claim in claims if claim.true]
    assert not [c.says for c in claims if not c.true and {"W1", "F1"} & set(c.says.split())]

"""The answer key of a survey names every finding, and tells claims that are so from those not."""

from __future__ import annotations

import pytest

from labkit.desk.survey_key import survey_key
from labkit.exercises.files import load
from labkit.survey.survey import survey
from tests.boats import EXERCISES

SURVEYS = sorted((EXERCISES / "surveys").glob("*.toml"))


@pytest.mark.parametrize("file", SURVEYS, ids=lambda file: file.stem)
def test_every_finding_stands_in_the_key_with_rule_standard_whom_it_binds_and_remedy(file):
    exercise = load(file)
    for number in range(len(exercise.variants)):
        dealt = exercise.variant(number)
        report = " ".join(survey_key(exercise, dealt).report)
        for finding in survey(dealt.circuit).findings:
            for words in (
                f"{finding.part}, {finding.rule.name}: {finding.text}",
                finding.rule.standard, finding.rule.binds, finding.remedy,
            ):  # fmt: skip  # rows that a reader compares
                assert words in report


def test_what_is_fitted_otherwise_makes_the_key_another():
    exercise = load(EXERCISES / "surveys" / "new-loads.toml")
    short = [survey_key(exercise, exercise.variant(n)).short for n in range(3)]
    assert short == [
        "F4 fuse too big; F2 locked rotor",
        "M1 voltage drop; F3 locked rotor; W2 wire too thin",
        "F3 not made; M1 voltage drop; F3 locked rotor; W2 wire too thin",
    ]


def test_a_claim_is_so_or_not_so_and_says_why():
    exercise = load(EXERCISES / "surveys" / "sold-as-seen.toml")
    worked = survey_key(exercise, exercise.deal("Ada"))
    so, not_so = worked.said(True), worked.said(False)
    assert {line.split(" ")[0] for line in so if not line.startswith("too")} == {"F4", "F6", "W6"}
    assert len(so) + len(not_so) == len(worked.claims)
    assert not [line for line in not_so if line.count("nothing guards") > 1]

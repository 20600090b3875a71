"""Every hunt shipped can be named and proven by what a learner has at hand."""

import pytest

from labkit.exercise import load_exercise
from labkit.questions import NameFault
from tests.boats import ROOT

FILES = sorted((ROOT / "exercises").glob("*.toml"))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_fault_dealt_has_a_name_the_learner_can_choose(file):
    exercise = load_exercise(file)
    for number in range(len(exercise.variants)):
        dealt = exercise.variant(number)
        question = NameFault(dealt)
        for fault in dealt.circuit.faults:
            assert any(question.grade(fault.part, word).right for word in question.modes), fault

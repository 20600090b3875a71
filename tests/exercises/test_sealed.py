"""A dealt file is opened as it is: by its learner's notebook, by the card, by name."""

import json
from dataclasses import replace

import nbformat
import pytest

from labkit import load_exercise as open_file
from labkit.exercises.dealing import deal_hands, deal_sealed
from labkit.exercises.exercise import load_exercise
from labkit.exercises.sealed import seal, sealed_notebook, unseal
from labkit.hunts.kept import KeptHunt
from labkit.hunts.replay import replay
from labkit.hunts.surveying import graded
from labkit.record import read_folder, read_record
from labkit.survey.survey import survey
from labkit.text.messages import CircuitError
from labkit.widgets import HuntCard, hunt
from labkit.widgets.hunting import SurveyCard
from tests.boats import EXERCISES, share


def _same(one, other):
    """The same boat with the same faults, wherever its file lay."""
    return replace(one, file="") == replace(other, file="")


FILES = sorted(EXERCISES.glob("*.toml"))
SURVEYS = sorted((EXERCISES / "surveys").glob("*.toml"))
NAMES = ("Ada", "Bo")


@pytest.mark.parametrize("file", share(FILES, 2), ids=lambda file: file.stem)
def test_a_sealed_hunt_is_the_learners_own_and_its_file_tells_nothing(file):
    exercise = load_exercise(file)
    lengths = set()
    for name in NAMES:
        text = sealed_notebook(file, name)
        opened = unseal(seal(file, name))
        dealt = exercise.deal(name)
        assert _same(opened.deal("whoever opens it").circuit, dealt.circuit)
        assert opened.deal().cause == dealt.cause
        assert (opened.title, opened.learner) == (exercise.title, name)
        assert not any(fault in text for faults in exercise.variants for fault in faults)
        assert exercise.circuit.title not in text
        assert text == sealed_notebook(file, name)
        lengths.add(len(seal(file, name)))
    assert len(lengths) == 1


@pytest.mark.parametrize("file", SURVEYS, ids=lambda file: file.stem)
def test_a_sealed_survey_is_the_learners_own_and_its_file_tells_no_finding(file):
    exercise = open_file(file)
    for name in NAMES:
        text = sealed_notebook(file, name)
        opened, dealt = unseal(seal(file, name)), exercise.deal(name)
        assert opened.deal("whoever opens it").circuit.faults == dealt.circuit.faults
        assert opened.deal().cause == dealt.cause
        assert opened.learner == name
        told = [dealt.cause, exercise.circuit.title, *dealt.faults]
        for finding in survey(dealt.circuit).findings:
            told += [finding.rule.name, finding.text, finding.remedy]
        assert not [words for words in told if words in text]


def test_the_cell_of_a_sealed_survey_opens_it_and_it_is_marked_on_the_instructors(
    monkeypatch, tmp_path
):
    monkeypatch.setenv("LABKIT_RECORDS", str(tmp_path))
    file = EXERCISES / "surveys" / "new-loads.toml"
    code = json.loads(sealed_notebook(file, "Bo"))["cells"][1]["source"].splitlines()
    card = eval(code[-1], {"hunt": hunt})
    assert isinstance(card, SurveyCard)
    card.card.answer([claim.says for claim in card.survey.question.claims if claim.true])
    (record,) = read_folder(tmp_path)[0]
    assert record.head["learner"] == "Bo"
    assert [(verdict.right, same) for verdict, same in graded(record, open_file(file))] == [
        (True, True)
    ]


def test_a_sealed_notebook_is_a_notebook_with_one_folded_cell():
    book = nbformat.reads(sealed_notebook(EXERCISES / "horn-mute.toml", "Ada"), as_version=4)
    nbformat.validate(book)
    (code,) = [cell for cell in book.cells if cell.cell_type == "code"]
    assert code.metadata["jupyter"]["source_hidden"]
    assert code.source.startswith("from labkit import hunt\n")


def test_the_cell_of_a_sealed_notebook_opens_the_hunt(monkeypatch, tmp_path):
    monkeypatch.setenv("LABKIT_RECORDS", str(tmp_path))
    book = json.loads(sealed_notebook(EXERCISES / "slow-washdown.toml", "Ada"))
    code = book["cells"][1]["source"].splitlines()
    card = eval(code[-1], {"hunt": hunt})
    assert isinstance(card, HuntCard)
    dealt = load_exercise(EXERCISES / "slow-washdown.toml").deal("Ada")
    assert _same(card.hunt.dealt.circuit, dealt.circuit)


def test_a_box_with_one_letter_changed_is_refused_in_a_sentence():
    box = seal(EXERCISES / "horn-mute.toml", "Ada")
    for place in (0, 700, len(box) - 1):
        other = "a" if box[place] != "a" else "b"
        with pytest.raises(CircuitError, match="not as it was dealt; ask for the file again"):
            unseal(box[:place] + other + box[place + 1 :])


def test_an_attempt_at_a_sealed_hunt_is_played_again_on_the_instructors_exercise(tmp_path):
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    own = KeptHunt(unseal(seal(EXERCISES / "slow-washdown.toml", "Ada")), "somebody", tmp_path)
    own.bench.switch("S2", "on")
    own.bench.read("X1:1", "X1:2", "volts")
    own.name("M1", "seized")
    own.name("X1", "high resistance")
    own.bench.switch("S2", "off")
    own.bench.repair("X1")
    own.prove()
    own.attempt.close()
    record = read_record(own.attempt.path)
    assert record.head["learner"] == "Ada"
    made = replay(record, exercise)
    assert made.differs == ""
    assert made.hunt.proven.ok


def test_a_dealt_file_opens_by_name_and_the_name_is_fixed_in_it(tmp_path):
    (path,) = deal_hands(EXERCISES / "horn-mute.toml", ["Ada"], tmp_path)
    exercise = load_exercise(EXERCISES / "horn-mute.toml")
    assert _same(open_file(path).deal("Bo").circuit, exercise.deal("Ada").circuit)
    assert _same(
        open_file(EXERCISES / "horn-mute.toml").deal("Bo").circuit, exercise.deal("Bo").circuit
    )
    assert KeptHunt(open_file(path), "Bo", tmp_path).attempt is not None
    assert open_file(path).learner == "Ada"


def test_sealed_notebooks_are_not_written_over(tmp_path):
    made = deal_sealed(EXERCISES / "horn-mute.toml", ["Ada", "Bo"], tmp_path)
    assert [path.name for path in made] == ["horn-mute-ada.ipynb", "horn-mute-bo.ipynb"]
    with pytest.raises(CircuitError, match="is already there"):
        deal_sealed(EXERCISES / "horn-mute.toml", ["Ada"], tmp_path)


def test_a_dealt_file_reads_no_file_but_an_exercise(tmp_path):
    path = tmp_path / "hand.toml"
    path.write_text('exercise = "/etc/shadow"\nlearner = "Ada"\n', encoding="utf-8")
    with pytest.raises(CircuitError, match=r"name the exercise's file, which ends in .toml"):
        open_file(path)

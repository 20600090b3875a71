"""The owner's cards: a form, a job at work, its proof and its log; in practice the boat answers."""

import pytest

from labkit.circuits.circuit_file import load_circuit
from labkit.jobs.job_file import read_job
from labkit.text.messages import CircuitError
from labkit.widgets import BoatForm, LogCard, ProofCard, job, practise
from tests.jobs.test_page import BOAT


@pytest.fixture(scope="module")
def boat(tmp_path_factory):
    folder = tmp_path_factory.mktemp("own")
    (folder / "boat.toml").write_text(BOAT)
    return folder / "boat.toml"


@pytest.fixture(scope="module")
def card(boat):
    card = job(boat.parent / "light.job.toml", "boat.toml", "E1 dim", without="clamp")
    card.see("G1:+ G1:- volts 12.4")
    return card


def test_a_form_writes_the_boat_and_draws_it_anew_at_each_answer(tmp_path):
    form = BoatForm(tmp_path / "mine.toml", "water", "F2 rating 10 A")
    assert load_circuit(tmp_path / "mine.toml").parts["F2"].rated == pytest.approx(10)
    before = form.picture.value
    form.answer("M1 current 7,5 A")
    assert "7.5 A" in form.picture.value
    assert form.picture.value != before
    assert "M1 current: 7,5 A" in repr(form)


def test_an_answer_that_cannot_be_right_leaves_the_file_as_it_was(tmp_path):
    form = BoatForm(tmp_path / "mine.toml", "water", "F2 rating 10 A")
    kept = (tmp_path / "mine.toml").read_text()
    with pytest.raises(CircuitError, match="rating"):
        form.answer("F2 rating ten")
    assert (tmp_path / "mine.toml").read_text() == kept
    assert 'role="alert"' in form.says.value
    with pytest.raises(CircuitError, match="does not answer an open question"):
        form.answer("X7 size 1 mm2")


def test_a_boat_that_is_there_is_gone_on_with(tmp_path):
    BoatForm(tmp_path / "mine.toml", "water", "F2 rating 10 A")
    again = BoatForm(tmp_path / "mine.toml")
    assert "F2 rating" not in repr(again)
    assert "G1 emf: not known" in repr(again)


def test_what_is_seen_is_in_the_file_before_it_is_on_the_card(card, boat):
    kept = read_job(boat.parent / "light.job.toml")[0]
    assert kept.seen == ["G1:+ G1:- volts 12.4"]
    assert "12.4" in card.seen.value
    assert job(boat.parent / "light.job.toml").work.job == kept


def test_rubbish_on_the_card_is_answered_in_a_sentence_and_not_kept(card, boat):
    card.box.value = "green pixies"
    card.write.click()
    assert "green pixies" in card.says.value
    assert read_job(boat.parent / "light.job.toml")[0].seen == ["G1:+ G1:- volts 12.4"]
    card.box.value = ""


def test_a_place_nobody_gets_at_is_out_of_the_advice(card, boat):
    advice = card.weighed.found.next[0]
    refused = advice.measurement.red.partition(":")[0]
    card._cannot(advice)
    assert read_job(boat.parent / "light.job.toml")[0].out_of_reach == [refused]
    assert all(refused not in a.measurement.red for a in card.weighed.found.next
               if a.measurement.function != "look")  # fmt: skip  # rows that a reader compares


def test_proof_and_log_are_written_into_the_job(card, boat):
    file = boat.parent / "light.job.toml"
    proof = ProofCard(file, source="12,3", load="12.1", part="X1", what="new ring")
    assert "fit for any load" in repr(proof)
    assert read_job(file)[0].proof.source == "12,3"
    assert "new ring" in repr(LogCard(file))
    proof.boxes["part"].value = "X9"
    proof.keep()
    assert "no part 'X9'" in repr(proof)
    assert read_job(file)[0].done.part == "X1"


def test_in_practice_the_boat_answers_the_same_card(boat):
    card = practise(boat, "E1", seed="four", without="clamp")
    seen = len(card.work.job.seen)  # what showed at once
    assert seen == 1
    card._take(card.weighed.found.next[0])
    assert len(card.work.job.seen) == seen + 1
    fault = card.work.practice._faults.faults[0]
    card.name.value = f"{fault.part} {fault.mode}"
    card._named()
    assert "Right" in card.verdict.value

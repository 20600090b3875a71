"""A hunt's card says what a learner must know of the record."""

from dataclasses import replace

from labkit.exercises.exercise import load_exercise
from labkit.hunts.hunt import Hunt
from labkit.hunts.kept import KeptHunt
from labkit.widgets import HuntCard
from tests.boats import EXERCISES


def test_a_card_says_on_the_page_that_nothing_can_be_kept(tmp_path):
    blocked = tmp_path / "a file, not a folder"
    blocked.write_text("", encoding="utf-8")
    made = KeptHunt(load_exercise(EXERCISES / "slow-washdown.toml"), "Ada", blocked / "attempts")
    card = HuntCard(made)
    assert card._trouble.value == ""
    made.bench.look("M1")
    assert "Not kept" in card._trouble.value
    assert "cannot be written, not a directory; practice goes on" in card._trouble.value


def test_a_card_says_that_its_hunt_went_on_elsewhere(tmp_path):
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    old = HuntCard(KeptHunt(exercise, "Ada", tmp_path))
    old.hunt.bench.look("M1")
    new = HuntCard(KeptHunt(exercise, "Ada", tmp_path))
    old.hunt.bench.look("M1")
    assert "went on elsewhere; what is done here is not kept" in old._trouble.value
    assert new._trouble.value == ""


def test_a_hunt_begun_anew_starts_from_the_complaint_and_is_kept_beside_what_was_done(tmp_path):
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    card = HuntCard(KeptHunt(exercise, "Ada", tmp_path))
    first, before = card.bench, card.hunt
    first.handle({"ask": "do", "with": {"action": "look", "id": "M1"}})
    first.handle({"ask": "name", "with": {"part": "M1", "mode": "worn brushes"}})
    assert first.naming["said"]
    first.handle({"ask": "anew"})
    assert card.bench is not first
    assert card.bench in card.children
    assert (card.hunt.bench.log, card.bench.naming["said"]) == ([], "")
    assert card.hunt.dealt.circuit.faults == exercise.deal("Ada").circuit.faults
    assert card.hunt.attempt.path != before.attempt.path
    card.bench.handle({"ask": "do", "with": {"action": "look", "id": "M1"}})
    assert all(hunt.attempt.path.exists() for hunt in (before, card.hunt))


def test_what_was_named_and_proven_stands_beside_the_meter():
    hunt = Hunt(load_exercise(EXERCISES / "slow-washdown.toml"), "Ana")
    card = HuntCard(hunt)
    card.bench.handle({"ask": "name", "with": {"part": "", "mode": ""}})
    assert card.bench.naming["said"] == "Choose the part, and how it failed."
    for fault in hunt.dealt.circuit.faults:
        hunt.bench.repair(fault.part)
    card.bench.handle({"ask": "prove"})
    assert card.bench.naming["proven"]
    assert card.bench.naming["said"].startswith("Proven. ")
    assert "Practise next" in card._looked_back.value


def test_a_dealt_hunt_says_which_file_is_handed_in_and_a_hub_keeps_it(tmp_path, monkeypatch):
    monkeypatch.delenv("JUPYTERHUB_USER", raising=False)
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    dealt = KeptHunt(replace(exercise, learner="Ada"), folder=tmp_path)
    card = HuntCard(dealt)
    assert f"hand in <code>{dealt.attempt.path}</code>" in card.children[-1].value
    card.anew()
    assert f"hand in <code>{card.hunt.attempt.path}</code>" in card.children[-1].value
    assert HuntCard(KeptHunt(exercise, "Ada", tmp_path)).children[-1].value == ""
    monkeypatch.setenv("JUPYTERHUB_USER", "ada")
    assert HuntCard(dealt).children[-1].value == ""

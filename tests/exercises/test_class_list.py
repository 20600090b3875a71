"""A class is dealt each variant as often as another, in secret, and once for all."""

import os
import random
from collections import Counter

import pytest

from labkit.exercises.class_list import SUFFIX, enter, number_of, seeds_of
from labkit.exercises.dealing import deal_hands, enter_class, read_hand
from labkit.exercises.exercise import exercise_from, load_exercise
from labkit.exercises.sealed import seal, unseal
from labkit.exercises.told import contradictions
from labkit.hunts.hunt import Hunt
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml
from tests.boats import EXERCISES

TITLE = "A horn"


@pytest.mark.parametrize(("learners", "variants"), [(18, 3), (12, 5), (7, 4), (1, 3), (30, 1)])
def test_each_variant_comes_as_often_as_another(tmp_path, learners, variants):
    names = [f"learner {number}" for number in range(learners)]
    seeds = enter(tmp_path / "x.toml", TITLE, variants, names, random.Random(learners))
    often = Counter(number_of(TITLE, seed, variants) for seed in seeds.values())
    assert max(often.values()) - min(often[n] for n in range(variants)) <= 1
    assert sorted(seeds) == sorted(names)
    assert seeds_of(tmp_path / "x.toml") == seeds


def test_whoever_comes_later_gets_what_is_rarest_and_nobody_elses_changes(tmp_path):
    file = tmp_path / "x.toml"
    first = enter(file, TITLE, 4, ["Ada", "Bo", "Cy"], random.Random(1))
    later = enter(file, TITLE, 4, ["Bo", "Dee", "Ada"], random.Random(2))
    assert {name: later[name] for name in first} == first
    assert len({number_of(TITLE, seed, 4) for seed in later.values()}) == 4


def test_what_is_dealt_does_not_follow_from_the_name(tmp_path):
    dealt = [
        enter(tmp_path / f"{n}.toml", TITLE, 5, ["Ada"], random.Random(n))["Ada"] for n in range(30)
    ]
    assert len({number_of(TITLE, seed, 5) for seed in dealt}) == 5


def _copied(tmp_path):
    (tmp_path / "circuits").mkdir()
    for name in ("horn-mute.toml", "circuits/horn.toml"):
        (tmp_path / name).write_bytes((EXERCISES / name).read_bytes())
    return tmp_path / "horn-mute.toml"


def test_key_file_box_and_hunt_all_hold_what_was_dealt_in_secret(tmp_path):
    file = _copied(tmp_path)
    names = ["Ada", "Bo", "Cy", "Dee"]
    enter_class(file, names)
    exercise = load_exercise(file)
    assert {exercise.deal(name).number for name in names} == {0, 1, 2, 3}
    for name, path in zip(names, deal_hands(file, names, tmp_path / "dealt"), strict=True):
        dealt = exercise.deal(name).faults
        assert read_hand(path).dealt.faults == dealt
        assert unseal(seal(file, name)).deal().faults == dealt
        assert Hunt(exercise, name).dealt.faults == dealt


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such modes")
def test_nobody_else_on_the_machine_reads_what_was_dealt(tmp_path):
    enter(tmp_path / "x.toml", TITLE, 3, ["Ada"])
    assert (tmp_path / "x.dealt").stat().st_mode & 0o077 == 0


def test_a_list_that_holds_something_else_is_refused_in_a_sentence(tmp_path):
    file = _copied(tmp_path)
    file.with_suffix(SUFFIX).write_text("Ada = 3\n", encoding="utf-8")
    with pytest.raises(CircuitError, match=r"horn-mute\.dealt: Ada: is not a seed; deal the"):
        load_exercise(file)


# -- variants that are told otherwise


def _told(**changes):
    file = EXERCISES / "horn-mute.toml"
    table = {**read_toml(file), "cause": "", **changes}
    if "variant" in changes:
        table.pop("faults", None)
    return exercise_from(table, file)


_OTHERWISE = [
    {"faults": ["X1 open"], "complaint": "It is mute.", "cause": "Salt.",
     "seen": ["Button held: the horn is silent."]},
    {"faults": ["K1 coil open"]},
]  # fmt: skip  # rows that a reader compares


def test_a_variant_has_a_complaint_what_is_seen_and_a_cause_of_its_own():
    exercise = _told(variant=_OTHERWISE)
    own, usual = exercise.told(0), exercise.told(1)
    assert (own.complaint, own.seen) == ("It is mute.", ("Button held: the horn is silent.",))
    assert (usual.complaint, usual.seen) == (exercise.complaint, exercise.seen)
    assert exercise.variant(0).cause == "Salt."
    names = {exercise.deal(name).number: name for name in "abcdefgh"}
    assert Hunt(exercise, names[0]).exercise.complaint == "It is mute."
    assert Hunt(exercise, names[1]).exercise.complaint == exercise.complaint


def test_what_a_variant_tells_as_seen_is_held_to_its_own_faults():
    dark = {"faults": ["F1 blown"], "seen": ["Button held: the motor stands still."]}
    lies = {"faults": ["X1 open"], "seen": ["Button held: the motor runs as it should."]}
    assert contradictions(_told(variant=[dark])) == []
    (found,) = contradictions(_told(variant=[dark, lies]))
    assert "the motor runs as it should" in found
    assert "X1 open, M1 stands still" in found


def test_faults_stand_in_one_place_or_the_other():
    file = EXERCISES / "horn-mute.toml"
    both = {**read_toml(file), "variant": _OTHERWISE}
    with pytest.raises(CircuitError, match=r"there are tables \[\[variant\]\]; write every fault"):
        exercise_from(both, file)

"""Proofs fit the complaint: charge, direction, rest, each piece while cranking, warmth, cycles."""

from __future__ import annotations

import pytest

from labkit.exercises.exercise import load_exercise
from labkit.exercises.lasting import Warmest
from labkit.exercises.proving import PIECES, Proof, prove
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES, shipped

CHARGING = {"S2": "on", "S1": "off", "S3": "off"}


def text_of(boat, fault="", **keys):
    faulty = boat.with_fault(fault) if fault else boat
    proven = prove(faulty, Proof(**keys), boat)
    return proven.ok, proven.text


def test_charging_is_proved_by_volts_at_the_posts():
    boat = shipped("two-batteries")
    asked = {"load": "R1", "positions": CHARGING, "drop": 0.5, "at_least": {"G2": 12.5}}
    assert text_of(boat, **asked)[0]
    ok, text = text_of(boat, "F4 blown", **asked | {"at_least": {"G2": 12.74}})
    assert not ok
    assert "across G2, at least 12.74 V asked" in text
    ok, text = text_of(boat, **asked | {"at_least": {}, "at_most": {"G2": 10.0}})
    assert not ok
    assert "at most 10 V asked" in text


def test_charging_is_proved_by_the_way_the_current_goes():
    boat = shipped("two-batteries")
    asked = {"load": "R1", "positions": CHARGING, "drop": 0.5, "into": ("G1",)}
    ok, text = text_of(boat, **asked)
    assert ok
    assert "flow into G1" in text
    ok, text = text_of(boat, "F3 blown", **asked)
    assert not ok
    assert "out of G1" in text


def test_of_two_batteries_in_series_both_feed_and_each_is_held_to_its_own_volts():
    exercise = load_exercise(EXERCISES / "weak-half.toml")
    sound, proof = exercise.circuit, exercise.proof
    after = prove(sound, proof, sound)
    assert after.ok
    assert "24.80 V at the source" in after.text
    assert 0.015 < after.drop < 0.03
    assert not prove(sound.with_fault("X1 resistance 60 mohm"), proof, sound).ok
    weak = prove(sound.with_fault("G2 weak 60 mohm"), proof, sound)
    assert not weak.ok
    assert "V across G2, at least 11.5 V asked" in weak.text


def test_a_drain_is_proved_gone_by_the_current_at_rest():
    exercise = load_exercise(EXERCISES / "flat-by-friday.toml")
    before = prove(exercise.variant(0).circuit, exercise.proof, exercise.circuit)
    assert "At rest 500 mA flow through G1, at most 50 mA asked" in before.text
    after = prove(exercise.circuit, exercise.proof, exercise.circuit)
    assert after.ok
    assert "At rest 10 mA" in after.text


def test_a_joint_that_the_whole_allows_does_not_pass_piece_by_piece():
    exercise = load_exercise(EXERCISES / "slow-cranking.toml")
    sound, proof = exercise.circuit, exercise.proof
    assert prove(sound, proof, sound).ok
    # 2 milliohm at 170 A: a third of a volt, hidden in 6.5 % of twelve
    bad = prove(sound.with_fault("X2 resistance 2 mohm"), proof, sound)
    assert not bad.ok
    assert "lost in X2, 50 mV at most" in bad.text


def test_pieces_are_judged_as_published():
    # NAVEDTRA 14050, fig. 4-25, 12 V system: each cable 0.2 V, each switch 0.1 V, connector 0.0 V.
    assert (PIECES["cable"], PIECES["switch"]) == (0.2, 0.1)
    assert round(PIECES["connector"], 1) in (0.0, 0.1)


def test_what_a_proof_names_must_be_there(tmp_path):
    text = (EXERCISES / "slow-cranking.toml").read_text(encoding="utf-8")
    (tmp_path / "circuits").mkdir()
    boat = "circuits/engine-start.toml"
    (tmp_path / boat).write_text((EXERCISES / boat).read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "x.toml").write_text(text + 'into = ["X2"]\nat_least = { G9 = "13 V" }\n')
    with pytest.raises(CircuitError) as refusal:
        load_exercise(tmp_path / "x.toml")
    assert "proof.into: X2 is a joint; name a battery that is charged" in str(refusal.value)
    assert "proof.at_least: no part 'G9'" in str(refusal.value)


def test_a_joint_within_the_drop_that_gets_too_warm_is_not_proven():
    boat = shipped("windlass")
    asked = {"load": "M1", "positions": {"S1": "on", "S2": "on"}, "drop": 0.1}
    warm = {"warmest": Warmest(after="2 min", limit="45 degC")}
    ok, text = text_of(boat, **asked, **warm)
    assert ok
    assert "After 2 min" in text
    assert text_of(boat, "X2 resistance 4 mohm", **asked)[0]
    ok, text = text_of(boat, "X2 resistance 4 mohm", **asked, **warm)
    assert not ok
    assert "Not proven: after 2 min X2 is the warmest" in text


def test_a_bilge_pump_is_proven_over_its_full_cycle():
    exercise = load_exercise(EXERCISES / "bilge-not-automatic.toml")
    sound, proof = exercise.circuit, exercise.proof
    assert "S2 on 5 times" in prove(sound, proof, sound).text
    # Two hours at 30 l/h lift 60 l; the float takes 10 l a cycle and finds an empty bilge.
    stuck = prove(sound.with_fault("S2 welded"), proof, sound)
    assert not stuck.ok
    assert "'S2 off' came once; sound, 6 times" in stuck.text


def test_what_opens_only_after_a_while_is_not_proven():
    boat = shipped("washdown")
    asked = {"load": "M1", "positions": {"S2": "on"}, "drop": 0.1}
    assert text_of(boat, "X1 opens hot 25.1 C", **asked)[0]
    ok, text = text_of(boat, "X1 opens hot 25.1 C", **asked, lasts=600.0)
    assert not ok
    assert "'X1 open' came" in text


def test_a_proof_says_what_it_asks_besides():
    assert load_exercise(EXERCISES / "windlass-crawls.toml").proof.asks == (
        "nothing warmer than 45 °C after 2 min",
    )
    assert load_exercise(EXERCISES / "house-never-full.toml").proof.asks == (
        "12.8 V across G1 at least", "a current into G1",
    )  # fmt: skip  # rows that a reader compares

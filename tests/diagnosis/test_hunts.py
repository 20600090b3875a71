"""Whole hunts on the shipped circuits, plans for them, and looking back on them."""

from __future__ import annotations

import functools

import pytest

from labkit.diagnosis import Adviser, Ambiguity, Diagnosis, leaves, parse_seen, plan, review
from labkit.diagnosis.faults import Candidate
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.odds import SURE
from labkit.diagnosis.phrases import place_text
from labkit.diagnosis.search import advised, complaint, search
from labkit.diagnosis.session import believed
from tests.boats import shipped
from tests.diagnosis.comparison import cases, deals, searched

CASES = {case.name: case for case in cases()}
BOAT = shipped("washdown")
ADVISER = Adviser(Diagnosis(BOAT))
SLOW = parse_seen("M1 look turns at about half speed S2=on", BOAT)
DEAD = parse_seen("M1 look stands still S2=on", BOAT)


# -- hunts -----------------------------------------------------------------------------------------


@functools.cache
def adviser_of(name):
    return Adviser(Diagnosis(CASES[name].circuit))


@pytest.mark.parametrize(("name", "every"), [("washdown", 12), ("blower", 12), ("horn", 60)])
def test_advice_isolates_what_was_dealt_and_in_less_time_than_the_usual_ways(name, every):
    case = CASES[name]
    adviser = adviser_of(name)
    minutes = [0.0, 0.0, 0.0]
    for faulty in list(deals(case, adviser.start))[::every]:
        done = searched(case, adviser, faulty)
        assert done[0].complete
        assert Candidate(faulty.faults).name in done[0].named
        assert done[0].count <= 12
        minutes = [total + d.minutes for total, d in zip(minutes, done, strict=True)]
    assert minutes[0] < min(minutes[1:])


@pytest.mark.parametrize(
    ("name", "fault", "found"),
    [
        ("washdown", "X1 resistance 1.6 ohm", {"X1 resistance"}),
        ("washdown", "X3 open", {"X3 open"}),
        ("washdown", "M1 open winding", {"M1 open winding", "M1 open"}),
        ("bilge-pump", "F1 blown", {"F1 blown", "F1 missing"}),
        ("windlass", "X3 resistance 70 mohm", {"X3 resistance"}),
        ("horn", "K1 dead contact", {"K1 dead contact", "K1 open"}),
        ("engine-start", "X2 resistance 25 mohm", {"X2 resistance"}),
    ],
)
def test_the_faults_of_the_exercises_are_named_down_to_what_is_alike(name, fault, found):
    case = CASES[name]
    adviser = adviser_of(name)
    faulty = case.circuit.with_fault(fault)
    start = complaint(adviser.start, Observer(faulty), case.load, case.on)
    done = search(start, Observer(faulty), advised(adviser), adviser)
    assert done.complete
    assert set(done.named) <= found


# -- what is alike ---------------------------------------------------------------------------------


def test_two_names_for_the_same_open_cannot_be_told_apart():
    groups = [set(group) for group in Ambiguity(ADVISER).groups()]
    assert {"M1 open winding", "M1 open"} in groups
    assert {"G1 weak", "G1 resistance"} in groups


def test_an_open_joint_is_like_nothing_else():
    start = ADVISER.start
    ambiguity = Ambiguity(ADVISER)
    assert ambiguity.lookalikes(start.likeliest("X1 open")) == ["X1 open"]


# -- plans -----------------------------------------------------------------------------------------


def test_a_plan_leads_to_ends_that_are_alike_and_its_chances_add_up():
    diagnosis = ADVISER.start.copy().see(SLOW)
    tree = plan(ADVISER, diagnosis)
    ends = list(tree.leaves())
    assert 0.97 < sum(end.chance for end in ends) <= 1 + 1e-9
    assert tree.deepest <= 8
    assert tree.expected_count <= tree.deepest
    # No plan can do with fewer outcomes than entropy asks for: the ends tell it apart.
    assert len(ends) >= 2 ** (diagnosis.entropy / 2)
    assert any(end.names == ["X1 resistance"] for end in ends)


def test_a_plan_starts_with_the_measurement_advised():
    diagnosis = ADVISER.start.copy().see(DEAD)
    tree = plan(ADVISER, diagnosis)
    best = ADVISER.rank(diagnosis, _after(DEAD), top=1)[0]
    assert tree.measurement == best.measurement
    assert tree.minutes == pytest.approx(best.minutes)
    head, _, first, *rest = tree.text().splitlines()
    assert head.startswith(f"To be expected: {tree.expected_count:.1f} measurements and ")
    assert first == f"S2 on: {place_text(best.measurement)} ({best.minutes:.1f} min)"
    ends = [line for line in rest if not line.endswith("min)")]
    assert len(ends) == len(list(tree.leaves()))


def _after(*evidence):
    from labkit.diagnosis.cost import Visit

    return Visit.after(BOAT, evidence)


def test_following_the_plan_takes_no_more_than_its_deepest_branch():
    tree = plan(ADVISER, ADVISER.start.copy().see(DEAD))
    faulty = BOAT.with_fault("X1 open")
    start = ADVISER.start.copy().see(DEAD)
    done = search(start, Observer(faulty), advised(ADVISER), ADVISER)
    assert done.count <= tree.deepest


# -- looking back ----------------------------------------------------------------------------------

UNLOADED = ("panel DC- volts 12.66 V", "X1:1 DC- volts 12.70 V")
LOADED = ("X1:1 DC- volts 12.52 V S2=on", "X1:1 X1:2 volts 5.478 V S2=on")


def _review(*texts):
    return review(ADVISER, [parse_seen(text, BOAT) for text in texts], [SLOW])


def test_readings_without_load_tell_nothing_about_a_corroded_joint():
    back = _review(*UNLOADED)
    assert all(step.bits < 0.05 for step in back.steps)
    assert all(step.advice.positions.get("S2") == "on" for step in back.steps)


def test_readings_under_load_name_the_joint():
    back = _review(*UNLOADED, *LOADED)
    assert back.remaining == ("X1 resistance",)
    assert back.bits == pytest.approx(ADVISER.start.copy().see(SLOW).entropy, abs=0.05)
    assert (
        back.verdict("X1 resistance")
        == "'X1 high resistance' is the one explanation the readings allow."
    )


def test_a_lucky_guess_is_said_to_be_one():
    said = _review(*UNLOADED).verdict("X1 resistance")
    assert said.startswith("'X1 high resistance' is not the only explanation the readings allow")
    assert "X2 high resistance" in said


def test_a_wrong_answer_is_held_against_the_readings():
    said = _review(*LOADED).verdict("M1 seized")
    assert said.startswith("The readings speak against 'M1 seized'")


def test_what_was_left_to_choose_from_is_counted():
    back = _review(*LOADED)
    left = [step.left for step in back.steps]
    assert left == sorted(left, reverse=True)
    assert left[-1] == len(back.remaining)
    assert left[-1] == len(believed(ADVISER.start.copy().see(SLOW, *_evidence(*LOADED))))


def test_names_alike_in_belief_are_unlikely_together_or_not_at_all():
    diagnosis = ADVISER.start.copy().see(DEAD)
    left, belief = leaves(ADVISER, diagnosis), diagnosis.by_name
    assert set(left.remaining) == set(diagnosis.remaining())
    assert sum(belief[name] for name in left.unlikely) < 1 - SURE
    least = min(belief[name] for name in left.likely)
    assert all(belief[name] < least for name in left.unlikely)


def test_readings_that_nothing_on_the_list_explains_are_said_to_rule_out_all():
    impossible = ("M1:1 M1:2 volts 12.10 V S2=on", "M1:1 M1:2 volts 3.10 V S2=on")
    back = _review(*impossible)
    assert back.remaining == ()
    assert back.verdict("X1 resistance").startswith("Taken together the readings rule out every")
    assert not back.proves("X1 resistance")


def _evidence(*texts):
    return [parse_seen(text, BOAT) for text in texts]

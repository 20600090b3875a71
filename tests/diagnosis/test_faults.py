"""What could be wrong: candidates, their severities and their weights."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from labkit.diagnosis.faults import candidates, describe, said
from labkit.drawing import draw
from labkit.text.messages import CircuitError
from tests.boats import CIRCUITS, shipped


@pytest.mark.parametrize("path", CIRCUITS, ids=lambda p: p.stem)
def test_every_candidate_of_a_shipped_circuit_can_be_written_read_and_put_in(path):
    circuit = shipped(path.stem)
    listed = candidates(circuit)
    assert sum(c.weight for c in listed) == pytest.approx(1.0)
    for candidate in listed:
        faulty = circuit.with_fault(*map(str, candidate.faults))
        assert [(f.part, f.mode) for f in faulty.faults] == [
            (f.part, f.mode) for f in candidate.faults
        ]
        for end in candidate.ends():
            circuit.with_fault(*map(str, end))


def test_every_part_and_mode_is_a_candidate():
    circuit = shipped("washdown")
    names = {c.name for c in candidates(circuit)}
    for part in circuit.parts.values():
        for mode in part.modes:
            assert f"{part.id} {mode}" in names


def test_severities_of_a_joint_meet_without_gaps():
    spans = [c.spans[0] for c in candidates(shipped("washdown"), only=["X1 resistance"])]
    for (_, high), (low, _) in pairwise(spans):
        assert math.isclose(high, low)
    # 7 A of 12 V: a joint of 0.1 ohm costs the pump 0.7 V, one of 8 ohm stalls it
    assert spans[0][0] < 0.1
    assert spans[-1][1] > 8


def test_a_joint_that_carries_the_starter_is_judged_in_milliohms():
    least = candidates(shipped("engine-start"), only=["X1 resistance"])[0]
    assert least.spans[0][1] < 5e-3


def test_wires_too_thin_are_thinner_than_the_one_drawn():
    circuit = shipped("washdown")
    for candidate in candidates(circuit, only=["too thin"]):
        (fault,) = candidate.faults
        assert fault.value < circuit.parts[fault.part].area


def test_the_instructor_may_keep_some_candidates_alone():
    circuit = shipped("washdown")
    assert {c.name for c in candidates(circuit, only=["X1", "M1 seized"])} == {
        "X1 resistance", "X1 open", "X1 intermittent", "X1 leak", "M1 seized",
    }  # fmt: skip  # rows that a reader compares


def test_the_instructor_may_weigh_a_part_a_mode_or_both():
    circuit = shipped("washdown")

    def share(name, **weights):
        listed = candidates(circuit, only=["X1", "X2"], **weights)
        return sum(c.weight for c in listed if c.name == name)

    odds = share("X1 open") / share("X2 open")
    weighed = {"X1": 2.0, "X1 open": 3.0}
    ratio = share("X1 open", weights=weighed) / share("X2 open", weights=weighed)
    assert ratio / odds == pytest.approx(6.0)


def test_a_weight_of_zero_leaves_a_candidate_out():
    names = {c.name for c in candidates(shipped("washdown"), weights={"open": 0.0})}
    assert not any(name.endswith(" open") for name in names)


def test_two_faults_at_once_are_an_option_and_never_of_one_part():
    circuit = shipped("washdown")
    pairs = [c for c in candidates(circuit, pairs=0.05) if len(c.faults) == 2]
    assert pairs
    assert all(a.part != b.part for a, b in (c.faults for c in pairs))
    assert sum(c.weight for c in pairs) < 0.05


def test_nothing_wrong_is_a_candidate_only_when_asked_for():
    circuit = shipped("washdown")
    assert all(c.faults for c in candidates(circuit))
    healthy = [c for c in candidates(circuit, healthy=5.0) if not c.faults]
    assert [str(c) for c in healthy] == ["nothing wrong"]


def test_an_unknown_key_is_refused_with_a_hint():
    with pytest.raises(CircuitError, match=r"no part and no mode 'X7 open'; there are 'G1'"):
        candidates(shipped("washdown"), only=["X7 open"])


def test_a_fault_is_described_in_plain_words():
    circuit = shipped("washdown")
    assert describe("X1 resistance 0.8 ohm", circuit) == (
        "X1 (crimped splice in the chain locker): corroded, 0.8 ohm"
    )
    assert describe("W2:2 leak 30 ohm", circuit).endswith(
        "chafed, leaking to negative at terminal 2, 30 ohm"
    )


def test_a_name_is_said_as_the_list_has_it_that_a_learner_chooses_from():
    assert said("X1 resistance") == "X1 high resistance"
    assert said("W2:2 leak") == "W2 leaking to negative"
    assert said("X1 resistance + K1 dead contact") == (
        "X1 high resistance with K1 contact does not make"
    )


def test_a_breaker_has_tripped_or_is_switched_off_where_a_fuse_has_blown_or_is_missing():
    boat = shipped("washdown")  # its F1 is a fuse, its F2 a breaker
    assert said("F1 blown + F2 blown", boat.parts) == "F1 blown with F2 tripped"
    assert said("F2 missing", boat.parts) == "F2 switched off"
    assert describe("F2 missing", boat).endswith("switched off")
    assert boat.part("F2").looks({"missing"}) == "switched off"
    assert "switched off" in draw(boat.with_fault("F2 missing"), seen={"F2"}).description

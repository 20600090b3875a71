import pytest

from labkit.bench import Bench
from labkit.debrief import debrief, evidence_of
from labkit.exercise import load_exercise
from labkit.hunt import Hunt
from tests.boats import EXERCISES, pump


def slow_pump():
    return Hunt(load_exercise(EXERCISES / "slow-washdown.toml"))


def test_a_log_becomes_evidence_in_the_state_it_was_taken_in():
    bench = Bench(pump().with_fault("X1 resistance 2 ohm"))
    bench.look("M1")
    bench.switch("S1", "off")
    bench.part("X1:1")
    bench.read("X1:1", "X1:2", "ohms")
    look, ohms = evidence_of(bench.log, pump())
    assert (look.function, look.red, look.seen) == ("look", "M1", bench.log[0].shows)
    assert not look.positions
    assert ohms.positions == {"S1": "off"}
    assert ohms.parted == {"X1:1"}
    assert ohms.seen == bench.log[-1].shows


def test_a_switch_moved_back_is_as_found():
    bench = Bench(pump())
    bench.switch("S1", "off")
    bench.switch("S1", "on")
    bench.read("X1:2")
    assert not evidence_of(bench.log, pump())[0].positions


def test_after_a_repair_it_is_another_boat():
    bench = Bench(pump().with_fault("X1 resistance 2 ohm"))
    bench.read("X1:2")
    bench.repair("X1")
    bench.read("X1:2")
    assert len(evidence_of(bench.log, pump())) == 1


def test_what_was_a_hazard_is_no_reading():
    bench = Bench(pump())
    bench.read("M1:1", "M1:2", "ohms")
    bench.read("stud", "DC-", "amps")
    assert not evidence_of(bench.log, pump())


def test_a_fuse_pulled_and_fitted_tells():
    bench = Bench(pump().with_fault("M1 short 0.05 ohm"))
    bench.pull("F1")
    bench.read("X1:2")  # with the fuse on the bench: no evidence about the boat as found
    bench.fit("F1")
    assert [e.seen for e in evidence_of(bench.log, pump())] == ["blown", "opens again"]


def test_telling_readings_bear_the_answer_out():
    hunt = slow_pump()
    hunt.bench.switch("S2", "on")
    hunt.bench.look("M1")
    hunt.bench.read("X1:1", "X1:2")
    hunt.name("X1", "high resistance")
    made = debrief(hunt)
    assert made.review.bits > 1
    assert made.review.remaining[0] == "X1 resistance"
    assert "X1 resistance is the one explanation the readings allow." in made.lines


def test_a_lucky_guess_is_called_one():
    hunt = slow_pump()
    hunt.bench.switch("S2", "on")
    hunt.bench.look("M1")
    verdict = hunt.name("X1", "high resistance")
    assert verdict.right
    assert any("not the only explanation" in line for line in debrief(hunt).lines)


def test_readings_that_tell_nothing_are_what_to_practise():
    hunt = slow_pump()
    for red in ("F1:1", "F1:1", "F1:1", "F1:1"):
        hunt.bench.read(red)
    assert any("whatever was wrong" in line for line in debrief(hunt).lines)


@pytest.mark.parametrize("action", ["ohms", "amps"])
def test_dangerous_use_of_the_meter_is_what_to_practise(action):
    hunt = slow_pump()
    hunt.bench.switch("S2", "on")
    hunt.bench.read("panel", "DC-", action)
    assert any("must be dead" in line for line in debrief(hunt).lines)

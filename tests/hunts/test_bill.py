import pytest

from labkit.exercises.exercise import load_exercise
from labkit.hunts.bill import DANGER, LUCKY, PROVING, SPARE, UNPROVEN
from labkit.hunts.hunt import Hunt
from tests.boats import EXERCISES, mend


def slow_pump():
    return Hunt(load_exercise(EXERCISES / "slow-washdown.toml"))


def lines(hunt):
    return {item.what: item.minutes for item in hunt.bill.items}


def test_a_hunt_not_begun_owes_the_proof_alone():
    assert lines(slow_pump()) == {"at the bench": 0.0, "not proven": UNPROVEN}


def test_a_wrong_name_costs_a_repair_that_did_not_help_and_the_way_to_the_part():
    hunt = slow_pump()
    hunt.name("M1", "seized")
    reach = hunt.exercise.circuit.parts["M1"].reach / 60
    assert reach > 0
    assert lines(hunt)["1 wrong name"] == pytest.approx(10 + reach)


def test_a_sound_part_replaced_costs_its_price_beside_its_minutes():
    hunt = slow_pump()
    mend(hunt.bench, "M1")
    assert lines(hunt)["1 sound part replaced"] == SPARE
    mend(hunt.bench, "X1")  # this one was at fault
    assert lines(hunt)["1 sound part replaced"] == SPARE


def test_each_danger_and_each_lucky_name_cost():
    hunt = slow_pump()
    hunt.bench.switch("S2", "on")
    hunt.bench.look("M1")
    hunt.bench.read("M1:1", "M1:2", "ohms")
    hunt.name("X1", "high resistance")
    assert lines(hunt)["1 danger"] == DANGER
    assert lines(hunt)["named before it was known"] == LUCKY


def test_a_proof_takes_minutes_and_before_any_repair_it_reads_no_meter():
    hunt = slow_pump()
    told = hunt.prove()
    assert not told.ok
    assert told.text == "M1 turns at about half speed. Nothing has been mended yet."
    assert lines(hunt)["at the bench"] == PROVING
    mend(hunt.bench, "X1")
    assert hunt.prove().ok
    assert "not proven" not in lines(hunt)
    assert hunt.minutes == pytest.approx(hunt.bench.minutes + 2 * PROVING)


def test_a_fuse_put_back_as_it_was_is_no_repair():
    hunt = slow_pump()
    hunt.bench.pull("F1")
    hunt.bench.fit("F1")
    assert not hunt.mended


def test_it_is_said_line_by_line():
    hunt = slow_pump()
    hunt.name("M1", "seized")
    assert str(hunt.bill).startswith("Cost: 4")
    assert "1 wrong name 1" in str(hunt.bill)
    assert str(hunt.bill).endswith("not proven 30).")


def test_guessing_through_the_list_costs_more_than_reasoning():
    guesser, exercise = slow_pump(), slow_pump().exercise
    names = [c.name.split(maxsplit=1) for c in exercise.candidates if " + " not in c.name]
    for part, mode in names:
        if guesser.name(part, mode).right:
            mend(guesser.bench, part)
            if guesser.prove().ok:
                break
    thinker = slow_pump()
    for red, black in (("X1:1", "X1:2"), ("M1:1", "M1:2")):
        thinker.bench.switch("S2", "on") if thinker.bench.drawn.positions["S2"] != "on" else None
        thinker.bench.read(red, black)
    thinker.name("X1", "high resistance")
    mend(thinker.bench, "X1")
    assert thinker.prove().ok
    assert guesser.bench.minutes < thinker.bench.minutes
    assert guesser.bill.minutes > 2 * thinker.bill.minutes

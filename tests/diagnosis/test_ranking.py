"""The next measurement: what it is worth, what it costs, and that it is safe."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from labkit.aboard.bench import Bench
from labkit.diagnosis import Adviser, Diagnosis, Measurement, parse_seen, rank
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.faults import candidates
from labkit.diagnosis.information import soft_gain
from labkit.diagnosis.observing import Observer
from labkit.text.messages import CircuitError
from tests.boats import shipped
from tests.diagnosis.comparison import dealt

BOAT = shipped("washdown")
ADVISER = Adviser(Diagnosis(BOAT))
DEAD = parse_seen("M1 look stands still S2=on", BOAT)
SLOW = parse_seen("M1 look turns at about half speed S2=on", BOAT)


def test_the_best_comes_first_and_worth_is_never_more_than_there_is_to_know():
    found = rank(BOAT, [SLOW])
    assert [r.rate for r in found] == sorted((r.rate for r in found), reverse=True)
    known = ADVISER.start.copy().see(SLOW).entropy
    assert all(0 < r.bits <= known + 1e-6 for r in found)


def test_a_slow_pump_is_measured_with_the_switch_on():
    # With it off nothing flows, and a corroded joint reads full voltage: nothing to learn.
    assert all(r.positions.get("S2") == "on" for r in rank(BOAT, [SLOW], top=5))


def test_what_was_measured_already_is_not_advised_again():
    best = rank(BOAT, [DEAD], top=1)[0]
    faulty = Observer(BOAT.with_fault("X1 open"))
    seen = best.measurement.saw(faulty(best.measurement))
    visit = Visit(BOAT)
    again = [visit.key(r.measurement) for r in rank(BOAT, [DEAD, seen], top=50)]
    assert visit.key(best.measurement) not in again


def test_each_outcome_is_told_with_its_chance_and_what_it_leaves():
    best = rank(BOAT, [SLOW], top=1)[0]
    assert best.tells
    assert all(" %): leaves " in text for text in best.tells)


def test_nothing_more_is_advised_once_nothing_can_be_learnt():
    only = candidates(BOAT, only=["M1 open", "M1 open winding"])
    assert rank(BOAT, [DEAD], candidates=only) == []


def test_the_same_is_said_the_second_time():
    assert rank(BOAT, [SLOW]) == rank(BOAT, [SLOW])


# -- safety ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["washdown", "horn", "windlass"])
def test_no_measurement_advised_is_a_hazard_on_the_healthy_boat(name):
    circuit = shipped(name)
    for ranked in rank(circuit, top=60):
        m = ranked.measurement
        if m.function in ("look", "wiggle", "pull", "fit"):
            continue
        bench = Bench(circuit.with_position(**m.positions).with_parted(*m.parted))
        bench.read(m.red, m.black or "DC-", m.function)
        kinds = {h.kind for h in bench.hazards}
        assert not kinds & {"ohms live", "meter short"}, m


def test_ohms_are_never_advised_between_live_points_unless_asked():
    view = ADVISER.view(ADVISER.start)
    safe, every = ADVISER.allowed(view), ADVISER.allowed(view, safe=False)
    assert every.all()
    barred = [ADVISER.menu.measurement(int(n)) for n in np.flatnonzero(~safe)]
    assert barred
    assert {m.function for m in barred} <= {"ohms", "diode", "amps"}


def test_a_fuse_is_not_fitted_to_see_whether_it_blows_where_that_is_likely():
    seen = [DEAD, parse_seen("F2 pull tripped", BOAT)]
    diagnosis = ADVISER.start.copy().see(*seen)
    item = Measurement("fit", "F2", positions={"S2": "on"})
    chance = diagnosis.belief @ diagnosis.chances(item)[:, 1]
    assert chance > 0.1
    assert not any(r.function == "fit" for r in rank(BOAT, seen, top=200))
    every = rank(BOAT, seen, top=200, safe=False)
    assert any(r.function == "fit" and r.red == "F2" for r in every)


@pytest.mark.parametrize("name", ["washdown", "engine-start"])
def test_nothing_is_advised_to_be_taken_apart_live(name):
    circuit = shipped(name)
    for ranked in rank(circuit, top=200):
        pulled = {f"{p.id}:1" for p in circuit.parts.values() if p.kind == "fuse"}
        if not ranked.parted or ranked.parted & pulled:
            continue
        bench = Bench(circuit.with_position(**ranked.positions))
        for terminal in sorted(ranked.parted, key=lambda t: not t.endswith(":-")):
            bench.part(terminal)
        assert not bench.hazards, ranked.measurement


def test_what_there_is_no_tool_for_is_not_advised():
    every = {r.function for r in rank(BOAT, [SLOW], top=80)}
    assert "clamp" in every
    assert {r.function for r in rank(BOAT, [SLOW], top=80, without=["clamp"])} == every - {"clamp"}
    with pytest.raises(CircuitError, match=r"'clamps'.*did you mean 'clamp'"):
        rank(BOAT, [SLOW], without=["clamps"])


# -- what it costs ---------------------------------------------------------------------------------


def test_a_measurement_costs_the_minutes_it_takes_at_the_bench():
    acts = [
        Measurement("volts", "X1:1", "DC-", {"S2": "on"}),
        Measurement("volts", "X1:1", "X1:2", {"S2": "on"}),
        Measurement("clamp", "W2:1", "", {}),
        Measurement("look", "M1", "", {"S2": "on"}),
        Measurement("volts", "F2:2", "M1:1", {"S2": "on"}),
    ]
    bench, visit, now = Bench(BOAT), Visit(BOAT), "off"
    for m in acts:
        before = bench.minutes
        to = m.positions.get("S2", "off")
        if to != now:
            bench.switch("S2", to)
            now = to
        if m.function == "look":
            bench.look(m.red)
        else:
            bench.read(m.red, m.black or "DC-", m.function)
        assert visit.go(m) == pytest.approx(bench.minutes - before)


def test_two_points_metres_apart_need_a_long_lead_and_a_clipped_negative_none():
    visit = Visit(BOAT)
    far, near = Measurement("volts", "panel", "X1:1"), Measurement("volts", "X1:1", "X1:2")
    assert visit.leads(far) == 1.0
    assert visit.leads(near) == 0.0
    assert visit.leads(Measurement("volts", "X1:1", "DC-")) == 0.0
    assert visit.leads(Measurement("clamp", "W1:1")) == 0.0


def test_minutes_of_the_whole_menu_are_those_of_each_measurement():
    visit = Visit.after(BOAT, [SLOW, parse_seen("X1:1 DC- volts 12.5 V S2=on", BOAT)])
    minutes = ADVISER.minutes(visit)
    for n in range(0, len(minutes), 17):
        assert minutes[n] == pytest.approx(visit.minutes(ADVISER.menu.measurement(n)))


# -- the quick look against the exact one ----------------------------------------------------------


def test_the_choice_is_within_a_hundredth_of_a_bit_of_the_best_there_is():
    rng = random.Random(11)
    for _ in range(4):
        row = rng.choices(ADVISER.start.known.rows, weights=list(ADVISER.start.known.prior))[0]
        observe = Observer(replace(BOAT, faults=dealt(row.candidate, rng)))
        look = Measurement("look", "M1", positions={"S2": "on"})
        diagnosis, visit = ADVISER.start.copy().see(look.saw(observe(look))), Visit(BOAT)
        for _ in range(3):
            found = ADVISER.rank(diagnosis, visit, top=500, explained=False)
            if not found:
                break
            view = ADVISER.view(diagnosis)
            done = {visit.key(item) for item in diagnosis.evidence}
            fresh = [
                n
                for n in np.flatnonzero(ADVISER.allowed(view))
                if visit.key(ADVISER.menu.measurement(int(n))) not in done
            ]
            bits = soft_gain(view.belief, view.names, *view.intervals(np.array(fresh)))
            minutes = ADVISER.minutes(visit)[fresh]
            assert max(r.bits for r in found) > bits.max() - 0.01
            assert found[0].bits > (bits / minutes).max() * found[0].minutes - 0.01
            chosen = found[0].measurement
            visit.go(chosen)
            diagnosis.see(chosen.saw(observe(chosen)))


def test_the_lamp_in_the_fuses_place_is_advised_before_another_fuse():
    boat = shipped("deckhouse")
    advised = rank(boat, [parse_seen("F2 pull blown", boat)], top=200)
    lamp = [r for r in advised if r.function == "test lamp"]
    assert [(r.red, r.black) for r in lamp] == [("F2:1", "F2:2")]
    assert not any(r.function == "fit" for r in advised)


@pytest.mark.parametrize("tool", ["test lamp", "ohms", "volts", "look"])
def test_any_tool_may_be_missing(tool):
    every = {r.function for r in rank(BOAT, [SLOW], top=200)}
    assert {r.function for r in rank(BOAT, [SLOW], top=200, without=[tool])} == every - {tool}

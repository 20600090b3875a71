"""Beliefs: what readings strike out, what they must never strike out, and in what words."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labkit.diagnosis import Diagnosis, Measurement, parse_seen, report, step_text
from labkit.diagnosis.faults import candidates
from labkit.diagnosis.hypotheses import Hypotheses
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.probe import readings
from labkit.diagnosis.reach import lead_pairs, switch_states
from labkit.diagnosis.scale import scale
from labkit.diagnosis.spread import Spread
from labkit.measuring import meter
from tests.boats import shipped
from tests.diagnosis.campaign import struck_by_honest_readings

BOAT = shipped("washdown")
KNOWN = Hypotheses(BOAT)


def seen(*texts):
    return Diagnosis(BOAT, known=KNOWN).see(*(parse_seen(text, BOAT) for text in texts))


# -- the heart: unloaded against loaded ------------------------------------------------------------


def test_full_voltage_without_load_says_nothing_about_a_corroded_joint():
    slow = "M1 look turns at about half speed S2=on"
    unloaded = seen(slow, "X1:2 DC- volts 12.70 V")
    assert "X1 resistance" in unloaded.remaining()
    assert abs(unloaded.steps[1].bits) < 0.05
    loaded = seen(slow, "X1:2 DC- volts 7.04 V S2=on")
    assert loaded.steps[1].bits > 0.5


def test_voltage_across_the_joint_under_load_leaves_the_joint_alone():
    diagnosis = seen("M1 look turns at about half speed S2=on", "X1:1 X1:2 volts 5.478 V S2=on")
    assert diagnosis.remaining() == ["X1 resistance"]
    assert diagnosis.by_name["X1 resistance"] > 0.99


def test_full_voltage_across_a_dead_pump_leaves_the_pump():
    diagnosis = seen("M1 look stands still S2=on", "M1:1 M1:2 volts 12.7 V S2=on")
    assert {name.split()[0] for name in diagnosis.remaining()} == {"M1"}
    assert {"M1 open winding", "M1 open"} <= set(diagnosis.remaining())


def test_a_high_reading_at_the_pumps_return_points_behind_it():
    diagnosis = seen("M1 look stands still S2=on", "M1:2 DC- volts 12.7 V S2=on")
    likely = [name for name, belief in diagnosis.by_name.items() if belief > 0.01]
    assert {name.split()[0] for name in likely} == {"X2", "W3", "X3"}


def test_a_wiggle_that_wakes_the_pump_names_the_loose_joint():
    diagnosis = seen("X2 M1 wiggle M1 stands still S2=on")
    assert next(iter(diagnosis.by_name)) == "X2 intermittent"


def test_a_breaker_that_opens_again_is_not_the_fault():
    diagnosis = seen("M1 look stands still S2=on", "F2 fit opens again S2=on")
    assert "F2 blown" not in diagnosis.remaining()
    assert "M1 seized" in diagnosis.remaining()


def test_readings_that_agree_with_nothing_leave_beliefs_that_add_up():
    diagnosis = seen("X1:1 DC- volts 12.7 V", "X1:1 DC- volts 3.3 V")
    assert diagnosis.belief.sum() == pytest.approx(1.0)
    assert np.isfinite(diagnosis.belief).all()


def test_evidence_is_taken_alike_one_by_one_and_all_at_once():
    texts = ["M1 look stands still S2=on", "X1:1 DC- volts 12.7 V S2=on"]
    one = seen(texts[0]).see(parse_seen(texts[1], BOAT))
    assert one.belief == pytest.approx(seen(*texts).belief)


# -- honest readings -------------------------------------------------------------------------------


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**32))
def test_honest_readings_never_strike_out_what_is_wrong(seed):
    assert struck_by_honest_readings("washdown", KNOWN, random.Random(seed)) == []


@pytest.mark.parametrize("name", ["horn", "bilge-pump"])
def test_honest_readings_of_relays_and_floats_never_strike_out_what_is_wrong(name):
    known = Hypotheses(shipped(name))
    for seed in range(10):
        assert struck_by_honest_readings(name, known, random.Random(seed)) == []


def test_predictions_are_what_the_meter_reads():
    rng = random.Random(3)
    states, pairs = list(switch_states(BOAT)), list(lead_pairs(BOAT))
    for _ in range(12):
        red, black = rng.choice(pairs)
        measurement = Measurement(rng.choice(["volts", "low-z"]), red, black, rng.choice(states))
        sets = np.array(sorted(rng.sample(range(len(KNOWN.sets)), 12)))
        for n, volts in zip(sets, readings(KNOWN, measurement, sets), strict=True):
            circuit = replace(KNOWN.brought(measurement), faults=KNOWN.sets[n])
            shown = meter.read(circuit, red, black, measurement.function).value
            assert volts == pytest.approx(shown, abs=1e-6)


def test_a_fuse_that_opened_stays_open_in_what_is_foreseen():
    # In use a shorted pump opens the breaker; switched off again, there is nothing behind it.
    listed = candidates(BOAT, only=["M1 short", "X1 resistance"])
    faulty = Observer(BOAT.with_fault("M1 short"))
    diagnosis = Diagnosis(BOAT, listed)
    for measurement in (Measurement("look", "M1", positions={"S2": "on"}),
                        Measurement("volts", "F2:2", "DC-")):  # fmt: skip  # in rows
        diagnosis.see(measurement.saw(faulty(measurement)))
    assert diagnosis.evidence[-1].seen == "0.0 mV"
    assert diagnosis.remaining() == ["M1 short"]


# -- the scale -------------------------------------------------------------------------------------


@given(st.floats(-50, 50), st.sampled_from(["volts", "low-z"]))
def test_a_reading_survives_the_scale_and_back(volts, function):
    on = scale(function, Spread())
    assert on.reading(float(on.u(np.array(volts)))) == pytest.approx(volts, abs=1e-4, rel=1e-4)


@given(st.floats(0.05, 50))
def test_one_unit_of_the_scale_is_the_meter_and_the_boat_together(volts):
    on = scale("volts", Spread())
    sigma = 1e-3 / float(on.u(np.array(volts + 5e-4)) - on.u(np.array(volts - 5e-4)))
    full = next(f for f in (0.6, 6.0, 60.0) if volts < f * 0.9999)
    expected = np.hypot((0.005 * volts + 2 * full / 6000) / 2, 0.01 * volts + 0.005)
    assert sigma == pytest.approx(expected, rel=0.03)


# -- in words --------------------------------------------------------------------------------------


def test_what_fell_is_told_with_the_reading_it_would_have_given():
    diagnosis = seen("M1 look turns at about half speed S2=on", "X1:1 DC- volts 12.52 V S2=on")
    said = step_text(diagnosis, 1)
    assert said.startswith("S2 on: X1:1 to DC-: 12.52 V. That strikes out ")
    assert "it would read" in said
    assert "G1 high resistance" in said


def test_the_report_ends_with_what_remains():
    diagnosis = seen("M1 look turns at about half speed S2=on", "X1:1 X1:2 volts 5.478 V S2=on")
    assert report(diagnosis).splitlines()[-1] == "What remains: X1 high resistance (100 %)."

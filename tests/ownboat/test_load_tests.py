"""A battery that is not known exactly comes out of a load test by chance."""

import numpy as np
import pytest

from labkit.diagnosis.evidence import Measurement, outcomes
from labkit.ownboat.boat import Boat
from labkit.ownboat.inference import Inference
from labkit.ownboat.remarks import parse_said
from tests.ownboat.boats import described


@pytest.fixture(scope="module")
def windlass():
    return Boat(described("windlass"), without=("clamp", "test lamp"))


LOAD_TEST = Measurement("load test", "G1")


def after(boat, *texts):
    return Inference(boat).see(*(s for text in texts for s in parse_said(text, boat.drawn)))


def chance_sound(inference, word):
    """Of a word, whatever is wrong that is not the battery's."""
    row = inference.best("M1 dragging")
    words = outcomes(LOAD_TEST, inference.boat.circuit)
    return inference.chances(LOAD_TEST, np.array([row]))[0][words.index(word)]


def test_a_battery_near_the_limit_may_fail_though_it_is_sound(windlass):
    assert 0.1 < chance_sound(after(windlass, "G1:+ G1:- volts 12.6 V"), "fails") < 0.5


def test_what_the_readings_say_of_the_battery_counts_in_its_load_test(windlass):
    texts = ("G1:+ G1:- volts 12.58 V", "M1 look turns noticeably slowly S1=on")
    stiff = after(windlass, *texts, "battery stud DC- volts 12.2 V S1=on")
    soft = after(windlass, *texts, "battery stud DC- volts 11.7 V S1=on")
    assert chance_sound(stiff, "fails") < 0.1 < 0.5 < chance_sound(soft, "fails")


def test_a_resting_battery_that_is_too_low_is_not_tested(windlass):
    low = after(windlass, "G1:+ G1:- volts 12.25 V")
    assert chance_sound(low, "is too low to test") > 0.7


def test_a_windlass_that_drags_is_not_struck_off_by_a_battery_that_fails(windlass):
    texts = (
        "K1 look clicks in S1=on", "M1 look turns noticeably slowly S1=on",
        "G1:+ G1:- volts 12.58 V", "battery stud DC- volts 11.63 V S1=on",
        "W1:2 S1:2 volts -281.8 mV S1=on",
    )  # fmt: skip  # rows that a reader compares
    before = after(windlass, *texts)
    then = after(windlass, *texts, "G1 load test fails")
    assert then.by_name["G1 resistance"] > before.by_name["G1 resistance"]
    assert then.by_name["M1 dragging"] > 0.4 * before.by_name["M1 dragging"]


def test_the_order_of_load_test_and_readings_does_not_matter(windlass):
    texts = ["G1:+ G1:- volts 12.58 V", "G1 load test fails", "battery stud DC- volts 11.7 V S1=on"]
    one, other = after(windlass, *texts), after(windlass, *reversed(texts))
    assert one.by_name == pytest.approx(other.by_name, abs=1e-5)

"""Hunts on boats that are not as drawn; `python -m tests.ownboat.campaign` has the whole table."""

import functools

import pytest

from labkit.diagnosis.cost import Visit
from labkit.ownboat.advice import Adviser
from labkit.ownboat.boat import Boat
from labkit.ownboat.complaints import parse_complaint
from labkit.ownboat.inference import Inference
from labkit.ownboat.remains import UNCONFIRMED, remains
from labkit.ownboat.remarks import parse_said
from labkit.ownboat.words import sentences
from tests.ownboat.boats import described
from tests.ownboat.hunting import hunt
from tests.ownboat.truth import Owner, real


@functools.cache
def boat(name):
    made = Boat(described(name), without=("clamp", "test lamp"))
    return made, Adviser(made)


# What an owner met on an invented boat, where the drawing taken for the truth named something else.
@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("water", "X2 resistance 0.3 ohm"),
        ("fridge", "X1 resistance 0.15 ohm"),
        ("windlass", "X1 resistance 0.05 ohm"),
    ],
)
@pytest.mark.parametrize("seed", [3])
def test_the_fault_is_named_on_a_boat_that_is_not_as_drawn(name, fault, seed):
    known, adviser = boat(name)
    made = hunt(known, adviser, Owner(real(described(name), seed).with_fault(fault), seed))
    right = " ".join(fault.split()[:2])
    assert right in made.found.group
    assert made.found.confirmed
    assert made.readings <= 12


def seen(name, *texts):
    known, adviser = boat(name)
    said = [item for text in texts for item in parse_said(text, known.circuit)]
    inference = Inference(known).see(*said)
    return remains(adviser, inference, Visit.after(known.circuit, inference.evidence)), inference


def test_a_tired_battery_is_a_state_and_no_suspect():
    found, inference = seen("water", "G1:+ G1:- volts 12.1 V")
    assert not any(name.endswith(" low") for name in inference.by_name)
    assert found.remains[0].belief < 0.3
    assert found.fits


def test_the_same_reading_twice_tells_hardly_more_than_once():
    once, _ = seen("water", "G1:+ G1:- volts 12.2 V", "M1 look runs S2=on")
    twice, _ = seen("water", "G1:+ G1:- volts 12.2 V", "G1:+ G1:- volts 12.2 V",
                    "M1 look runs S2=on")  # fmt: skip  # rows that a reader compares
    first = {left.name: left.belief for left in once.remains}
    for left in twice.remains:
        assert left.belief == pytest.approx(first.get(left.name, 0.0), abs=0.02)


def test_nothing_is_named_by_elimination_alone():
    found, _ = seen(
        "water", "M1 dead S2=on", "G1:+ G1:- volts 12.4 V", "M1 look stands still S2=on",
        "X2:2 battery stud volts -0.003 V S2=on", "X3:1 DC- volts 0.001 V S2=on",
        "battery stud DC- volts 12.4 V",
    )  # fmt: skip  # rows that a reader compares
    assert found.group[0].startswith("W3 ")
    assert not found.confirmed
    assert not found.settled
    assert found.remains[0].belief <= UNCONFIRMED
    assert found.next[0].confirms


def test_a_reading_that_goes_with_nothing_is_said_to_be_farthest_off():
    found, _ = seen(
        "water", "G1:+ G1:- volts 12.40 V", "panel DC- volts 12.39 V",
        "battery stud DC- volts 9.10 V", "F1:2 DC- volts 12.39 V", "S2:2 DC- volts 12.38 V S2=on",
    )  # fmt: skip  # rows that a reader compares
    assert not found.fits
    assert found.farthest.evidence.seen == "9.10 V"
    assert found.farthest.low > 12.0


def test_a_complaint_of_a_flat_battery_is_evidence():
    known, _ = boat("flat")
    plain = Inference(known)
    told = Inference(known).see(parse_complaint("drains", known.circuit))
    leaks = [n for n in plain.by_name if n.endswith(("leak", "welded"))]
    before, after = (sum(i.by_name[n] for n in leaks) for i in (plain, told))
    assert after > 3 * before


def test_readings_may_be_taken_back_and_given_in_any_order():
    texts = ["M1 dead S2=on", "G1:+ G1:- volts 12.4 V", "X1:2 DC- volts 12.4 V"]
    one, two = (seen("water", *order)[1].by_name for order in (texts, texts[::-1]))
    assert one == pytest.approx(two, abs=1e-4)


def test_a_joint_that_nobody_drew_is_named_by_the_terminals_it_stands_between():
    found, inference = seen(
        "water", "M1 look turns noticeably slowly S2=on", "G1:+ G1:- volts 12.69 V",
        "battery stud W2:2 volts 2.102 V S2=on", "F1:2 W2:2 volts 1.970 V S2=on",
        "S2:1 S2:2 volts 4.8 mV S2=on", "W2:1 W2:2 volts 154.3 mV S2=on",
    )  # fmt: skip  # rows that a reader compares
    assert not found.fits
    assert "between F1:2 and S2:1, which nobody drew" in " ".join(sentences(found, inference))

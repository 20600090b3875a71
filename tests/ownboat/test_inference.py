"""What is believed stays sense, whatever is typed and however often."""

import numpy as np
import pytest

from labkit.diagnosis.cost import Visit
from labkit.ownboat.advice import Adviser
from labkit.ownboat.boat import Boat
from labkit.ownboat.inference import Inference
from labkit.ownboat.remains import remains
from labkit.ownboat.remarks import parse_said
from tests.ownboat.boats import described


@pytest.fixture(scope="module")
def water():
    return Boat(described("water"), without=("clamp", "test lamp"))


def after(boat, *texts):
    return Inference(boat).see(*(s for text in texts for s in parse_said(text, boat.drawn)))


def test_who_says_the_same_again_knows_no_more(water):
    once = after(water, "G1:+ G1:- volts 12.6 V", "M1 dead", "F2 pull whole")
    often = after(water, "M1 dead", "G1:+ G1:- volts 12.6 V", "M1 dead", *["F2 pull whole"] * 3)
    assert often.by_name == pytest.approx(once.by_name, abs=1e-9)


def test_a_battery_read_again_tells_a_little_more(water):
    once = after(water, "G1:+ G1:- volts 12.1 V")
    again = after(water, *["G1:+ G1:- volts 12.1 V"] * 2)
    assert again.by_name != once.by_name


def test_absurd_readings_leave_something_unlisted_and_advice_that_is_a_number(water):
    absurd = after(
        water, "F2 pull blown", *["S2:2 DC- volts 12.5 V S2=on"] * 3,
        *["panel DC- volts 0.1 V"] * 3,
    )  # fmt: skip  # rows that a reader compares
    assert absurd.unlisted > 0.99
    assert absurd.shares.sum() == pytest.approx(1)
    with np.errstate(invalid="raise"):
        found = remains(Adviser(water), absurd, Visit(water.circuit), 3, every=True)
    assert not found.fits
    assert all(np.isfinite(advice.bits) for advice in found.next)
